"""One check, one file; a check is part of the audit by standing here."""
