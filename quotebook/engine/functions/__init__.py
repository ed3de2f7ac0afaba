"""The functions that formulas may call, in the families of a spreadsheet program's function list."""
