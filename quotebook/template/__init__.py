"""Templates as data: sheets, fields, formulas in field names, units and ranges; loaded and validated."""
