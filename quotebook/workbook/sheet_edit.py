"""Rewriting single cells in the bytes of a sheet part; every byte outside of them stays."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from quotebook.workbook.areas import Area, cell_name, parse_area
from quotebook.workbook.cell_formulas import area_name
from quotebook.workbook.changes import (
    CellXml,
    Change,
    NewFormula,
    NewInput,
    NewResult,
    formula_element,
    input_xml,
    result_xml,
)
from quotebook.workbook.refusals import damaged
from quotebook.workbook.sheet_scan import SheetScan, Span, scan_sheet, utf8_part
from quotebook.workbook.snapshot import Sheet
from quotebook.workbook.xml_parts import flag, parse_xml, whole

Key = tuple[int, int]
_ATTRIBUTE = re.compile(r"""\s+([^\s=]+)\s*=\s*("[^"]*"|'[^']*')""")


def edit_sheet(data: bytes, where: str, sheet: Sheet, changes: Mapping[Key, Change], date1904: bool) -> bytes:
    """Return the sheet part with the changes made; ``sheet`` is the part as it was read."""
    data = utf8_part(data, where)
    editor = _SheetEditor(scan_sheet(data, where), where, sheet, date1904)
    edited = editor.edited(changes)
    parse_xml(edited, where)  # never hand out a part that could not be read again
    return edited


