"""One module a command of the add-in: a request in, an answer out."""
