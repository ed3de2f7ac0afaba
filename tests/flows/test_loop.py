"""The whole loop on the example folder: request, fill in, gather, merge, quote, actuals, close-out."""

from __future__ import annotations

import datetime
import sqlite3
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.flows.closeout import close_file, close_folder, corrected_profile, learned
from quotebook.flows.closeout_report import closeout_workbook
from quotebook.flows.demo import examples_folder
from quotebook.flows.demo_loop import ASKED, walk_the_loop
from quotebook.flows.merge import merge_returns
from quotebook.flows.opening import open_workbook
from quotebook.flows.quote import quote
from quotebook.flows.recompute import recompute
from quotebook.model import read_shop
from quotebook.pricing import price_job
from quotebook.values import Address
from quotebook.workbook.areas import cell_name
from tests import loop
from tests.libreoffice import needs_bridge, needs_libreoffice
from tests.office_bridge import drive


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """The demo's folder after the whole walk, and what it said."""
    folder, said = tmp_path_factory.mktemp("walk"), list[str]()
    walk_the_loop(folder, examples_folder(), said.append)
    return folder, said


def test_the_walk_says_what_it_did(walked: tuple[Path, list[str]]) -> None:
    _, said = walked
    told = "\n".join(said)
    for words in (
        "Made 12 job workbooks", "Asked 3 suppliers", "call us", "after 2031-03-20 as asked", "9 are chosen",
        "a second run read 0", "Closed out 6 jobs", "too few jobs (6)", "15 changes",
    ):  # fmt: skip
        assert words in told, words
    assert "refused" not in told


def test_prices_by_hand_after_the_merge(walked: tuple[Path, list[str]]) -> None:
    folder, _ = walked
    opened = open_workbook(folder / f"{ASKED} priced.xlsx")
    assert opened.job is not None
    assert opened.shop is not None
    price = price_job(opened.job, opened.shop)
    bought = {lot.quantity: [row.purchase for row in lot.purchases] for lot in price.lots}
    # By hand from examples/answers.toml. Stock: one bar at 108 for 10 and 50 pieces, two for 100 (103 pieces started
    # of 99 a bar). Anodizing: 10 x 3.90 under the minimum of 85 against 10 x 4.75 under 60 -> 60; 50 x 2.70 = 135;
    # 100 x 2.70 = 270. Inserts: 1, 5 and 9 packs at 29.
    assert bought == {10: [108, 60, 29], 50: [108, 135, 145], 100: [216, 270, 261]}
    checked = recompute(folder / f"{ASKED} priced.xlsx")
    assert checked.agree
    assert [row.unit_price for row in checked.prices] == [lot.unit_price for lot in price.lots]


def test_the_customer_copy_shows_the_reference_prices(walked: tuple[Path, list[str]]) -> None:
    folder, _ = walked
    opened = open_workbook(folder / f"{ASKED} priced.xlsx")
    assert opened.job is not None
    assert opened.shop is not None
    sheet = openpyxl.load_workbook(folder / f"{ASKED} quotation.xlsx").active
    rows = {row[0]: row for row in sheet.iter_rows(values_only=True)}
    for lot in price_job(opened.job, opened.shop).lots:
        assert rows[f"{lot.quantity} pieces"][1:4] == pytest.approx(
            (lot.unit_price, lot.supplement, lot.extended_price)
        )


def test_the_book_and_the_summary_hold_the_folder(walked: tuple[Path, list[str]]) -> None:
    folder, _ = walked
    base = sqlite3.connect(folder / "quotes.sqlite")
    kinds = dict(base.execute("SELECT kind, count(*) FROM file GROUP BY kind"))
    agreed = base.execute("SELECT count(*) FROM job WHERE agreement = 'agree'").fetchone()[0]
    base.close()
    assert kinds == {"job": 13, "supplier answer": 6}
    assert agreed >= 12  # the job that was asked for had no prices at first, so it cannot be judged fully
    assert "Supplier lines" in openpyxl.load_workbook(folder / "summary.xlsx").sheetnames