class _SheetEditor:
    def __init__(self, scan: SheetScan, where: str, sheet: Sheet, date1904: bool) -> None:
        if scan.sheet_data is None:
            raise damaged(where, "no sheet data", "a worksheet")
        self._scan = scan
        self._where = where
        self._sheet = sheet
        self._date1904 = date1904
        self._data_span = scan.sheet_data
        self._prefix = scan.sheet_data.name.rpartition(":")[0] + ":" if ":" in scan.sheet_data.name else ""
        self._edits: list[tuple[int, int, str]] = []
        self._new: dict[int, list[tuple[int, str]]] = {}
        self._lost: set[str] = set()

    def edited(self, changes: Mapping[Key, Change]) -> bytes:
        """Return the bytes of the part with all changes made."""
        self._lost = {
            formula.attributes.get("si", "")
            for key, change in changes.items()
            if not isinstance(change, NewResult) and (formula := self._shared(key)) and self._text(formula)
        }
        for key in sorted(changes):
            self._change(key, changes[key])
        for key in self._scan.cells if self._lost else ():
            formula = self._shared(key)
            if formula is not None and key not in changes:
                self._edits.append((formula.start, formula.end, self._freed(formula, key)))
        self._plan_new_cells()
        return self._applied()

    def _change(self, key: Key, change: Change) -> None:
        """Plan the rewriting of one cell."""
        where = f"{self._where}, cell {cell_name(*key)}"
        if isinstance(change, NewInput):
            content = input_xml(where, change.value, self._date1904, self._prefix)
        else:
            content = result_xml(where, change.value, self._prefix)
        if isinstance(change, NewFormula):
            content = replace(content, formula=formula_element(where, change.text, self._prefix))
        span = self._scan.cells.get(key)
        if span is not None:
            keep_formula = isinstance(change, NewResult)
            self._edits.append((span.start, span.end, self._rewritten(span, key, content, keep_formula)))
        elif content.formula or content.value:
            style = self._inherited_style(key)
            attributes = f' r="{cell_name(*key)}"' + (f' s="{style}"' if style else "")
            self._new.setdefault(key[0], []).append((key[1], self._cell(attributes, content, "")))

    def _freed(self, formula: Span, key: Key) -> str:
        """Return an f element; as a formula of its own if it shared that of a first cell which is replaced."""
        cell = self._sheet.cells.get(key)
        shares = formula.attributes.get("t") == "shared" and formula.attributes.get("si", "") in self._lost
        if shares and "ref" not in formula.attributes and cell is not None and cell.formula is not None:
            return formula_element(self._where, cell.formula, self._prefix)
        return self._raw(formula.start, formula.end)

    def _applied(self) -> bytes:
        data, pieces, done = self._scan.data, [], 0
        for start, end, text in sorted(self._edits, key=lambda edit: edit[:2]):
            pieces += [data[done:start], text.encode("utf-8")]
            done = end
        return b"".join([*pieces, data[done:]])

    def _raw(self, start: int, end: int) -> str:
        return self._scan.data[start:end].decode("utf-8")

    def _text(self, span: Span) -> str:
        return self._raw(span.tag_end, span.close).strip() if not span.closes_itself else ""

    def _shared(self, key: Key) -> Span | None:
        span = self._scan.cells.get(key)
        formulas = [] if span is None else [part for part in span.children if part.local == "f"]
        return formulas[-1] if formulas and formulas[-1].attributes.get("t") == "shared" else None

    def _rewritten(self, span: Span, key: Key, content: CellXml, keep_formula: bool) -> str:
        # vm ties the cell to extra data about its old value, cm to the array formula it held.
        dropped = {"t", "vm"} if keep_formula else {"t", "vm", "cm"}
        attributes = self._kept_attributes(span, dropped)
        formula = content.formula
        others = ""
        for part in span.children:
            if part.local == "f" and keep_formula:
                formula = self._freed(part, key)
            elif part.local not in ("f", "v", "is"):
                others += self._raw(part.start, part.end)
        return self._cell(attributes, replace(content, formula=formula), others)

    def _cell(self, attributes: str, content: CellXml, others: str) -> str:
        kind = f' t="{content.kind}"' if content.kind else ""
        inside = content.formula + content.value + others
        name = f"{self._prefix}c"
        return f"<{name}{attributes}{kind}>{inside}</{name}>" if inside else f"<{name}{attributes}/>"

    def _kept_attributes(self, span: Span, dropped: set[str]) -> str:
        tag = self._raw(span.start, span.tag_end)
        return "".join(match[0] for match in _ATTRIBUTE.finditer(tag) if match[1] not in dropped)

    def _inherited_style(self, key: Key) -> str:
        """Return the format that a cell without an entry has: its row's, else its column's."""
        row = self._scan.rows.get(key[0])
        if row is not None and flag(row.attributes.get("customFormat")):
            return str(whole(row.attributes.get("s")) or "")
        for column in self._scan.columns:
            if whole(column.attributes.get("min")) <= key[1] <= whole(column.attributes.get("max")):
                return str(whole(column.attributes.get("style")) or "")
        return ""

    def _plan_new_cells(self) -> None:
        fresh_rows: list[tuple[int, str]] = []
        for number, cells in self._new.items():
            row = self._scan.rows.get(number)
            if row is None:
                inside = "".join(text for _, text in cells)
                fresh_rows.append((number, f'<{self._prefix}row r="{number}">{inside}</{self._prefix}row>'))
            else:
                self._plan_in_row(row, self._scan.row_cells[number], cells)
        self._plan_rows(fresh_rows)
        if self._new:
            self._plan_dimension()

    def _plan_in_row(self, row: Span, present: list[tuple[int, Span]], cells: list[tuple[int, str]]) -> None:
        # "spans" is only a hint about the columns in use; without it there is none that is wrong.
        tag = f"<{row.name}{self._kept_attributes(row, {'spans'})}>"
        if row.closes_itself:
            inside = "".join(text for _, text in cells)
            self._edits.append((row.start, row.end, f"{tag}{inside}</{row.name}>"))
            return
        self._edits.append((row.start, row.tag_end, tag))
        for column, text in cells:
            place = next((span.start for other, span in present if other > column), row.close)
            self._edits.append((place, place, text))

    def _plan_rows(self, rows: list[tuple[int, str]]) -> None:
        whole_data = self._data_span
        if rows and whole_data.closes_itself:
            tag = self._raw(whole_data.start, whole_data.tag_end).rstrip("/>").rstrip()
            inside = "".join(text for _, text in rows)
            self._edits.append((whole_data.start, whole_data.end, f"{tag}>{inside}</{whole_data.name}>"))
            return
        for number, text in rows:
            later = [span.start for other, span in self._scan.rows.items() if other > number]
            place = min(later, default=whole_data.close)
            self._edits.append((place, place, text))

    def _plan_dimension(self) -> None:
        """Widen the stated used range, which some readers believe."""
        span = self._scan.dimension
        area = parse_area(span.attributes.get("ref", "")) if span else None
        if span is None or area is None:
            return
        rows = [*self._new, area.first_row, area.last_row]
        columns = [*(column for cells in self._new.values() for column, _ in cells), area[1], area[3]]
        wider = Area(min(rows), min(columns), max(rows), max(columns))
        if wider != area:
            attributes = self._kept_attributes(span, {"ref"})
            self._edits.append((span.start, span.tag_end, f'<{span.name} ref="{area_name(wider)}"{attributes}/>'))
