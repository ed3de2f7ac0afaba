"""Writes ``quotebook/engine/FUNCTIONS.md`` from the tables of cases, the limits shown below, and the allow-list.

Run ``python -m tests.engine.function_page`` after a change; a test compares the page with what this would write.
"""

from __future__ import annotations

import re
from pathlib import Path

from quotebook.engine.registry import functions
from quotebook.engine.special import FORMS
from tests.engine.probes.scoring import score
from tests.engine.tables import FAMILIES, cases

PAGE = Path(__file__).resolve().parents[2] / "quotebook" / "engine" / "FUNCTIONS.md"

#: What a function refuses to answer, with a formula that shows it; a test evaluates each.
LIMITS: dict[str, tuple[str, str]] = {
    "MOD": ("a rest that hangs on the last binary digit", "MOD(0.3,0.1)"),
    "MATCH": ("nearest value in a line that is not in order", "MATCH(30,L1:L3,1)"),
    "LOOKUP": ("a line that is not in order", "LOOKUP(30,L1:L3)"),
    "VLOOKUP": ("nearest value in a column that is not in order", "VLOOKUP(30,L1:L3,1)"),
    "HLOOKUP": ("nearest value in a row that is not in order", "HLOOKUP(2,{3,1,2},1)"),
    "XLOOKUP": ("binary search (search modes 2 and -2)", 'XLOOKUP(2,K1:K3,L1:L3,"",0,2)'),
    "VALUE": ("text whose reading hangs on the language", 'VALUE("1/2")'),
    "SUBTOTAL": ("a computed function number", "SUBTOTAL(A1-1,K1:K3)"),
    "ROW": ("a computed range", "ROW(INDEX(A1:A5,2))"),
    "COLUMN": ("a computed range", "COLUMN(INDEX(A1:A5,2))"),
    "ROWS": ("a computed range", "ROWS(INDEX(A1:C5,0,1))"),
    "COLUMNS": ("a computed range", "COLUMNS(INDEX(A1:C5,0,1))"),
    "COUNTIF": ("a computed range", 'COUNTIF(A1:A5*2,">20")'),
    "SUMIF": ("a computed range", 'SUMIF(A1:A5*2,">20")'),
    "OFFSET": ("a computed place that may be the formula's own; a negative height or width", "OFFSET(Z1,A1,0)"),
    "INDIRECT": ("a computed text but for letters and a computed row; row and column by numbers", "INDIRECT(A7)"),
}

#: Functions that estimating workbooks use, by the common practice of the trade; no source, the list is our own.
COMMON = (
    "SUM", "IF", "ROUND", "VLOOKUP", "INDEX", "MATCH", "SUMIF", "SUMIFS", "COUNTIF", "COUNTIFS", "IFERROR",
    "AND", "OR", "NOT", "MAX", "MIN", "AVERAGE", "SUMPRODUCT", "ROUNDUP", "ROUNDDOWN", "CEILING", "FLOOR",
    "INT", "MOD", "ABS", "COUNT", "COUNTA", "COUNTBLANK", "ISBLANK", "ISNUMBER", "ISERROR", "ISNA", "ISTEXT",
    "LEFT", "RIGHT", "MID", "LEN", "TRIM", "UPPER", "CONCATENATE", "TEXT", "VALUE", "SUBSTITUTE", "FIND",
    "SEARCH", "DATE", "TODAY", "YEAR", "MONTH", "HLOOKUP", "LOOKUP", "CHOOSE", "SUBTOTAL", "OFFSET", "INDIRECT",
    "PMT", "XLOOKUP", "PI", "SQRT", "AVERAGEIF",
)  # fmt: skip


def page() -> str:
    """Return the page."""
    found = [case for family in FAMILIES for case in cases(family)]
    lines = [
        "# Functions", "", "Written by `python -m tests.engine.function_page` from the tests; do not edit.", "",
        "*exact*: every case of the tables gives the stated answer, and LibreOffice's unless a remark says otherwise.",
        "*exact within limits*: what is named under *said to be unknown* is never guessed; the cell and all that "
        "depends on it are then unknown, also behind IFERROR.", "",
        "| function | state | cases | said to be unknown | where LibreOffice differs |",
        "| --- | --- | --- | --- | --- |",
    ]  # fmt: skip
    for name in sorted({*functions(), *FORMS}):
        own = [case for case in found if re.search(rf"(?<![A-Z0-9.]){re.escape(name)}\(", case.formula)]
        remarks = sorted({case.libreoffice for case in own if case.libreoffice})
        limit = LIMITS.get(name, ("", ""))
        state = "exact within limits" if limit[0] else "exact"
        if name in ("TODAY", "NOW"):
            state = "changes with the day"
        shown = f"{limit[0]}, as `{limit[1]}`" if limit[0] else ""
        remark = "; ".join(remarks[:2]).replace("|", "\\|")
        lines.append(f"| {name} | {state} | {len(own)} | {shown} | {remark} |")
    supported = {*functions(), *FORMS}
    missing = [name for name in COMMON if name not in supported]
    result = score()
    total = len(result.right) + len(result.told) + len(result.wrong)
    lines += [
        "", "## Not supported", "",
        "Every other function. A formula that names one is *not evaluated*, and so is all that depends on it.",
        f"Of the {len(COMMON)} functions that estimating workbooks use most (our own list) "
        f"{len(COMMON) - len(missing)} are supported{': all but ' + ', '.join(missing) if missing else ''}.", "",
        "## Probes", "",
        f"{total} formulas with answers stated beforehand (`tests/engine/probes`): {len(result.right)} right, "
        f"{len(result.told)} said to be unknown, {len(result.wrong)} silently wrong.", "",
        "## Where programs differ", "",
        "* A difference that is nothing but binary noise is 0 everywhere, as in LibreOffice; other programs show the "
        "noise where the difference stands in brackets: `4*(0.5-0.4-0.1)`.",
        "* A range where one value is wanted means the cell in the formula's own row or column, as files without "
        "dynamic arrays mean it.",
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
