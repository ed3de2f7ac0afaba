"""A formula reads another workbook.

What it finds
    Links to other workbooks, told of once for each of them, with the first cells that use them.

Why it costs money
    The figures are those of the last time that both files were open together; nobody sees how old they are.

Faulty
    ='[Rates 2019.xlsx]Rates'!B4

Sound
    the rates stand on a sheet of the workbook, with their date

How to mend
    Copy the figures in, with their date, and break the link.

False alarms
    A central rate file that is kept on purpose; its figures cannot be checked here all the same.

Source
    Catalogue row F18; 36 of 274 measured real workbooks have links.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "outside-link", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F18",)
)

_LINK = re.compile(r"\[(\d+|[^\[\]]+\.xls[xmb]?)\]", re.IGNORECASE)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each workbook that formulas read, and one for links that no formula uses."""
    users: dict[str, list[Address]] = {}
    for cell, formula in view.book.formulas.items():
        for number in _LINK.findall(formula):
            users.setdefault(number, []).append(cell)
    links = view.snapshot.external_links
    for number, cells in users.items():
        known = number.isdigit() and 0 < int(number) <= len(links)
        target = links[int(number) - 1] if known else number
        on_path = any(view.is_on_price_path(cell) for cell in cells)
        yield told(
            CHECK,
            sorted(cells)[0],
            f"{len(cells)} formula(s) read {target or 'a workbook that cannot be named'}",
            "figures in the workbook itself",
            "Copy the figures in, with their date, and break the link.",
            fact("figures of another file cannot be checked" + ("; the price depends on them" if on_path else "")),
            severity=Severity.PROBABLY_WRONG if on_path else CHECK.severity,
        )
    if links and not users:
        yield told(
            CHECK,
            None,
            f"links to {', '.join(filter(None, links)) or 'other workbooks'} that no cell uses",
            "no links",
            "Break the links.",
            fact("the program may ask for the other file on opening"),
            severity=Severity.REMARK,
        )
