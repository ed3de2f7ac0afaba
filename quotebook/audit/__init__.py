"""The audit: what is wrong in a quote workbook, what it does to the price, and how to mend it."""
