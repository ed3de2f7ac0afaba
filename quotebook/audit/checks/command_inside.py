"""The workbook can start a command or fetch live data from another program.

What it finds
    DDE and OLE links, and formulas of the form program|topic.

Why it costs money
    Such a link can start a program on the computer that opens the quote.

Faulty
    =name|'argument'!A1

Sound
    figures typed or calculated

How to mend
    Do not update links on opening; delete the cell and the link.

False alarms
    None known in quote sheets.

Source
    Catalogue row P2; a documented way of attack.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.package_facts import package_facts
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("command-inside", Severity.DO_NOT_QUOTE, ANY, When.WRONG_NOW, Kind.FILE, rows=("P2",))

_COMMAND = re.compile(r"^\s*[=+\-@]?\s*[A-Za-z_.]\w*\|\s*'")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each such formula and text, and one for links of that kind."""
    # The bar is looked for first: hardly any formula has one.
    formulas = {cell: text for cell, text in view.book.formulas.items() if "|" in text}
    texts = {cell: text for cell, text in view.book.inputs.items() if isinstance(text, str) and text.startswith("=")}
    for cell, text in sorted({**texts, **formulas}.items()):
        if _COMMAND.match(text):
            yield told(
                CHECK,
                cell,
                f"a formula that calls another program: ={text.removeprefix('=')[:80]}",
                "a figure or a plain formula",
                "Do not update links on opening; delete the cell.",
                fact("the form program|topic starts another program"),
            )
    live = package_facts(view).live_links
    if live:
        yield told(
            CHECK,
            None,
            f"live links to other programs in {', '.join(live)}",
            "no live links",
            "Do not update links on opening; break them.",
            fact("DDE or OLE links stand in the package"),
        )
