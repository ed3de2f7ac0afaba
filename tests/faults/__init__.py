"""The trial of the audit: known faults planted in sound workbooks, and what is found of them."""
