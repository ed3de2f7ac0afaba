"""The thin shell inside the spreadsheet program; it imports nothing of quotebook."""
