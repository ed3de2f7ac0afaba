"""Real saves by LibreOffice and openpyxl under the watch, and its marked copy opened again in LibreOffice.

What must hold is the issue's own list: 200 saves in a row, none missed, none judged twice; the marked copy opens with
the same list, links and marks as the add-in's own check.
"""

from __future__ import annotations

import hashlib
import time
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from quotebook.cli.watch_run import judge_by_audit
from quotebook.flows.watch import marked_of, page_of
from tests.addin.office_session import Session
from tests.addin.seeded import FAULTS, place_of, seed
from tests.addin.test_in_the_sheet import TITLE, absolute, ours
from tests.flows.test_watch import Running, content
from tests.libreoffice import needs_libreoffice

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]
FILES, SAVES = 20, 200
#: Seconds that a save must lie there before the file is saved again, else no watch could tell it from the next.
LIES = 1.5


def test_200_saves_by_libreoffice_and_openpyxl_none_missed_none_judged_twice(session: Session, tmp_path: Path) -> None:
    paths = [tmp_path / f"job {number}.xlsx" for number in range(FILES)]
    for path in paths:
        path.write_bytes(content(path.name))
    documents = {path: session.open(path=str(path)) for path in paths[::2]}
    running, saved, last = Running(tmp_path), Counter[tuple[str, str]](), dict.fromkeys(paths, time.monotonic())
    saved.update((path.name, hashlib.sha256(path.read_bytes()).hexdigest()) for path in paths)  # these too
    for number in range(SAVES):
        path = paths[number % FILES]
        time.sleep(max(0.0, LIES - (time.monotonic() - last[path])))
        if path in documents:
            step = {"do": "type", "sheet": "Sheet", "row": 1, "column": 1, "text": f"save {number}"}
            session.step(document=documents[path], step=step)
            session.save(document=documents[path])
        else:
            book = openpyxl.load_workbook(path)
            book.active["A1"] = f"save {number}"
            book.save(path)
        saved[path.name, hashlib.sha256(path.read_bytes()).hexdigest()] += 1
        last[path] = time.monotonic()
    running.wait_for(SAVES + FILES)
    time.sleep(0.5)  # what is judged twice would come now
    judged = Counter((one.save.path.name, one.save.digest) for one in running.end())
    for document in documents.values():
        session.close(document=document)
    assert sum(saved.values()) == len(saved) == SAVES + FILES
    assert judged == saved


def test_what_libreoffice_saves_is_judged_and_the_marked_copy_opens_with_list_links_and_marks(
    session: Session, base: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "watched"
    folder.mkdir()
    workbook = folder / "saved.xlsx"
    number = session.open(path=str(seed(base, tmp_path / "seeded.xlsx")))
    running = Running(folder, judge_by_audit(mark=True))
    try:
        session.store(document=number, path=str(workbook))
        running.wait_for(1, 60)
    finally:
        judged = running.end()
        session.close(document=number)
    assert [(one.save.path, one.written) for one in judged] == [(workbook, (page_of(workbook), marked_of(workbook)))]
    copy = session.open(path=str(marked_of(workbook)))
    state = session.state(document=copy)
    rows = state["lists"][TITLE]
    assert set(FAULTS) <= {row[2] for row in rows[1:]}
    page = page_of(workbook).read_text(encoding="utf-8")
    for check, (key, _) in FAULTS.items():
        cell = place_of(base, key)
        row = next(row for row in rows if row[2] == check)
        assert session.follow(document=copy, url=row[3]["url"]) == absolute(cell.sheet, cell.row, cell.column)
        note = next(one for one in ours(state) if (one["sheet"], one["row"], one["column"]) == tuple(cell))
        assert check in note["text"]
        assert "Mend: " in note["text"]
        assert check in page
    session.command(document=copy, name="clear")
    assert ours(session.state(document=copy)) == [], "the add-in takes the copy's marks for its own"
    session.close(document=copy)
