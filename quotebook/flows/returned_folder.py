"""The suppliers' answers in a folder: read one by one, what cannot be read told with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from quotebook.errors import BookError, QuotebookError
from quotebook.flows.gather import workbooks_under
from quotebook.flows.opening import open_workbook
from quotebook.flows.returns import Returned, is_request, read_return


@dataclass(frozen=True, slots=True)
class ReturnedFolder:
    """The answers, and the files that could not be read with the reason; other workbooks are passed over."""

    returned: tuple[Returned, ...]
    unread: tuple[tuple[str, str], ...]


def returns_under(folder: Path, leave_out: Sequence[Path] = ()) -> ReturnedFolder:
    """Return the answers under a folder, or in one file. Errors: BookError when there is none."""
    paths = workbooks_under(folder, leave_out) if folder.is_dir() else [folder]
    returned: list[Returned] = []
    unread: list[tuple[str, str]] = []
    for path in paths:
        try:
            opened = open_workbook(path)
        except QuotebookError as error:
            unread.append((path.name, str(error)))
            continue
        if is_request(opened):
            returned.append(read_return(opened))
    if not returned:
        raise BookError(
            f"{folder}: found no returned request in {len(paths)} files, expected at least one; check the folder"
        )
    return ReturnedFolder(tuple(returned), tuple(unread))
