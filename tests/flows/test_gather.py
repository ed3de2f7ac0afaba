"""A folder read as a batch: what each file is, the book of record, the summary, CSV, and interruptions."""

from __future__ import annotations

import csv
import datetime
import io
import json
import os
import shutil
import sqlite3
from pathlib import Path

import openpyxl
import pytest

from quotebook.errors import BookError
from quotebook.flows import gather as gathering
from quotebook.flows.gather import gather
from quotebook.flows.gather_csv import csv_files, safe
from quotebook.flows.gather_read import read_one
from quotebook.flows.gather_summary import summary_workbook
from quotebook.flows.records import FileRecord, record_from
from quotebook.model import job_from_data, shop_from_data
from quotebook.pricing import price_job
from quotebook.workbook.row_memory import RowMemory
from tests import loop


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two jobs, an answer, a foreign workbook, a damaged one and a lock file, in two levels of folders."""
    folder = tmp_path_factory.mktemp("batch")
    (folder / "deep" / "deeper").mkdir(parents=True)
    data = loop.job_data("valve-body")
    data["job"]["customer"] = "=cmd|' /C calc'!A0"
    data["supplier_price"] = [
        {"line": "Stock", "supplier": "@Bad", "price": 280, "valid_until": datetime.date(2031, 1, 1)},
        {"line": "Stock", "supplier": "Good", "price": 290, "valid_until": datetime.date(2032, 1, 1)},
        {"line": "Stock", "supplier": "Silent", "remark": "no bid: no capacity"},
    ]
    loop.write(folder / "deep" / "valve.xlsx", data)
    job = loop.write(folder / "cap.xlsx", loop.job_data())
    asked = loop.ask(job, folder / "out")
    row = {"line": "Stock", "price": 99, "remarks": "-2+3"}
    loop.answered(asked.requests[0].file, folder / "deep" / "deeper" / "answer.xlsx", [row])
    shutil.rmtree(folder / "out")
    book = openpyxl.Workbook()
    book.active["A1"] = 1
    book.save(folder / "foreign.xlsx")
    (folder / "broken.xlsx").write_bytes(job.read_bytes()[:5000])
    (folder / "notes.txt").write_text("not a workbook")
    (folder / ".~lock.cap.xlsx#").write_text("someone")
    (folder / "~$cap.xlsx").write_bytes(b"x")
    return folder


@pytest.fixture
def folder(pattern: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(pattern, tmp_path / "jobs"))


def kinds(records: list[FileRecord]) -> dict[str, str]:
    return {Path(record.path).name: record.kind for record in records}


def test_every_file_is_what_it_is_and_a_bad_one_stops_nobody(folder: Path) -> None:
    found = gather(folder, workers=2)
    assert kinds(found.records) == {
        "cap.xlsx": "job", "valve.xlsx": "job", "answer.xlsx": "supplier answer", "foreign.xlsx": "foreign",
        "broken.xlsx": "failed",
    }  # fmt: skip
    (bad,) = found.of_kind("failed")
    assert "cut short" in bad.reason
    cap = next(record for record in found.records if record.path.endswith("cap.xlsx"))
    assert cap.open_elsewhere
    assert sum(record.open_elsewhere for record in found.records) == 1


def test_figures_are_those_of_the_reference_pricing(folder: Path) -> None:
    record = next(one for one in gather(folder, workers=1).records if one.path.endswith("valve.xlsx"))
    assert record.job is not None
    assert record.job.agreement == "agree"
    price = price_job(job_from_data(loop.job_data("valve-body"), "x"), shop_from_data(loop.shop_data(), "x"))
    for lot, expected in zip(record.job.lots, price.lots, strict=True):
        assert lot.unit_price == pytest.approx(expected.unit_price)
        assert lot.cost == pytest.approx(expected.cost)
        assert lot.margin == pytest.approx(expected.margin)
        assert lot.machine_hours == pytest.approx(expected.machine_hours)
    assert record.job.status == "closed out"
    assert record.job.actual_cost is not None


def test_an_unchanged_folder_leaves_the_book_as_it_was_byte_for_byte(folder: Path, tmp_path: Path) -> None:
    book = tmp_path / "quotes.sqlite"
    first = gather(folder, book=book, workers=1)
    before = book.read_bytes()
    second = gather(folder, book=book, workers=1)
    assert (first.read, second.read) == (5, 0)
    assert book.read_bytes() == before
    assert [one.as_data() for one in first.records] == [one.as_data() for one in second.records]


def test_only_new_and_changed_files_are_read_again_and_vanished_ones_are_marked(folder: Path, tmp_path: Path) -> None:
    book = tmp_path / "quotes.sqlite"
    gather(folder, book=book, workers=1)
    loop.write(folder / "cap.xlsx", loop.job_data("pivot-pin"))
    loop.write(folder / "new.xlsx", loop.job_data("spacer-ring"))
    (folder / "foreign.xlsx").unlink()
    again = gather(folder, book=book, workers=1)
    assert (again.read, again.gone) == (2, 1)
    base = sqlite3.connect(book)
    parts = {row[0] for row in base.execute("SELECT part_number FROM job")}
    assert {"MW-012", "IM-008", "IM-040"} == parts
    assert base.execute("SELECT count(*) FROM file WHERE present = 0").fetchone() == (1,)
    lots = base.execute("SELECT count(*) FROM lot JOIN job USING (path) WHERE part_number = 'MW-012'").fetchone()
    assert lots == (2,)
    base.close()


def test_a_file_that_is_no_book_of_record_is_refused(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.sqlite"
    base = sqlite3.connect(other)
    base.execute("CREATE TABLE mine (x)")
    base.commit()
    base.close()
    before = other.read_bytes()
    with pytest.raises(BookError, match="another kind"):
        gather(folder, book=other, workers=1)
    assert other.read_bytes() == before
    (tmp_path / "text.sqlite").write_text("hello " * 300)
    with pytest.raises(BookError, match="book of record"):
        gather(folder, book=tmp_path / "text.sqlite", workers=1)


def test_an_interrupted_run_keeps_what_it_finished_and_the_next_does_the_rest(folder: Path, tmp_path: Path) -> None:
    book, seen = tmp_path / "quotes.sqlite", []

    def stop(done: int, total: int, name: str) -> None:
        seen.append(name)
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        gather(folder, book=book, workers=1, progress=stop)
    again = gather(folder, book=book, workers=1)
    assert (len(seen), again.read, len(again.records)) == (2, 3, 5)
    assert not list(tmp_path.rglob("*.part"))


def _deadly(path: Path, memory: RowMemory) -> FileRecord:
    if path.name == "foreign.xlsx":
        os._exit(9)
    return read_one(path, memory)


def test_a_file_that_kills_its_worker_is_named_and_the_rest_is_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gathering, "read_one", _deadly)
    found = gather(folder, workers=2)
    named = {Path(one.path).name: one.reason for one in found.of_kind("failed")}
    assert set(named) == {"broken.xlsx", "foreign.xlsx"}
    assert "killed" in named["foreign.xlsx"]
    assert len(found.of_kind("job")) == 2


def test_the_summary_holds_jobs_lines_failures_and_pictures(folder: Path) -> None:
    content = summary_workbook(gather(folder, workers=1), loop.DAY)
    book = openpyxl.load_workbook(io.BytesIO(content))
    assert book.sheetnames[:4] == ["Jobs", "Supplier lines", "Not read", "Pictures"]
    assert len(book["Pictures"]._charts) == 3
    rows = list(book["Supplier lines"].iter_rows(values_only=True))
    heading = next(row for row in rows if row[0] == "Part")
    stock = next(row for row in rows if row[0] == "IM-040" and row[2] == "Stock")
    told = dict(zip(heading, stock, strict=True))
    assert (told["Best price"], told["Best supplier"]) == (290, "Good")
    assert told["Expired"] == "@Bad"
    assert told["No bid"] == "Silent"
    assert str(told["@Bad"]).startswith("expired 280")
    failed = [row[0] for row in book["Not read"].iter_rows(values_only=True)]
    assert "broken.xlsx" in failed
    hostile = [cell for row in book["Jobs"].iter_rows() for cell in row if str(cell.value).startswith("=cmd")]
    assert hostile
    assert {cell.data_type for cell in hostile} == {"s"}
    formulas = [c for sheet in book for row in sheet.iter_rows() for c in row if c.data_type == "f"]
    assert formulas == []


def test_a_summary_is_not_gathered_as_a_job(folder: Path) -> None:
    (folder / "summary.xlsx").write_bytes(summary_workbook(gather(folder, workers=1), loop.DAY))
    again = gather(folder, workers=1)
    summary = next(one for one in again.records if one.path.endswith("summary.xlsx"))
    assert (summary.kind, summary.reason) == ("foreign", "a summary made by quotebook")


def test_csv_cells_never_begin_like_a_formula(folder: Path) -> None:
    # Source: the OWASP page on CSV injection: = + - @ tab and line ends at the start of a cell.
    for text in csv_files(gather(folder, workers=1)).values():
        for row in csv.reader(io.StringIO(text)):
            for cell in row:
                if cell.startswith(("=", "+", "@", "\t", "\r")):
                    pytest.fail(cell)
                if cell.startswith("-"):
                    float(cell)  # a number may be below zero
    assert safe("=1") == "'=1"
    assert safe(" @x") == "' @x"
    assert safe(-1.5) == -1.5
    assert safe("plain") == "plain"


def test_a_record_survives_json(folder: Path) -> None:
    for record in gather(folder, workers=1).records:
        text = json.dumps(record.as_data())
        assert record_from(json.loads(text)) == record


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="no folder"):
        gather(tmp_path / "nowhere")
