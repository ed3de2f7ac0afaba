"""The add-in in a real LibreOffice: dispatched from its menu, read back from the sheets, on the document as it is.

What must be shown is the issue's own list; the faults and their places were worked out by hand (``seeded``).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.addin.office_session import Session
from tests.addin.seeded import FAULTS, content_of, place_of, seed
from tests.libreoffice import needs_libreoffice

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]
TITLE = "Audit findings"


@pytest.fixture
def document(session: Session, base: Path, tmp_path: Path) -> Iterator[int]:
    """The workbook with five faults, open in the office."""
    number = session.open(path=str(seed(base, tmp_path / "seeded.xlsx")))
    yield number
    session.close(document=number)


@pytest.fixture
def clean(session: Session, base: Path) -> Iterator[int]:
    """The workbook without a fault, open in the office."""
    number = session.open(path=str(base))
    yield number
    session.close(document=number)


def ours(state: Any) -> list[Any]:
    """Return the notes that quotebook put there."""
    return [note for note in state["notes"] if "Mark of quotebook" in note["text"]]


def test_five_faults_are_listed_and_marked_and_gone_once_mended(session: Session, document: int, base: Path) -> None:
    told = session.command(document=document, name="check")
    assert len(told["boxes"]) == 1
    assert "5 findings" in told["boxes"][0]["text"]
    state = session.state(document=document)
    rows = state["lists"][TITLE]
    assert {row[2] for row in rows[1:]} == set(FAULTS)
    for check, (key, _) in FAULTS.items():
        cell = place_of(base, key)
        row = next(row for row in rows if row[2] == check)
        assert session.follow(document=document, url=row[3]["url"]) == absolute(cell.sheet, cell.row, cell.column)
        note = next(one for one in ours(state) if (one["sheet"], one["row"], one["column"]) == tuple(cell))
        assert check in note["text"]
        assert f"Mend: {row[9]}"[:200] in note["text"]
    assert len(ours(state)) == 5
    for key, _ in FAULTS.values():
        cell = place_of(base, key)
        session.mend(
            document=document, sheet=cell.sheet, row=cell.row, column=cell.column, formula=content_of(base, cell)
        )
    told = session.command(document=document, name="check")
    assert "Nothing found" in told["boxes"][0]["text"]
    state = session.state(document=document)
    assert state["lists"] == {}
    assert ours(state) == []


def absolute(sheet: str, row: int, column: int) -> str:
    title = f"'{sheet}'" if " " in sheet else sheet
    return f"${title}.${chr(64 + column)}${row}"


def test_what_is_typed_and_not_saved_is_judged_and_nothing_of_the_persons_is_lost(
    session: Session, clean: int, base: Path
) -> None:
    cell = place_of(base, ("stock_density", 0))
    name = absolute(cell.sheet, cell.row, cell.column)
    before = base.read_bytes()
    session.type(document=clean, cell=name, text="2.7")
    session.goto(document=clean, cell=name)
    was = session.state(document=clean)
    assert was["modified"]
    assert len(was["undo"]) == 1
    told = session.command(document=clean, name="check")
    assert "1 finding:" in told["boxes"][0]["text"]
    now = session.state(document=clean)
    assert [one["text"].split("\n")[0] for one in ours(now)] == ["1. look at it: weight-against-size"]
    for kept in ("selection", "active", "url", "modified", "protected"):
        assert now[kept] == was[kept], kept
    assert now["undo"][1:] == was["undo"], "the marks are one step of the history, and what was typed stands below it"
    assert base.read_bytes() == before
    session.undo(document=clean)
    undone = session.state(document=clean)
    assert ours(undone) == []
    assert undone["lists"] == {}
    assert undone["protected"] == was["protected"]
    session.undo(document=clean)
    read = session.step(
        document=clean, step={"do": "read", "sheet": cell.sheet, "row": cell.row, "column": cell.column}
    )
    assert read["text"] == content_of(base, cell) == ""
    session.command(document=clean, name="check")
    assert len(session.state(document=clean)["redo"]) == 2, "nothing to mark, so nothing is lost of what can be redone"


def test_a_check_of_an_untouched_workbook_leaves_it_untouched(session: Session, document: int) -> None:
    session.command(document=document, name="check")
    assert not session.state(document=document)["modified"], "closing must not ask whether to save"


def test_a_second_check_replaces_the_first_ones_marks(session: Session, document: int, base: Path) -> None:
    session.command(document=document, name="check")
    first = session.state(document=document)
    cell = place_of(base, ("customer_name", 0))
    session.mend(document=document, sheet=cell.sheet, row=cell.row, column=cell.column, formula="Example Pumps")
    session.goto(document=document, cell=f"$'{TITLE}'.A2")  # standing on the list while it is written anew
    session.command(document=document, name="check")
    second = session.state(document=document)
    assert second["sheets"] == first["sheets"]
    assert second["active"] == TITLE
    assert len(ours(first)) == 5
    assert len(ours(second)) == 4
    assert len(second["lists"][TITLE]) == 5


def test_clear_takes_all_marks_away_and_gives_each_cell_its_ground_back(
    session: Session, document: int, base: Path
) -> None:
    places = [list(place_of(base, key)) for key, _ in FAULTS.values()]
    was, grounds = session.state(document=document), session.grounds(document=document, cells=places)
    session.command(document=document, name="check")
    marked = session.grounds(document=document, cells=places)
    assert all(now != before for now, before in zip(marked, grounds, strict=True))
    told = session.command(document=document, name="clear")
    assert told["boxes"][0]["text"] == "5 marks cleared."
    now = session.state(document=document)
    assert session.grounds(document=document, cells=places) == grounds
    assert now["sheets"] == was["sheets"]
    assert now["notes"] == was["notes"], "the workbook's own notes are still there"
    assert now["protected"] == was["protected"]
    assert "no marks" in session.command(document=document, name="clear")["boxes"][0]["text"]


def test_a_note_of_the_persons_own_and_a_password_are_respected(session: Session, document: int, base: Path) -> None:
    cell, locked = place_of(base, ("customer_name", 0)), place_of(base, ("setup_hours", 0))
    session.mend(document=document, sheet=cell.sheet, row=cell.row, column=cell.column, formula="TBA")
    session.protect(document=document, sheet=cell.sheet, password="")
    session.note_unlocked(document=document, sheet=cell.sheet, row=cell.row, column=cell.column, text="ask on Monday")
    session.protect(document=document, sheet=locked.sheet, password="secret")
    told = session.command(document=document, name="check")
    text = told["boxes"][0]["text"]
    assert f'1 cells of "{cell.sheet}" carry a note already' in text
    assert f'"{locked.sheet}" is protected with a password' in text
    state = session.state(document=document)
    assert [one["text"] for one in state["notes"] if one["sheet"] == cell.sheet][-1] == "ask on Monday"
    assert locked.sheet in state["protected"]
    assert len(ours(state)) == 3
    assert len(state["lists"][TITLE]) == 6, "the list has them all"


def test_texts_of_the_workbook_never_become_formulas_in_the_list(session: Session, clean: int, base: Path) -> None:
    cell = place_of(base, ("work_center_name", 0))
    session.mend(document=clean, sheet=cell.sheet, row=cell.row, column=cell.column, formula="'=1+1")
    session.command(document=clean, name="check")
    rows = session.state(document=clean)["lists"][TITLE]
    texts = [value for row in rows for value in row if isinstance(value, str)]
    assert any("=1+1" in text for text in texts), "the test would prove nothing"
    assert not any(text.startswith("=") for text in texts)


def test_an_opendocument_workbook_is_checked_too(session: Session, document: int, tmp_path: Path) -> None:
    saved = tmp_path / "saved.ods"
    session.store(document=document, path=str(saved), filter_name="calc8")
    number = session.open(path=str(saved))
    told = session.command(document=number, name="check")
    found = {row[2] for row in session.state(document=number)["lists"][TITLE][1:]}
    session.close(document=number)
    assert "saved.ods" in told["boxes"][0]["text"]
    assert set(FAULTS) <= found


def test_without_the_engine_one_box_says_what_to_do_and_the_marks_stay(
    session: Session, document: int, engine: Path
) -> None:
    session.command(document=document, name="check")
    hidden = engine.rename(engine.with_name("elsewhere"))
    try:
        told = session.command(document=document, name="check")
    finally:
        hidden.rename(engine)
    assert [box["tone"] for box in told["boxes"]] == ["error"]
    assert "quotebook addin install" in told["boxes"][0]["text"]
    assert str(engine) in told["boxes"][0]["text"]
    assert len(ours(session.state(document=document))) == 5


def test_an_engine_that_stops_is_told_with_its_own_words(session: Session, clean: int, engine: Path) -> None:
    content = engine.read_text(encoding="utf-8")
    engine.write_text("#!/bin/sh\necho 'no room on the disk' >&2\nexit 3\n", encoding="utf-8")
    try:
        told = session.command(document=clean, name="check")
    finally:
        engine.write_text(content, encoding="utf-8")
    assert "no room on the disk" in told["boxes"][0]["text"]
