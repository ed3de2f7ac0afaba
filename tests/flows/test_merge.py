"""Returned prices in a job: matched by identity, judged, chosen with a reason, nothing else in the file changed."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.errors import BookError
from quotebook.flows.merge import Merged, merge_returns
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.flows.request import Requests
from quotebook.pricing import price_job
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy
from tests import loop
from tests.leaks import unzipped


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("merge")


@pytest.fixture(scope="module")
def job(folder: Path) -> Path:
    return loop.write(folder / "job.xlsx", loop.job_data())


@pytest.fixture(scope="module")
def asked(folder: Path, job: Path) -> Requests:
    return loop.ask(job, folder / "requests")


def request_to(asked: Requests, supplier: str) -> Path:
    return next(one.file for one in asked.requests if one.supplier == supplier)


def merged(job: Path, target: Path, *files: Path) -> Merged:
    return merge_returns(job, [loop.returned(file) for file in files], target, today=loop.DAY)


def price(line: str, amount: object, **more: Any) -> dict[str, Any]:
    return {"line": line, "price": amount, **more}


def states(result: Merged, line: str = "Stock") -> dict[tuple[str, int], str]:
    return {(one.returned.supplier, one.bid.quantity): one.state for one in result.offers if one.line == line}


def test_the_cheapest_by_landed_cost_is_chosen_at_each_quantity_and_the_price_follows(
    job: Path, asked: Requests, tmp_path: Path
) -> None:
    larch = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [price("Stock", 100)])
    every = loop.answered(
        request_to(asked, loop.EVERY), tmp_path / "b.xlsx",
        [price("Stock", 90, lot_minimum=150), price("Anodize clear", 4), price("Threaded insert M4", 30)],
    )  # fmt: skip
    result = merged(job, tmp_path / "new.xlsx", larch, every)
    # By hand: one bar: 100 against a minimum of 150; two bars: 200 against 180.
    assert states(result) == {
        (loop.LARCH, 1): "chosen", (loop.EVERY, 1): "dearer", (loop.LARCH, 2): "dearer", (loop.EVERY, 2): "chosen",
    }  # fmt: skip
    after = open_workbook(tmp_path / "new.xlsx")
    assert after.job is not None
    assert after.shop is not None
    rows = {(row.supplier, row.line, row.from_quantity): row for row in after.job.supplier_prices}
    assert "lowest of 2" in rows[loop.EVERY, "Stock", 2].remark
    assert "150.00" in rows[loop.EVERY, "Stock", 1].remark
    checked = recompute(tmp_path / "new.xlsx")
    assert checked.agree
    reference = price_job(after.job, after.shop)
    assert [row.unit_price for row in checked.prices] == [lot.unit_price for lot in reference.lots]
    assert all(row.unit_price is not None for row in checked.prices)
    # By hand: lots of 10 and 50 take one bar at 100, the lot of 100 takes two at 90.
    assert [lot.purchases[0].purchase for lot in reference.lots] == [100, 100, 180]


def test_only_results_change_outside_the_supplier_prices_sheet(job: Path, asked: Requests, tmp_path: Path) -> None:
    every = loop.answered(
        request_to(asked, loop.EVERY), tmp_path / "b.xlsx",
        [price("Stock", 90), price("Anodize clear", 4), price("Threaded insert M4", 30)],
    )  # fmt: skip
    merged(job, tmp_path / "new.xlsx", every)
    before, after = unzipped(job), unzipped(tmp_path / "new.xlsx")
    assert list(before) == list(after)
    sheets = {sheet.part: sheet.title for sheet in open_workbook(job).snapshot.sheets}
    touched = {name for name in before if name and before[name] != after[name]}
    assert touched <= set(sheets)
    assert {sheets[name] for name in touched} >= {"Supplier prices", "Price", "Quote"}
    results = re.compile(rb'<c ([^>]*?)(?: t="[a-z]+")?>(<f>.*?</f>)(?:<v>.*?</v>)?</c>', re.DOTALL)
    for name in touched:
        if sheets[name] == "Supplier prices":
            continue
        bare = [results.sub(rb"<c \1>\2</c>", part[name]) for part in (before, after)]
        assert bare[0] == bare[1], sheets[name]


def test_rows_are_matched_by_identity_not_by_position(job: Path, asked: Requests, tmp_path: Path) -> None:
    """The supplier sorted the rows the other way round before filling them in; openpyxl plays the supplier."""
    source = request_to(asked, loop.QUARRY)
    opened = open_workbook(source)
    assert opened.located is not None
    fields = opened.located.fields
    book = openpyxl.load_workbook(source)
    sheet = book["Request"]
    first, columns = fields["item_id"].row, fields["bid_reason"].column
    rows = [[sheet.cell(first + n, c).value for c in range(1, columns + 1)] for n in range(4)]
    for n, row in enumerate(reversed(rows)):
        for c, value in enumerate(row, start=1):
            sheet.cell(first + n, c).value = value
        sheet.cell(first + n, fields["bid_price"].column).value = 5.0 + n
    sheet.cell(fields["answer_currency"].row, 2).value = "USD"
    book.save(tmp_path / "sorted.xlsx")
    result = merged(job, tmp_path / "new.xlsx", tmp_path / "sorted.xlsx")
    found = {one.bid.quantity: one.bid.price for one in result.offers}
    assert found == {100: 5.0, 50: 6.0, 10: 7.0, 1: 8.0}


@pytest.mark.parametrize(
    ("head", "row", "state", "told"),
    [
        ({"valid_until": datetime.date(2031, 3, 9)}, price("Stock", 80), "expired", "2031-03-09"),
        ({"currency": "EUR"}, price("Stock", 80), "other currency", "EUR"),
        ({}, {"line": "Stock", "declined": "yes", "reason": "no capacity"}, "no bid", "no capacity"),
        ({}, price("Stock", "call us"), "not usable", "call us"),
        ({}, price("Stock", -3), "not usable", "-3"),
        ({}, price("Stock", 80, valid_until="soon"), "not usable", "soon"),
        ({}, price("Stock", 80, declined="yes"), "not usable", "price and no bid"),
    ],
)
def test_what_cannot_be_used_is_flagged_and_never_chosen(
    job: Path, asked: Requests, tmp_path: Path, head: dict[str, Any], row: dict[str, Any], state: str, told: str
) -> None:
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [row], **head)
    result = merged(job, tmp_path / "new.xlsx", answer)
    assert {one.state for one in result.offers} == {state}
    assert not any(one.chosen for one in result.offers)
    after = open_workbook(tmp_path / "new.xlsx").job
    assert after is not None
    assert all(not one.chosen and told in one.remark for one in after.supplier_prices)


def test_a_pack_of_another_size_is_not_chosen(job: Path, asked: Requests, tmp_path: Path) -> None:
    row = price("Threaded insert M4", 20, pack_size=100)
    answer = loop.answered(request_to(asked, loop.EVERY), tmp_path / "a.xlsx", [row])
    assert set(states(merged(job, tmp_path / "n.xlsx", answer), "Threaded insert M4").values()) == {"other pack"}


def test_the_same_request_twice_the_later_by_its_own_date_counts(job: Path, asked: Requests, tmp_path: Path) -> None:
    source = request_to(asked, loop.LARCH)
    late = loop.answered(source, tmp_path / "a.xlsx", [price("Stock", 70)], date=datetime.date(2031, 3, 16))
    early = loop.answered(source, tmp_path / "z.xlsx", [price("Stock", 60)], date=datetime.date(2031, 3, 12))
    result = merged(job, tmp_path / "new.xlsx", late, early)
    assert {one.bid.price for one in result.offers} == {70}
    assert [(file, "returned twice" in why) for file, why in result.refused] == [("z.xlsx", True)]


def test_other_jobs_revisions_and_lost_lines_are_told_and_not_merged(
    job: Path, asked: Requests, folder: Path, tmp_path: Path
) -> None:
    data = loop.job_data()
    data["job"]["revision"] = "C"
    revised = loop.write(tmp_path / "revised.xlsx", data)
    answer = loop.answered(request_to(asked, loop.EVERY), tmp_path / "a.xlsx", [price("Anodize clear", 4)])
    result = merged(revised, tmp_path / "n1.xlsx", answer)
    assert "another revision" in result.refused[0][1]
    other = loop.write(tmp_path / "other.xlsx", loop.job_data("valve-body"))
    assert "another job" in merged(other, tmp_path / "n2.xlsx", answer).refused[0][1]
    data = loop.job_data()
    data["buyout"] = data["buyout"][1:]
    without = loop.write(tmp_path / "without.xlsx", data)
    lost = merged(without, tmp_path / "n3.xlsx", answer)
    assert not lost.offers
    assert {"does not exist any more" in why for _, why in lost.refused} == {True}
    assert not lost.all_usable


def test_a_file_without_our_reference_and_a_renamed_supplier_are_left_out(
    job: Path, asked: Requests, tmp_path: Path
) -> None:
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [price("Stock", 70)])
    opened = open_workbook(answer)
    assert opened.located is not None
    for name, value, told in (
        ("request_reference", "R-1", "no reference"),
        ("request_to", "Larch", "name was changed"),
    ):
        place = opened.located.fields[name]
        changed = tmp_path / f"{name}.xlsx"
        from quotebook.values import Address

        write_copy(answer, changed, {Address(place.sheet, place.row, place.column): NewInput(value)})
        result = merged(job, tmp_path / f"new {name}.xlsx", changed)
        assert told in result.refused[0][1]
        assert not result.offers


def test_a_second_round_replaces_the_rows_of_the_first(job: Path, asked: Requests, tmp_path: Path) -> None:
    source = request_to(asked, loop.LARCH)
    one = loop.answered(source, tmp_path / "a.xlsx", [price("Stock", 70)])
    merged(job, tmp_path / "first.xlsx", one)
    two = loop.answered(source, tmp_path / "b.xlsx", [price("Stock", 65)])
    merged(tmp_path / "first.xlsx", tmp_path / "second.xlsx", two)
    after = open_workbook(tmp_path / "second.xlsx").job
    assert after is not None
    assert [(row.from_quantity, row.price, row.chosen) for row in after.supplier_prices] == [
        (1, 65, True),
        (2, 65, True),
    ]


def test_a_dearer_offer_leaves_the_price_chosen_by_hand(asked: Requests, tmp_path: Path) -> None:
    data = loop.job_data()
    data["supplier_price"] = [
        {"line": "Stock", "supplier": "Old friend", "from_quantity": 0, "price": 60, "chosen": True}
    ]
    job = loop.write(tmp_path / "job.xlsx", data)
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [price("Stock", 70)])
    result = merged(job, tmp_path / "new.xlsx", answer)
    assert set(states(result).values()) == {"kept another"}


def test_an_expired_choice_gives_way_and_that_is_said(asked: Requests, tmp_path: Path) -> None:
    data = loop.job_data()
    old = {"line": "Stock", "supplier": "Old friend", "from_quantity": 1, "price": 60, "chosen": True}
    data["supplier_price"] = [{**old, "valid_until": datetime.date(2031, 1, 31)}]
    job = loop.write(tmp_path / "job.xlsx", data)
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [price("Stock", 70)])
    result = merged(job, tmp_path / "new.xlsx", answer)
    assert set(states(result).values()) == {"chosen"}
    after = open_workbook(tmp_path / "new.xlsx").job
    assert after is not None
    row = next(row for row in after.supplier_prices if row.supplier == "Old friend")
    assert not row.chosen
    assert "no longer chosen" in row.remark
    assert any("no longer chosen" in note for note in result.notes)


def test_hostile_texts_of_a_supplier_stay_text(job: Path, asked: Requests, tmp_path: Path) -> None:
    risky = {"remarks": '=HYPERLINK("http://x","y")', "alternates": "@SUM(A1)", "reason": "-1+1"}
    row = price("Stock", 70, **risky)
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [row], reference="+49 30 1")
    merged(job, tmp_path / "new.xlsx", answer)
    sheet = openpyxl.load_workbook(tmp_path / "new.xlsx")["Supplier prices"]
    texts = [cell for line in sheet.iter_rows() for cell in line if isinstance(cell.value, str)]
    hit = [cell for cell in texts if "HYPERLINK" in cell.value or cell.value.startswith("+49")]
    assert len(hit) >= 4
    assert {cell.data_type for cell in hit} <= {"s", "inlineStr"}
    book = open_workbook(tmp_path / "new.xlsx").book
    assert not any("HYPERLINK" in formula for formula in book.formulas.values())


def test_a_full_sheet_says_how_to_get_more_rows(asked: Requests, tmp_path: Path) -> None:
    from quotebook.flows.new import make_workbook

    small = tmp_path / "small.xlsx"
    small.write_bytes(make_workbook(loop.shop_data(), loop.job_data(), rows={"supplier_prices": 1}).content)
    answer = loop.answered(request_to(asked, loop.LARCH), tmp_path / "a.xlsx", [price("Stock", 70)])
    with pytest.raises(BookError, match="supplier_prices"):
        merged(small, tmp_path / "new.xlsx", answer)
    assert not (tmp_path / "new.xlsx").exists()
