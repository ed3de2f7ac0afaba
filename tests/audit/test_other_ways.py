"""Rows inserted and deleted, other template revisions, lost contracts: what a change of cells alone cannot show."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from quotebook.audit.finding import Finding
from quotebook.audit.registry import check_named
from quotebook.audit.view import BookView
from quotebook.engine.book import FormulaBook
from quotebook.values import Address
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.located import Located
from quotebook.workbook.snapshot import Cell, Sheet, Snapshot, Table
from tests.audit.contract_base import base_view, write_base


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> BookView:
    return base_view(write_base(tmp_path_factory.mktemp("other")))


def said(view: BookView, check: str) -> list[Finding]:
    one = check_named(check)
    assert one is not None
    return list(one.find(view))


def plain(cells: dict[tuple[int, int], Cell], **more: object) -> BookView:
    snapshot = Snapshot(Path("x.xlsx"), (Sheet("Sheet1", "s1", cells=cells),), **more)  # type: ignore[arg-type]
    return BookView(snapshot, formula_book(snapshot))


def grown(view: BookView, typed: bool) -> BookView:
    """The view as it is after a row was inserted in the Nonrecurring table: its names cover one row more."""
    assert view.located_by_names is not None
    fields = {
        name: replace(placed, rows=placed.rows + 1) if placed.row_key == "nonrecurring" else placed
        for name, placed in view.located_by_names.fields.items()
    }
    place = view.field("nonrecurring_description")
    assert place is not None
    sheets = []
    for sheet in view.snapshot.sheets:
        cells = dict(sheet.cells)
        if sheet.title == place.sheet and typed:
            cells[place.row + place.rows, place.column] = Cell("Fixture")
        sheets.append(replace(sheet, cells=cells))
    snapshot = replace(view.snapshot, sheets=tuple(sheets))
    return BookView(
        snapshot, formula_book(snapshot), contract=view.contract, located=Located(fields, {}), inputs=view.inputs
    )


def test_an_inserted_row_that_is_filled_in_without_formulas_is_found(view: BookView) -> None:
    findings = said(grown(view, typed=True), "row-without-formulas")
    assert [one.sheet for one in findings] == ["Nonrecurring"]
    assert findings[0].put_right, "the formulas of the row are told"


def test_an_inserted_row_that_is_blank_is_no_damage(view: BookView) -> None:
    other = grown(view, typed=False)
    for check in ("row-without-formulas", "emptied-formula", "changed-formula", "removed-rows"):
        assert [one for one in said(other, check) if one.sheet == "Nonrecurring"] == [], check


def test_rows_deleted_from_a_table_are_told(view: BookView) -> None:
    assert view.located_by_names is not None
    fields = {
        name: replace(placed, rows=placed.rows - 1) if placed.row_key == "cutting" else placed
        for name, placed in view.located_by_names.fields.items()
    }
    shorter = BookView(view.snapshot, view.book, contract=view.contract, located=Located(fields, {}))
    assert [one.sheet for one in said(shorter, "removed-rows")] == ["Cutting"]
    assert said(view, "removed-rows") == []


def test_an_older_revision_of_the_template_is_told(view: BookView) -> None:
    assert view.contract is not None
    old = replace(view.contract, revision=0)
    older = BookView(view.snapshot, view.book, contract=old, located=view.located_by_names)
    assert len(said(older, "outdated-template")) == 1
    assert said(view, "outdated-template") == []


def test_a_lost_contract_is_told(view: BookView) -> None:
    bare = BookView(view.snapshot, view.book)
    assert len(said(bare, "lost-contract")) == 1
    assert said(plain({(1, 1): Cell(1.0)}), "lost-contract") == []


def test_a_row_directly_below_a_table_object_is_told() -> None:
    cells = {(row, column): Cell(float(row + column)) for row in range(2, 6) for column in (1, 2)}
    short = Table("Costs", "Sheet1", "A1:B4", ("a", "b"))
    whole = Table("Costs", "Sheet1", "A1:B5", ("a", "b"))
    assert [one.cells for one in said(plain(cells, tables=(short,)), "row-below-list")] == ["A5:B5"]
    assert said(plain(cells, tables=(whole,)), "row-below-list") == []


def test_pivot_tables_are_told_as_old_data() -> None:
    with_pivot = plain({(1, 1): Cell(1.0)}, parts=("xl/pivotTables/pivotTable1.xml",))
    assert len(said(with_pivot, "summary-of-old-data")) == 1
    assert said(plain({(1, 1): Cell(1.0)}), "summary-of-old-data") == []


def test_a_figure_from_another_file_is_told(view: BookView) -> None:
    cell = view.field_cell("stock_freight")
    assert cell is not None
    formulas = {**view.book.formulas, cell: "[1]Sheet1!$B$7"}
    book: FormulaBook = replace(view.book, formulas=formulas)
    snapshot = replace(view.snapshot, external_links=("rates.xlsx",))
    linked = BookView(snapshot, book, contract=view.contract, located=view.located_by_names)
    assert [(one.sheet, one.cells) for one in said(linked, "figure-from-another-file")] == [
        (cell.sheet, str(Address(*cell)).split("!")[1])
    ]
    assert said(view, "figure-from-another-file") == []


def test_a_file_that_was_saved_twice_says_so_where_the_first_lies_beside_it(tmp_path: Path) -> None:
    def told(name: str) -> list[str]:
        snapshot = Snapshot(tmp_path / name, (Sheet("Sheet1", "s1", cells={(1, 1): Cell(1.0)}),))
        return [finding.found for finding in said(BookView(snapshot, formula_book(snapshot)), "copy-in-conflict")]

    assert told("bracket (1).xlsx") == []
    (tmp_path / "bracket.xlsx").touch()
    assert told("bracket.xlsx") == []
    for name in ("bracket (1).xlsx", "Copy of bracket.xlsx", "bracket - Copy.xlsx"):
        assert told(name) == [name]
    for name in (
        "other (Sample's conflicted copy 2099-03-01).xlsx",
        "other.sync-conflict-20990301-120000-ABCDEFG.xlsx",
    ):
        assert told(name) == [name]
    assert told("bracket conflicting dates.xlsx") == []


def test_a_program_that_dropped_all_rules_is_named(view: BookView) -> None:
    assert said(view, "dropped-features") == []
    sheets = tuple(replace(sheet, validations=(), conditional_formats=()) for sheet in view.snapshot.sheets)
    snapshot = replace(view.snapshot, sheets=sheets, properties={"Application": "Sample Viewer"})
    bare = BookView(snapshot, view.book, contract=view.contract, located=view.located_by_names)
    (finding,) = said(bare, "dropped-features")
    assert finding.found == "no rules of inputs and no colour rules"
    assert "Sample Viewer" in str(finding.evidence[0])