def test_the_close_out_of_a_file_agrees_with_its_actuals_sheet(walked: tuple[Path, list[str]]) -> None:
    folder, _ = walked
    for name in ("valve-body", "pulley-hub"):
        one = close_file(folder / "jobs" / f"{name}.xlsx")
        assert one.closeout is not None
        assert not any("one is wrong" in note for note in one.notes), one.notes
        opened = open_workbook(folder / "jobs" / f"{name}.xlsx")
        assert opened.located is not None
        place = opened.located.fields["actual_cost"]
        cell = opened.snapshot.cell(Address(place.sheet, place.row, place.column))
        assert cell is not None
        assert cell.value == pytest.approx(one.closeout.cost)
    assert "not filled in" in close_file(folder / "jobs" / "lever-arm.xlsx").error


def test_the_report_and_the_changed_profile(walked: tuple[Path, list[str]]) -> None:
    folder, _ = walked
    files = sorted((folder / "jobs").glob("*.xlsx"))
    few = close_folder(files)
    shop = read_shop(examples_folder() / "shop.toml")
    assert corrected_profile(shop, few) == (shop, ())
    enough = learned(few.jobs, enough=5)
    setup = next(one for one in enough.overall if one.group == "setup")
    changed, changes = corrected_profile(shop, enough)
    if setup.suggestion is None:
        assert changed.policy == shop.policy
    else:
        factor = changed.policy.touch_off_minutes / shop.policy.touch_off_minutes
        assert factor == pytest.approx(setup.mean, rel=2e-3)
        assert changes
    target = folder / "report.xlsx"
    target.write_bytes(closeout_workbook(enough))
    book = openpyxl.load_workbook(target)
    assert book.sheetnames[0] == "Close-out"
    assert book["Ratios"]._charts
    assert all(book[f"Job {n}"]._charts for n in range(1, 7))


def typed(request: Path, answer: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the steps at the keyboard that fill a request in."""
    return [
        {"do": "type", "sheet": place.sheet, "row": place.row, "column": place.column, "text": str(value)}
        for place, value in loop.cells(request, answer).items()
    ]


@pytest.mark.libreoffice
@needs_libreoffice
@needs_bridge
def test_one_answer_typed_in_libreoffice_and_one_through_openpyxl(tmp_path: Path) -> None:
    job = loop.write(tmp_path / "job.xlsx", loop.job_data())
    asked = {one.supplier: one.file for one in loop.ask(job, tmp_path / "out").requests}
    head = {"currency": "USD", "date": "2031-03-14", "valid_until": "2031-06-30"}
    larch = {**head, "price": [{"line": "Stock", "price": 108, "lead_days": 6}]}
    answers = drive(asked[loop.LARCH], typed(asked[loop.LARCH], larch), tmp_path / "typed.xlsx")
    assert not any(one["locked"] for one in answers)
    every = {"price": [{"line": "Stock", "price": 120}, {"line": "Anodize clear", "price": 5},
                       {"line": "Threaded insert M4", "price": 29}], **head}  # fmt: skip
    book = openpyxl.load_workbook(asked[loop.EVERY])
    for place, value in loop.cells(asked[loop.EVERY], every).items():
        book[place.sheet][cell_name(place.row, place.column)] = value
    book.save(tmp_path / "filled.xlsx")
    returned = [loop.returned(tmp_path / "typed.xlsx"), loop.returned(tmp_path / "filled.xlsx")]
    assert [one.answer_date for one in returned] == [datetime.date(2031, 3, 14)] * 2
    merged = merge_returns(job, returned, tmp_path / "priced.xlsx", today=loop.DAY)
    assert merged.all_usable, (merged.refused, merged.notes)
    chosen = {(one.line, one.bid.quantity): one.bid.price for one in merged.offers if one.chosen}
    assert chosen["Stock", 1] == 108
    assert chosen["Anodize clear", 50] == 5
    checked = recompute(tmp_path / "priced.xlsx")
    assert checked.agree
    opened = open_workbook(tmp_path / "priced.xlsx")
    assert opened.job is not None
    assert opened.shop is not None
    reference = price_job(opened.job, opened.shop)
    assert [row.unit_price for row in checked.prices] == [lot.unit_price for lot in reference.lots]
    made = quote(tmp_path / "priced.xlsx", tmp_path / "copy.xlsx", pdf=False, today=loop.DAY)
    assert made.refusals == ()
