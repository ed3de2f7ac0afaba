"""Whether a workbook is open in a spreadsheet program: told by the lock file that it leaves beside the workbook."""

from __future__ import annotations

from pathlib import Path

OPEN_ELSEWHERE = "open in a spreadsheet program while it was read; what is not saved yet is not in here"


def open_elsewhere_note(path: Path) -> list[str]:
    """Return what is to be said of a workbook that is open elsewhere, else nothing."""
    return [OPEN_ELSEWHERE] if is_open_elsewhere(path) else []


def is_open_elsewhere(path: Path) -> bool:
    """Tell whether a spreadsheet program has left its lock file beside a workbook."""
    stem = path.name[2:] if len(path.name) > 8 else path.name
    locks = (f"~${path.name}", f"~${stem}", f".~lock.{path.name}#")
    return any((path.parent / lock).exists() for lock in locks)
