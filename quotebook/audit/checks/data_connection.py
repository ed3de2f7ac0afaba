"""The workbook fetches data from outside.

What it finds
    Data connections, query tables and functions that call the web.

Why it costs money
    Figures change with a server; the opening of the quote is told to somebody else.

Faulty
    xl/connections.xml, =WEBSERVICE("...")

Sound
    figures typed in, with their date

How to mend
    Remove the connection and keep the figures as values with their date.

False alarms
    A rate list or metal price feed that the shop set up itself.

Source
    Catalogue row P3.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("data-connection", Severity.PROBABLY_WRONG, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P3",))

_CALLING = frozenset({"WEBSERVICE", "IMAGE", "RTD", "STOCKHISTORY", "CUBEVALUE", "CUBEMEMBER", "SQL.REQUEST"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for connections together and one for each formula that calls out."""
    parts = [part for part in view.snapshot.parts if "connections.xml" in part or "queryTables/" in part]
    if parts:
        yield told(
            CHECK,
            None,
            f"connections to data outside: {', '.join(parts[:4])}",
            "figures in the workbook itself",
            "Remove the connection; keep the figures as values with their date.",
            fact("these parts tell the program to fetch data"),
        )
    for cell, functions in view.links.functions.items():
        if functions & _CALLING:
            yield told(
                CHECK,
                cell,
                f"={view.book.formulas[cell]}",
                "a typed figure with its date",
                "Put the figure in as a value, with its date.",
                fact(f"{', '.join(sorted(functions & _CALLING))} fetches from outside"),
            )
