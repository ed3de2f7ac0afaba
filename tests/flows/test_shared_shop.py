"""A shop profile that was found valid in one workbook stands for equal data only, and never for nearly equal ones.

Source of every expectation: the same inputs read in a process that has met no other workbook.
"""

from __future__ import annotations

from pathlib import Path

from quotebook.flows import opening
from quotebook.flows.opening import open_workbook
from quotebook.values import Value
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy
from tests.made import place


def test_a_logical_or_a_text_in_place_of_a_number_is_refused_though_the_number_was_met(
    metric_file: Path, tmp_path: Path
) -> None:
    cell = place(open_workbook(metric_file), "stock_markup")
    values: list[Value] = [1.0, True, "1.0", 0.0, False, -0.0, 1.0]
    paths = []
    for number, value in enumerate(values):
        paths.append(tmp_path / f"{number}.xlsx")
        write_copy(metric_file, paths[-1], {cell: NewInput(value)})
    alone = []
    for path in paths:
        opening._SHOPS.clear()
        alone.append(open_workbook(path))
    opening._SHOPS.clear()
    for path, expected in zip(paths, alone, strict=True):
        found = open_workbook(path)
        assert found.shop == expected.shop
        assert [text.replace(path.name, "") for text in found.problems] == [
            text.replace(path.name, "") for text in expected.problems
        ]
    assert [one.shop is None for one in alone] == [False, True, True, False, True, False, False]
