"""The contract that a generated workbook carries inside itself: what every named field is and must be.

It stands on a hidden sheet as plain text, one row for each field, so that a newer quotebook can audit an old file.
Formulas are kept in field names: where the fields are now is told by the workbook's defined names, which follow
inserted rows and renamed sheets. A digest shows whether the contract itself was touched.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as filled
from hashlib import sha256
from typing import Literal, cast

from quotebook.template.plan import Placed, Plan
from quotebook.template.spec import FieldSpec, FieldType
from quotebook.values import Address, Value
from quotebook.workbook.contract_extras import OtherCell, made_rows, other_cell, other_rows, read_made
from quotebook.workbook.snapshot import Cell, Sheet, Snapshot

#: Title of the hidden sheet as it is made; people may rename it.
SHEET = "Contract"
MARKER = "quotebook contract: what this workbook promises; please leave this sheet as it is"
_COLUMNS = (
    "field", "sheet", "shape", "rows", "columns", "row key", "role", "type", "label", "unit", "minimum", "above",
    "maximum", "below", "choices", "choices from", "needed", "bind", "table bind", "table key", "formula", "first",
    "volatile", "open choice", "emphasis",
)  # fmt: skip
#: First words of the rows that are no fields.
_OTHER_ROWS = ("check", "cell", "made")
_SEPARATOR = " | "


@dataclass(frozen=True, slots=True)
class Contract:
    """What a workbook promises. ``fields`` hold where each field was when the workbook was made.

    ``checks``: defined name of each count and total of the Start sheet, with its formula. ``others``: cells that are no
    field (labels, headings, units, texts). ``made_with``: the shop's own figures as the workbook was made, by field.
    """

    template: str
    revision: int
    version: str
    capacities: Mapping[str, int]
    fields: Mapping[str, Placed]
    checks: Mapping[str, str]
    digest: str
    intact: bool
    others: tuple[OtherCell, ...] = ()
    made_with: Mapping[str, tuple[Value, ...]] = filled(default_factory=dict)


def contract_rows(plan: Plan, version: str, inputs: Mapping[Address, Value] | None = None) -> list[list[str]]:
    """Return the rows of the hidden sheet for a plan; ``inputs`` are the values that the workbook is made with."""
    head = [
        ["template", plan.template.name],
        ["revision", str(plan.template.revision)],
        ["quotebook", version],
        *([f"capacity {name}", str(rows)] for name, rows in sorted(plan.template.capacities.items())),
    ]
    fields = [_row(placed) for placed in plan.placed.values()]
    checks = [["check", name, formula] for name, formula in _counts(plan).items()]
    extras = [*other_rows(plan), *made_rows(plan, inputs or {})]
    body = [*head, list(_COLUMNS), *fields, *checks, *extras]
    return [[MARKER], ["digest", _digest(body)], *body]


def read_contract(snapshot: Snapshot) -> Contract | None:
    """Return the contract of a workbook, or None where there is none that can be read."""
    sheet = contract_sheet(snapshot)
    if sheet is None:
        return None
    return sheet.made_of(_contract_in)


def _contract_in(title: str, cells: Mapping[tuple[int, int], Cell]) -> Contract | None:
    return _contract(_texts(cells))


def _contract(rows: list[list[str]]) -> Contract | None:
    body = rows[2:]
    try:
        split = next(index for index, row in enumerate(body) if row[:2] == ["field", "sheet"])
        head = {row[0]: row[1] for row in body[:split]}
        rest = body[split + 1 :]
        fields = [_placed(row) for row in rest if row[0] not in _OTHER_ROWS]
        return Contract(
            template=head["template"],
            revision=int(head["revision"]),
            version=head["quotebook"],
            capacities={key[9:]: int(rows) for key, rows in head.items() if key.startswith("capacity ")},
            fields={placed.field.name: placed for placed in fields},
            checks={row[1]: row[2] for row in rest if row[0] == "check"},
            digest=rows[1][1],
            intact=_digest(body) == rows[1][1],
            others=tuple(other_cell(row) for row in rest if row[0] == "cell"),
            made_with={row[1]: read_made(row) for row in rest if row[0] == "made"},
        )
    except (StopIteration, KeyError, IndexError, ValueError):
        # A contract that people edited may be anything; the caller then treats the file as one without a contract.
        return None


def _counts(plan: Plan) -> dict[str, str]:
    """Return the names of the checklists with their formulas: each count, and the totals that add them up."""
    counts: dict[str, str] = {}
    for sheet in plan.sheets:
        for cell in sheet.cells.values():
            if cell.name:
                counts[cell.name] = cell.source
    return counts


def contract_sheet(snapshot: Snapshot) -> Sheet | None:
    """Return the sheet that holds the contract, whatever its title is now."""
    for sheet in snapshot.sheets:
        first = sheet.cells.get((1, 1))
        if first is not None and first.value == MARKER:
            return sheet
    return None


def _digest(rows: list[list[str]]) -> str:
    return sha256("\n".join("\t".join(row).rstrip("\t") for row in rows).encode()).hexdigest()


def _row(placed: Placed) -> list[str]:
    field = placed.field
    row = [
        field.name, placed.sheet, placed.shape, str(placed.rows), str(placed.columns), placed.row_key,
        _role(field), field.type, field.label, field.unit, _number(field.minimum),
        _number(field.above), _number(field.maximum), _number(field.below), _SEPARATOR.join(field.choices),
        field.choices_from, field.needed, field.bind, placed.table_bind, placed.table_key, field.formula, field.first,
        "yes" if field.volatile else "", "yes" if field.open_choice else "", field.emphasis,
    ]  # fmt: skip
    while row and not row[-1]:
        row.pop()
    return row


def _placed(row: list[str]) -> Placed:
    cells = dict(zip(_COLUMNS, [*row, *[""] * (len(_COLUMNS) - len(row))], strict=False))
    field = FieldSpec(
        name=cells["field"],
        label=cells["label"],
        type=cast(FieldType, cells["type"]),
        unit=cells["unit"],
        bind=cells["bind"],
        formula=cells["formula"],
        given=cells["role"] == "given",
        first=cells["first"],
        choices=tuple(filter(None, cells["choices"].split(_SEPARATOR))),
        choices_from=cells["choices from"],
        minimum=_optional(cells["minimum"]),
        above=_optional(cells["above"]),
        maximum=_optional(cells["maximum"]),
        below=_optional(cells["below"]),
        needed=cast(Literal["", "price", "quotation"], cells["needed"]),
        volatile=cells["volatile"] == "yes",
        open_choice=cells["open choice"] == "yes",
        emphasis=cast(Literal["", "total", "state"], cells["emphasis"]),
    )
    shape = cast(Literal["scalar", "column", "series", "lot column"], cells["shape"])
    return Placed(
        field, cells["sheet"], shape, 0, 0, int(cells["rows"]), int(cells["columns"]), cells["row key"],
        cells["table bind"], cells["table key"],
    )  # fmt: skip


def _role(field: FieldSpec) -> str:
    if field.given:
        return "given"
    return "input" if field.is_input else "formula"


def _number(value: float | None) -> str:
    return "" if value is None else repr(float(value))


def _optional(text: str) -> float | None:
    return float(text) if text else None


def _texts(cells: Mapping[tuple[int, int], Cell]) -> list[list[str]]:
    """Return the sheet as rows of texts, without the blanks at the end of each row."""
    last = max((row for row, _ in cells), default=0)
    rows: list[list[str]] = [[] for _ in range(last)]
    for (row, column), cell in sorted(cells.items()):
        if cell.value is None:
            continue
        line = rows[row - 1]
        line.extend([""] * (column - 1 - len(line)))
        line.append(str(cell.value))
    return [row or [""] for row in rows]
