"""What quotebook refuses, and how it says so.

Every error says where it is, what was found, what was expected and what to do. Findings about a
workbook that could be read are data, never exceptions.

    QuotebookError
    |- InputError              a shop profile or a job that cannot be accepted; carries every problem at once
    |- TemplateError           a template that contradicts itself
    |- BookError               a file that cannot be read or written as a workbook
    |  |- NotAWorkbook         missing, a directory, text, an old or encrypted format
    |  |- UnsafeWorkbook       too large, too deep, entities, doubtful part names
    |  |- TargetExists         a file would be overwritten
    |  |- NameRefused          a spreadsheet program would not accept this defined name
    |- EngineError             results that cannot be computed at all (a single cell is never raised)
    |- AddinError              the add-in cannot be installed or removed
"""

from __future__ import annotations

from collections.abc import Sequence


class QuotebookError(Exception):
    """Root of all errors that quotebook raises on purpose; the message can be shown as it is."""


class InputError(QuotebookError):
    """A shop profile or a job was refused. ``problems`` holds one full sentence for each reason."""

    def __init__(self, source: str, problems: Sequence[str]) -> None:
        self.source = source
        self.problems = tuple(problems)
        count = len(self.problems)
        head = f"{source}: {count} {'problem' if count == 1 else 'problems'}"
        super().__init__("\n".join([head, *(f"  - {problem}" for problem in self.problems)]))


class TemplateError(QuotebookError):
    """A template's data contradict themselves; nothing was generated."""


class BookError(QuotebookError):
    """A file cannot be read or written as a workbook."""


class NotAWorkbook(BookError):
    """The path is not a workbook that can be opened: missing, a directory, text, old or encrypted."""


class UnsafeWorkbook(BookError):
    """The package breaks a limit that protects the reader."""


class TargetExists(BookError):
    """The file to be written exists already and overwriting was not asked for."""


class NameRefused(BookError):
    """A spreadsheet program would not accept this defined name."""


class EngineError(QuotebookError):
    """The results cannot be computed at all."""


class AddinError(QuotebookError):
    """The spreadsheet-side add-in could not be installed or removed."""
