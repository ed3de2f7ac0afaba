"""Placing a template's blocks on sheets: first every field gets its cells, then every formula its references."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from quotebook.template.plan import Look, Placed, Plan, PlannedCell, PlannedSheet
from quotebook.template.references import BREAKS, Place, area, lot_name, resolve
from quotebook.template.spec import (
    ChartsBlock,
    ChecklistBlock,
    FieldSpec,
    FormBlock,
    SeriesBlock,
    SheetSpec,
    TableBlock,
    TemplateSpec,
    TextBlock,
)

FIRST_LOT_COLUMN = 3
HEADING_LINE = 14.0
CHART_ROWS = 17
LONG_TEXT_HEIGHT = 27.0
#: A table from this many rows on repeats its headings on every printed page.
LONG_TABLE = 40


def lay_out(template: TemplateSpec) -> Plan:
    """Return the plan of the whole workbook.

    Errors: TemplateError for a name that is no field, or that has no meaning where it is used.
    """
    lots = template.capacities.get(BREAKS, 0) + 1
    builder = _Builder(template, lots)
    for sheet in template.sheets:
        builder.place_sheet(sheet)
    builder.resolve_all()
    return Plan(template, builder.sheets, builder.placed, builder.names, lots)


class _Builder:
    """Collects cells sheet by sheet; formulas wait until every field has its place."""

    def __init__(self, template: TemplateSpec, lots: int) -> None:
        self.template = template
        self.lots = lots
        self.sheets: list[PlannedSheet] = []
        self.placed: dict[str, Placed] = {}
        self.names: dict[str, str] = {}
        self.waiting: list[tuple[PlannedSheet, int, int, PlannedCell, Place]] = []

    # -- sheets -----------------------------------------------------------------------------

    def place_sheet(self, spec: SheetSpec) -> None:
        sheet = PlannedSheet(spec)
        self.sheets.append(sheet)
        sheet.widths = {1: spec.label_width, 2: spec.value_width}
        row = self._head(sheet)
        for block in spec.blocks:
            if block.new_page:
                sheet.page_breaks.append(row - 1)
            if isinstance(block, FormBlock):
                row = self._form(sheet, block, row)
            elif isinstance(block, TableBlock):
                row = self._table(sheet, block, row)
            elif isinstance(block, SeriesBlock):
                row = self._series(sheet, block, row)
            elif isinstance(block, TextBlock):
                row = self._text(sheet, block, row)
            elif isinstance(block, ChecklistBlock):
                row = self._checklist(sheet, block, row)
            else:
                row = self._charts(sheet, block, row)
        sheet.last_row = row - 2

    def _head(self, sheet: PlannedSheet) -> int:
        spec = sheet.spec
        sheet.cells[1, 1] = PlannedCell("title", spec.title)
        sheet.cells[2, 1] = PlannedCell("purpose", spec.purpose)
        row = 3
        if spec.caution:
            sheet.cells[row, 1] = PlannedCell("caution", spec.caution)
            row += 1
        if not spec.customer_page and "sheet_status" in self._all_names():
            self._formula(sheet, row, 1, "status", "sheet_status", Place(spec.title))
            sheet.status_row = row
            row += 1
        return row + 1

    def _all_names(self) -> set[str]:
        blocks = [block for sheet in self.template.sheets for block in sheet.blocks]
        return {field.name for block in blocks if isinstance(block, FormBlock) for field in block.fields}

    # -- blocks -----------------------------------------------------------------------------

    def _block_head(self, sheet: PlannedSheet, row: int, title: str, hint: str) -> int:
        if title:
            sheet.cells[row, 1] = PlannedCell("block", title)
            row += 1
        if hint:
            sheet.cells[row, 1] = PlannedCell("hint", hint)
            row += 1
        return row

    def _form(self, sheet: PlannedSheet, block: FormBlock, row: int) -> int:
        row = self._block_head(sheet, row, block.title, block.hint)
        place = Place(sheet.spec.title)
        sheet.print_columns = max(sheet.print_columns, 4)
        sheet.widths.setdefault(3, 8)
        if not any(isinstance(other, SeriesBlock | TableBlock) and not _narrow(other) for other in sheet.spec.blocks):
            sheet.widths.setdefault(4, 44)
        for field in block.fields:
            self._place(Placed(field, sheet.spec.title, "scalar", row, 2))
            sheet.cells[row, 1] = PlannedCell("label", field.label)
            self._content(sheet, row, 2, field, field.formula, place)
            self._unit(sheet, row, 3, field, place)
            if field.needed:
                what = "needed for the price" if field.needed == "price" else "needed for the quotation"
                self._formula(sheet, row, 4, "state", f'IF({field.name}="","◄ {what}","")', place)
            elif field.beside:
                self._formula(sheet, row, 4, "hint", field.beside, place)
            if field.type == "long text":
                sheet.heights[row] = 32
            row += 1
        return row + 1

    def _table(self, sheet: PlannedSheet, block: TableBlock, row: int) -> int:
        rows = self.template.capacities[block.capacity] + block.extra_rows
        row_key = block.align or (f"{block.capacity} + {block.extra_rows}" if block.extra_rows else block.capacity)
        row = self._block_head(sheet, row, block.title, block.hint)
        heading, first = row, row + 2
        sheet.heights[heading] = max(_heading_height(field, self._width(block, field)) for field in block.columns)
        sheet.heights[heading + 1] = 15 if all(len(field.unit) * 0.9 < field.width for field in block.columns) else 25
        if any(field.type == "long text" for field in block.columns):
            sheet.heights.update(dict.fromkeys(range(first, first + rows), LONG_TEXT_HEIGHT))
        column, printed = 1, 1
        for field in block.columns:
            width = self.lots if field.per_lot else 1
            shape: Literal["column", "lot column"] = "lot column" if field.per_lot else "column"
            placed = Placed(
                field, sheet.spec.title, shape, first, column, rows, width, row_key, block.bind, block.key
            )  # fmt: skip
            self._place(placed)
            for lot in range(width):
                self._table_column(sheet, placed, heading, column + lot, lot if field.per_lot else None)
                if column + lot > 1:
                    wide = self._width(block, field)
                    sheet.widths[column + lot] = max(wide, sheet.widths.get(column + lot, 0) if column > 2 else 0)
            column += width
            if _is_printed(block, field):
                printed = column - 1
        sheet.print_columns = max(sheet.print_columns, printed)
        alone = sum(isinstance(other, TableBlock) for other in sheet.spec.blocks) == 1 or rows >= LONG_TABLE
        if sheet.freeze is None and block is sheet.spec.blocks[0] and alone:
            sheet.freeze = (first - 1, 1)
            sheet.title_rows = (heading, first - 1) if rows >= LONG_TABLE else None
        return first + rows + 1

    def _table_column(self, sheet: PlannedSheet, placed: Placed, heading: int, column: int, lot: int | None) -> None:
        field, title = placed.field, sheet.spec.title
        place = Place(title, placed.row_key, None, lot)
        if lot is None:
            sheet.cells[heading, column] = PlannedCell("heading", field.label, field=field)
        else:
            self._formula(sheet, heading, column, "lot heading", self._lot_heading(field.label, lot), place)
        self._unit(sheet, heading + 1, column, field, place, "column unit", blank=True)
        for index in range(placed.rows):
            here = Place(title, placed.row_key, index, lot)
            self._content(sheet, placed.row + index, column, field, field.formula, here)

    def _width(self, block: TableBlock, field: FieldSpec) -> float:
        """Return a column's width; one that is not printed is as wide as its heading needs, so that none is tall."""
        if _is_printed(block, field):
            return field.width
        wide = field.width
        while _heading_lines(field, wide) > MOST_LINES:
            wide += 1
        return wide

    def _lot_heading(self, label: str, lot: int) -> str:
        if lot == 0:
            return f'"{label}, first piece alone"'
        return f'IF(lot_size=0,"{label}, no lot {lot}","{label}, lot of "&lot_size)'

    def _series(self, sheet: PlannedSheet, block: SeriesBlock, row: int) -> int:
        row = self._block_head(sheet, row, block.title, block.hint)
        title = sheet.spec.title
        sheet.print_columns = max(sheet.print_columns, FIRST_LOT_COLUMN + self.lots - 1)
        sheet.heights[row] = 2 * HEADING_LINE
        sheet.cells[row, 1] = PlannedCell("heading", "")
        sheet.cells[row, 2] = PlannedCell("heading", "unit")
        for lot in range(self.lots):
            column = FIRST_LOT_COLUMN + lot
            sheet.widths[column] = max(sheet.widths.get(column, 0), 14)
            text = '"first piece alone"' if lot == 0 else f'IF(lot_size=0,"(no lot {lot})","lot of "&lot_size)'
            self._formula(sheet, row, column, "lot heading", text, Place(title, lot=lot))
        for field in block.rows:
            row += 1
            self._place(Placed(field, title, "series", row, FIRST_LOT_COLUMN, 1, self.lots))
            sheet.cells[row, 1] = PlannedCell("total" if field.emphasis == "total" else "label", field.label)
            self._unit(sheet, row, 2, field, Place(title), blank=True)
            for lot in range(self.lots):
                formula = field.first if lot == 0 and field.first else field.formula
                self._content(sheet, row, FIRST_LOT_COLUMN + lot, field, formula, Place(title, lot=lot))
        return row + 2

    def _text(self, sheet: PlannedSheet, block: TextBlock, row: int) -> int:
        row = self._block_head(sheet, row, block.title, "")
        for line in block.lines:
            if line.startswith("="):
                self._formula(sheet, row, 1, "text", line[1:], Place(sheet.spec.title))
            else:
                sheet.cells[row, 1] = PlannedCell("text", line)
            row += 1
        return row + 1

    def _checklist(self, sheet: PlannedSheet, block: ChecklistBlock, row: int) -> int:
        row = self._block_head(sheet, row, block.title, block.hint)
        title, place = sheet.spec.title, Place(sheet.spec.title)
        sheet.print_columns = max(sheet.print_columns, 4)
        sheet.widths[3] = max(sheet.widths.get(3, 0), 28)
        sheet.widths[4] = max(sheet.widths.get(4, 0), 20)
        for column, text in enumerate(("what", "how many", "what it means", "go there"), start=1):
            sheet.cells[row, column] = PlannedCell("heading", text)
        stops: dict[str, list[str]] = {"price": [], "quotation": [], "nothing": []}
        for check in block.checks:
            row += 1
            self.names[check.name] = area(title, row, 2)
            stops[check.stops].append(check.name)
            sheet.cells[row, 1] = PlannedCell("label", check.label)
            self._formula(sheet, row, 2, "formula", check.count, place, check.name)
            words = {
                "price": "missing for the price",
                "quotation": "missing for the quotation",
                "nothing": "look at it",
            }
            self._formula(sheet, row, 3, "state", f'IF({check.name}=0,"ok","◄ {words[check.stops]}")', place)
            sheet.cells[row, 4] = PlannedCell("link", f"{check.sheet} ►", jump=check.field)
        for name, label, key in (
            (block.total, block.total_label, "price"),
            (block.total_quotation, "Missing for the quotation as well", "quotation"),
            (block.total_look, block.total_look_label, "nothing"),
        ):
            if not name:
                continue
            row += 1
            self.names[name] = area(title, row, 2)
            sheet.cells[row, 1] = PlannedCell("total", label)
            self._formula(sheet, row, 2, "total", "+".join(stops[key]) or "0", place, name)
        return row + 2

    def _charts(self, sheet: PlannedSheet, block: ChartsBlock, row: int) -> int:
        row = self._block_head(sheet, row, block.title, "")
        sheet.charts.extend((row, chart) for chart in block.charts)
        return row + CHART_ROWS

    # -- cells ------------------------------------------------------------------------------

    def _place(self, placed: Placed) -> None:
        name = placed.field.name
        self.placed[name] = placed
        if placed.shape == "lot column":
            for lot in range(placed.columns):
                self.names[lot_name(name, lot)] = area(placed.sheet, placed.row, placed.column + lot, placed.rows)
        else:
            self.names[name] = area(placed.sheet, placed.row, placed.column, placed.rows, placed.columns)

    def _content(
        self, sheet: PlannedSheet, row: int, column: int, field: FieldSpec, formula: str, place: Place
    ) -> None:
        if field.is_input:
            sheet.cells[row, column] = PlannedCell("given" if field.given else "input", field=field)
            return
        look = {"total": "total", "state": "state"}.get(field.emphasis, "formula")
        cell = PlannedCell(look, formula=formula, field=field)  # type: ignore[arg-type]
        self.waiting.append((sheet, row, column, cell, place))

    def _formula(
        self, sheet: PlannedSheet, row: int, column: int, look: str, formula: str, place: Place, name: str = ""
    ) -> None:
        cell = PlannedCell(look, formula=formula, name=name)  # type: ignore[arg-type]
        self.waiting.append((sheet, row, column, cell, place))

    def _unit(
        self,
        sheet: PlannedSheet,
        row: int,
        column: int,
        field: FieldSpec,
        place: Place,
        look: Look = "unit",
        blank: bool = False,
    ) -> None:
        # Above a column a unit stands as its numbers do.
        shown = field if look == "column unit" else None
        if field.unit.startswith("="):
            cell = PlannedCell(look, formula=field.unit[1:], field=shown)
            self.waiting.append((sheet, row, column, cell, place))
        elif field.unit or blank:
            sheet.cells[row, column] = PlannedCell(look, field.unit, field=shown)

    def resolve_all(self) -> None:
        for sheet, row, column, cell, place in self.waiting:
            formula = resolve(cell.formula, place, self.placed, self.names)
            sheet.cells[row, column] = replace(cell, formula=formula, source=cell.formula, lot=place.lot)


