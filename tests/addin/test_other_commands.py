"""The add-in's other commands, in a real LibreOffice: each does what its command in the terminal does, and opens it.

Expected: by hand from the samples; that files are opened and nothing is written over is the issue's own demand.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.flows.opening import open_workbook
from quotebook.values import Address
from quotebook.workbook.customer_copy import DRAFT
from tests import loop
from tests.addin.office_session import Session
from tests.addin.seeded import place_of
from tests.libreoffice import needs_libreoffice
from tests.made import stored

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]


@contextmanager
def opened(session: Session, path: Path) -> Iterator[int]:
    number = session.open(path=str(path))
    try:
        yield number
    finally:
        session.close(document=number)


def closing(session: Session, target: Path) -> bool:
    """Tell whether a file is open in the office now, and close it."""
    was_open = target.as_uri() in session.opened()
    session.close_file(url=target.as_uri())
    return was_open


def test_recompute_agrees_with_what_is_on_the_screen(session: Session, base: Path) -> None:
    """LibreOffice shows the stored results of a file it opened, but drops blanks at their ends: no difference."""
    cell = place_of(base, ("customer_name", 0))
    price = stored(open_workbook(base), "unit_price", lot=1)
    with opened(session, base) as number:
        assert "all agree" in session.command(document=number, name="recompute")["boxes"][0]["text"]
        session.mend(document=number, sheet=cell.sheet, row=cell.row, column=cell.column, formula="Another (invented)")
        text = session.command(document=number, name="recompute")["boxes"][0]["text"]
        assert "all agree" in text
        assert f"{price:,.2f} each" in text
        assert session.state(document=number)["recomputed"] == {}


def test_recompute_lists_a_formula_that_is_wrong_with_links_and_clear_takes_the_list_away(
    session: Session, base: Path
) -> None:
    cell = place_of(base, ("unit_price", 1))
    with opened(session, base) as number:
        session.mend(document=number, sheet=cell.sheet, row=cell.row, column=cell.column, formula="=1+1")
        text = session.command(document=number, name="recompute")["boxes"][0]["text"]
        assert "differences" in text
        (rows,) = session.state(document=number)["recomputed"].values()
        row = next(row for row in rows[1:] if row[3].startswith("unit_price"))
        assert session.follow(document=number, url=row[2]["url"]) == f"${cell.sheet}.$D${cell.row}"
        session.command(document=number, name="clear")
        assert session.state(document=number)["recomputed"] == {}


def test_a_new_job_has_the_rates_on_the_screen_and_is_opened(session: Session, base: Path, tmp_path: Path) -> None:
    target = tmp_path / "new job.xlsx"
    with opened(session, base) as number:
        asked = session.command(document=number, name="new")
        assert [one["kind"] for one in asked["asked"]] == ["save"]
        assert asked["boxes"] == [], "a dialog that is closed ends the command, silently"
        session.command(document=number, name="new", answers={"target": str(target)})
        again = session.command(document=number, name="new", answers={"target": str(target)})
        own = session.command(document=number, name="new", answers={"target": str(base)})
    assert closing(session, target)
    made, source = open_workbook(target), open_workbook(base)
    assert made.inputs is not None
    assert source.inputs is not None
    assert made.inputs.shop["work_center"] == source.inputs.shop["work_center"]
    assert not made.inputs.job["job"].get("customer")
    assert [box["tone"] for box in (*again["boxes"], *own["boxes"])] == ["error", "error"], "nothing is written over"


def test_a_customer_copy_that_must_not_go_out_is_asked_about_and_marked(
    session: Session, base: Path, tmp_path: Path
) -> None:
    """The base job's prices were valid in 2020."""
    target = tmp_path / "copy.xlsx"
    with opened(session, base) as number:
        told = session.command(document=number, name="quote", answers={"target": str(target)})
        assert "expired" in told["asked"][-1]["text"]
        assert not target.exists()
        session.command(document=number, name="quote", answers={"target": str(target), "anyway": True})
    assert closing(session, target)
    texts = [str(cell.value) for row in openpyxl.load_workbook(target).active.iter_rows() for cell in row]
    assert any(DRAFT in text for text in texts)


def test_supplier_prices_from_a_folder_go_into_a_copy_that_is_opened(session: Session, tmp_path: Path) -> None:
    job = loop.write(tmp_path / "job.xlsx", loop.job_data())
    made = loop.ask(job, tmp_path / "out")
    request = next(one for one in made.requests if one.supplier == loop.LARCH)
    folder, target = tmp_path / "back", tmp_path / "priced.xlsx"
    folder.mkdir()
    prices = [{"line": "Stock", "quantity": quantity, "price": 41.0} for quantity in quantities_of(request)]
    loop.answered(request.file, folder / "answer.xlsx", prices)
    with opened(session, job) as number:
        asked = session.command(document=number, name="prices", answers={"folder": str(folder)})["asked"]
        assert asked[0]["suggest"] == str(tmp_path / "job-priced.xlsx")
        told = session.command(document=number, name="prices", answers={"folder": str(folder), "target": str(target)})
    assert closing(session, target)
    assert f"{len(prices)} prices filled in" in told["boxes"][0]["text"]
    job_now = open_workbook(target).job
    assert job_now is not None
    assert 41.0 in [row.price for row in job_now.supplier_prices]


def quantities_of(request: Any) -> list[int]:
    opened_request = open_workbook(request.file)
    assert opened_request.located is not None
    placed = opened_request.located.fields["item_quantity"]
    cells = [
        opened_request.snapshot.cell(Address(placed.sheet, placed.row + row, placed.column))
        for row in range(placed.rows)
    ]
    return [int(cell.value) for cell in cells if cell is not None and isinstance(cell.value, float)]


def test_close_out_answers_whether_it_made_money(session: Session, base: Path, tmp_path: Path) -> None:
    target = tmp_path / "report.xlsx"
    with opened(session, base) as number:
        text = session.command(document=number, name="closeout")["boxes"][0]["text"]
        assert "Actuals sheet is not filled in" in text
        assert str(tmp_path.parent) not in text, "no path of a temporary copy is told"
        cell = place_of(base, ("actual_run_hours", 0))
        session.mend(document=number, sheet=cell.sheet, row=cell.row, column=cell.column, formula="3.5")
        told = session.command(document=number, name="closeout", answers={"target": ""})
        assert "missing" in told["boxes"][0]["text"]
        session.command(document=number, name="closeout", answers={"target": str(target)})
    assert closing(session, target)
