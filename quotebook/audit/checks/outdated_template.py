"""The workbook was made from an older revision of its template.

What it finds
    A contract with a lower revision than that of the installed template of the same name.

Why it costs money
    Something in the template was mended or added since; this workbook does not have it.

Faulty
    machined-part, revision 1   (installed: revision 2)

Sound
    machined-part, revision 2

How to mend
    quotebook new NEW.xlsx --like OLD.xlsx makes a workbook of the present revision with the same inputs.

False alarms
    A reprint of an old quotation should stay as it was.

Source
    Catalogue row S17.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.errors import TemplateError
from quotebook.template.load import revision_of

CHECK = Check("outdated-template", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.STALE, ("S17",))

#: The name is read from the file, which may be anybody's; it must never lead to another folder.
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    contract = view.contract
    assert contract is not None, "the check needs a contract"
    if not _NAME.fullmatch(contract.template):
        return
    present = _present_revision(contract.template)
    if present is not None and contract.revision < present:
        yield tell(
            view, CHECK, None, f"{contract.template}, revision {contract.revision}", f"revision {present}",
            "Make a workbook of the present revision from this one (quotebook new --like).",
            by_contract("the contract names the revision that the workbook was made from"),
        )  # fmt: skip


@lru_cache(maxsize=16)
def _present_revision(name: str) -> int | None:
    """Return the revision that is installed; None for a template of one's own that is not: nothing to compare with."""
    try:
        return revision_of(name)
    except TemplateError:
        return None
