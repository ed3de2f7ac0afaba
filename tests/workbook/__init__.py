"""Tests of reading and changing workbook files."""