#: Width of a letter of a heading, in the letters that column widths are counted in; by looking at printed pages.
HEADING_LETTER = 0.85


#: A heading of a column that is not printed takes so many lines at most.
MOST_LINES = 3


def _heading_height(field: FieldSpec, width: float) -> float:
    """Return the height that a column's heading needs when it is wrapped at words."""
    return HEADING_LINE * _heading_lines(field, width) + 4


def _heading_lines(field: FieldSpec, width: float) -> int:
    label = f"{field.label}, first piece alone" if field.per_lot else field.label
    lines, used = 1, 0.0
    for word in label.split():
        long = len(word) * HEADING_LETTER + 0.6
        used += long
        if used > width - 1 and used > long:
            lines, used = lines + 1, long
    return lines


def _is_printed(block: TableBlock, field: FieldSpec) -> bool:
    return not field.per_lot and not (block.print_to and _stands_before(block, block.print_to, field.name))


def _narrow(block: SeriesBlock | TableBlock) -> bool:
    """Tell whether a table is narrow enough to leave the remarks of a form beside it alone."""
    return isinstance(block, TableBlock) and len(block.columns) <= 3


def _stands_before(block: TableBlock, first: str, second: str) -> bool:
    names = [column.name for column in block.columns]
    return names.index(first) < names.index(second)


def inputs_of(plan: Plan) -> Iterator[Placed]:
    """Yield every input field of a plan in template order."""
    return (placed for placed in plan.placed.values() if placed.field.is_input)
