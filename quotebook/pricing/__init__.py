"""The reference price of a job: pure functions over the models, never looking at a formula."""
