"""The workbook file: one way of reading it, one of writing it, one of changing a copy in place."""
