"""The contract inside the workbook was touched.

What it finds
    A contract sheet whose text does not match its digest, or whose digest is not the one in the document properties.

Why it costs money
    What this audit expects is read from that sheet. Whoever changed a formula and the contract with it would be
    believed.

Faulty
    digest 3f9a...   (of another text)

Sound
    digest 3f9a...

How to mend
    Make a new workbook from this one's inputs: quotebook new NEW.xlsx --like OLD.xlsx

False alarms
    Programs that drop document properties are understood: a missing property is no difference.

Source
    Catalogue row S16.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import fact, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("altered-contract", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S16",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    contract = view.contract
    assert contract is not None, "the check needs a contract"
    told = [] if contract.intact else ["the contract's text does not match its digest"]
    stamp = view.snapshot.custom_properties.get("quotebook_digest", "")
    if stamp and stamp != contract.digest:
        told.append("the digest in the document properties is another")
    revision = view.snapshot.custom_properties.get("quotebook_revision", "")
    if revision and revision != str(contract.revision):
        told.append(f"the document properties say revision {revision}, the contract {contract.revision}")
    if told:
        yield tell(
            view, CHECK, None, "; ".join(told), "a contract as made",
            "Make a new workbook from this one's inputs (quotebook new --like).",
            fact("the digest is worked out from every row of the contract"),
        )  # fmt: skip
