"""Formulas evaluated outside the spreadsheet program; knows nothing of the trade."""
