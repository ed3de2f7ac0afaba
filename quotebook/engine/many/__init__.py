"""Many cases of one workbook at once: numbers as arrays over the cases, all else case by case, with equal answers."""
