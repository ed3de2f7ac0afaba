"""Formula books written as xlsx files, for the programs that the engine is compared with."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from quotebook.engine import FormulaBook
from quotebook.values import Address, ErrorValue, Value, column_letters

#: Functions younger than the file format carry a prefix in files. Source: the format's extension list, from memory.
_PREFIXED = (
    "MAXIFS|MINIFS|IFS|SWITCH|CONCAT|TEXTJOIN|XLOOKUP|XOR|IFNA|CEILING\\.MATH|FLOOR\\.MATH|STDEV\\.S|STDEV\\.P|VAR\\.S|VAR\\.P|"
    "RANK\\.EQ|PERCENTILE\\.INC|QUARTILE\\.INC|NORM\\.DIST|NORM\\.INV|NORM\\.S\\.DIST|NORM\\.S\\.INV|BINOM\\.DIST|"
    "HYPGEOM\\.DIST|POISSON\\.DIST|FORECAST\\.LINEAR|ISOWEEKNUM|DAYS"
)
_NEW = re.compile(rf"(?<![\w.])({_PREFIXED})\(")


def write(book: FormulaBook, path: Path) -> None:
    """Write formulas, inputs and names; no results are stored."""
    workbook = Workbook()
    workbook.remove(workbook.active)
    for title in book.sheets:
        workbook.create_sheet(title)
    for cell, value in book.inputs.items():
        workbook[cell.sheet].cell(cell.row, cell.column).value = value
    for cell, formula in book.formulas.items():
        text = "=" + _NEW.sub(r"_xlfn.\1(", formula)
        target = workbook[cell.sheet].cell(cell.row, cell.column)
        last = book.arrays.get(cell)
        if last is None:
            target.value = text
        else:
            corners = (cell, last)
            target.value = ArrayFormula(":".join(f"{column_letters(c.column)}{c.row}" for c in corners), text)
    for (sheet, name), text in book.names.items():
        names = workbook.defined_names if sheet is None else workbook[sheet].defined_names
        names[name] = DefinedName(name, attr_text=text)
    workbook.save(path)


def read_values(path: Path) -> dict[Address, Value]:
    """Return the stored values of all cells that hold one."""
    found: dict[Address, Value] = {}
    workbook = load_workbook(path, data_only=True)
    for sheet in workbook:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is None:
                    continue
                value: Value = cell.value
                if cell.data_type == "e":
                    value = ErrorValue(cell.value)
                elif isinstance(cell.value, datetime | time | timedelta):
                    value = float(to_excel(cell.value))
                elif isinstance(cell.value, int) and not isinstance(cell.value, bool):
                    value = float(cell.value)
                found[Address(sheet.title, cell.row, cell.column)] = value
    return found
