"""What a cell shows is not what it counts.

What it finds
    Figures on the way to the price that are invisible (white on white, format ;;;), and unit prices shown in whole
    money while they count with cents.

Why it costs money
    The customer multiplies what he sees; the workbook multiplies something else. A figure that nobody sees is never
    checked.

Faulty
    unit price 12.46 shown as 12

Sound
    unit price =ROUND(...,2), shown with two decimals

How to mend
    Show the figure as it counts; round in the formula where it is rounded on paper.

False alarms
    Dashboards that hide helpers; figures off the way to the price are not told of.

Source
    Catalogue rows F40 and H15.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import fact, label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("shown-otherwise", Severity.LOOK_AT_IT, ANY, When.WRONG_NOW, Kind.BENT_RULE, rows=("F40", "H15", "P11"))

_WHITE = frozenset({"FFFFFF", "theme:0", "indexed:9", "indexed:1"})
_NOTHING = re.compile(r'^(;;;?|"";"";?.*)$')
_WHOLE = re.compile(r"^[^0.]*#,##0[^0.]*$|^0$|^\W*0\W*$")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each invisible figure on the way to the price and for each price shown rounded."""
    if not view.snapshot.calculation.full_precision:
        yield told(
            CHECK,
            None,
            "precision as displayed",
            "full precision",
            "Switch it off; round in the formulas where rounding is meant.",
            fact("every stored figure is cut to what its format shows"),
            severity=Severity.PROBABLY_WRONG,
        )
    if view.contract is not None:
        return
    facts = foreign(view)
    for cell in sorted(view.price_path):
        if facts.grid.number(cell):
            yield from _invisible(facts, cell)
    for price in view.price_cells:
        yield from _rounded(facts, price.address)


def _invisible(facts: Foreign, cell: Address) -> Iterator[Finding]:
    style = facts.grid.style(cell)
    fill, font = style.fill_color or "FFFFFF", style.font_color
    hidden = bool(_NOTHING.match(style.number_format.replace(" ", "")))
    same = font != "" and (font == fill or (font in _WHITE and fill in _WHITE))
    if hidden or same:
        why = f"its format is {style.number_format}" if hidden else "its font has the colour of its ground"
        yield told(
            CHECK,
            cell,
            f"{shown(facts.grid.value(cell))}, which cannot be seen",
            "a figure on show",
            "Show the figure; nobody checks what nobody sees.",
            shape(why),
            value("the price depends on it"),
            severity=Severity.LOOK_AT_IT if facts.grid.is_formula(cell) else Severity.PROBABLY_WRONG,
            alike="invisible",
        )


def _rounded(facts: Foreign, cell: Address) -> Iterator[Finding]:
    number, style = facts.grid.number(cell), facts.grid.style(cell)
    if number is None or not facts.grid.users.get(cell) or not _WHOLE.match(style.number_format):
        return
    if abs(number - round(number)) > 0.005 and abs(number) < 1000:
        yield told(
            CHECK,
            cell,
            f"{shown(number)}, shown in whole money ({style.number_format})",
            "a figure shown as it counts",
            "Round in the formula, or show the decimals.",
            value("other formulas count with the decimals that are not shown"),
            label(f'labelled "{facts.labels.of(cell)}"'),
            alike="rounded",
        )
