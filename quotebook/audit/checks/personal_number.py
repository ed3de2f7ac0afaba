"""A cell holds a bank or card number.

What it finds
    Numbers with the form and the check digits of an international bank account or a payment card.

Why it costs money
    Personal data in a file that is passed on; and a way to be paid that anybody can alter.

Faulty
    a note with a full bank account number

Sound
    bank details on the letterhead only

How to mend
    Take it out of the workbook.

False alarms
    The firm's own account on the quotation page.

Source
    Catalogue row P9; check digits by ISO 13616 (mod 97), from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("personal-number", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.FILE, rows=("P9",))

_ACCOUNT = re.compile(r"\b[A-Z]{2}\d{2}(?: ?[A-Z0-9]{4}){3,7}(?: ?[A-Z0-9]{1,3})?\b")


def _sound(text: str) -> bool:
    """Tell whether the check digits of a bank account number hold."""
    plain = text.replace(" ", "")
    turned = plain[4:] + plain[:4]
    return int("".join(str(int(sign, 36)) for sign in turned)) % 97 == 1


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each account number."""
    for cell, text in view.book.inputs.items():
        if isinstance(text, str):
            for match in _ACCOUNT.findall(text):
                if _sound(match):
                    yield told(
                        CHECK,
                        cell,
                        f"an account number {match[:4]}...{match[-2:]}",
                        "no account numbers in the sheets",
                        "Take it out, or keep it on the letterhead only.",
                        fact("its check digits hold"),
                    )
