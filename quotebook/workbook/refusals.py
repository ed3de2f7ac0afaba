"""How the workbook layer words a refusal: where, what was found, what was expected, what to do."""

from __future__ import annotations

from quotebook.errors import NotAWorkbook, UnsafeWorkbook

_LONGEST_QUOTE = 80


def quoted(text: object) -> str:
    """Return text from a file in quotes, control characters made visible and the length bounded."""
    shown = repr(str(text))
    return shown if len(shown) <= _LONGEST_QUOTE else f"{shown[: _LONGEST_QUOTE - 4]}...'"


def worded(where: str, found: str, expected: str, remedy: str) -> str:
    """Join the four parts of a message into one line."""
    return f"{where}: found {found}; expected {expected}; {remedy}"


def not_a_workbook(where: str, found: str, expected: str, remedy: str) -> NotAWorkbook:
    """Return (not raise) the error for a file that cannot be opened as a workbook."""
    return NotAWorkbook(worded(where, found, expected, remedy))


def damaged(where: str, found: str, expected: str) -> NotAWorkbook:
    """Return the error for a workbook whose content contradicts itself."""
    remedy = "open it in the spreadsheet program and save it again, or ask for a fresh copy"
    return NotAWorkbook(worded(where, found, expected, remedy))


def unsafe(where: str, found: str, expected: str) -> UnsafeWorkbook:
    """Return the error for a package that breaks a limit protecting the reader."""
    remedy = "do not open it before you know who made it; an honest file becomes readable when saved again"
    return UnsafeWorkbook(worded(where, found, expected, remedy))
