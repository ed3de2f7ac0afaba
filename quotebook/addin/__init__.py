"""The spreadsheet-side add-in: the extension's thin shell, how it is built and installed, and what answers it."""
