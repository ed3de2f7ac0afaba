"""Spreadsheet functions, sorted as in the function list that a user knows."""
