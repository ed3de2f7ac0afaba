"""The workbook's own warnings were taken away.

What it finds
    Cells that tell a state (missing, does not fit, expired) without the colour rule that makes them stand out, and
    such cells that are no field whose formula was changed.

Why it costs money
    The workbook still knows that something is missing, and no longer shows it.

Faulty
    State  ◄ rate missing          (plain)

Sound
    State  ◄ rate missing          (bold, in the alarm colour)

How to mend
    Copy the format of a state cell that still has it.

False alarms
    The words and the mark ◄ say the same without colour; that is why this is no graver.

Source
    Catalogue row S14.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView, cells_of
from quotebook.values import Address
from quotebook.workbook.areas import Area, parse_area

CHECK = Check("silenced-alarm", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S14",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per field without colours, and one per changed state cell beside a field."""
    assert view.located is not None, "a contract is always located"
    colored = {sheet.title: _areas(sheet.conditional_formats) for sheet in view.snapshot.sheets}
    for placed in view.located.fields.values():
        if placed.field.emphasis != "state":
            continue
        plain = [cell for cell, _, _ in cells_of(placed) if not _covered(colored.get(placed.sheet, []), cell)]
        if plain:
            yield tell(
                view, CHECK, plain, "no colour rule", "the colour rules of states",
                "Copy the format of a state cell that still has it.",
                by_contract(f"{placed.field.name} tells a state"), alike="plain",
            )  # fmt: skip
    for broken in promised(view).broken_others:
        if broken.other.look in ("state", "status"):
            yield tell(
                view, CHECK, broken.address, broken.found, broken.expected, "Put the formula back.",
                by_contract(f"it tells the state of {broken.other.anchor}"),
                put_right={broken.address: Formula(broken.expected.removeprefix("="))},
                field=broken.other.anchor,
            )  # fmt: skip


def _areas(formats: tuple[tuple[str, str], ...]) -> list[Area]:
    areas = [parse_area(text) for ranges, _ in formats for text in ranges.split()]
    return [area for area in areas if area is not None]


def _covered(areas: list[Area], cell: Address) -> bool:
    return any(area.holds(cell.row, cell.column) for area in areas)
