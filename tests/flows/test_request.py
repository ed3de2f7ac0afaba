"""Requests to suppliers: what is asked, of whom, and that nothing else is in the file."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from quotebook.errors import InputError, TargetExists
from quotebook.flows.identity import item_id, read_item, read_reference, reference_of
from quotebook.flows.opening import open_workbook
from quotebook.flows.request import request_prices
from quotebook.flows.returns import is_request
from quotebook.model import read_job, read_shop
from quotebook.pricing import price_job
from tests import loop
from tests.leaks import figures, found_in, unzipped


@pytest.fixture(scope="module")
def job_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job whose customer, rates, hours and prices stand nowhere else by chance."""
    job, shop = loop.job_data(), loop.shop_data()
    job["job"].update(customer="Zephyrine Customer Ltd", contact="Ottilie Buyer", part_number="ZQ-88417", revision="K")
    job["job"].update(quote_number="Q-91733", packing_per_lot=71.93, note="secret remark")
    job["operation"][0].update(setup_base_hours=1.3717, cycle_minutes=6.8913, description="Turn the hidden way")
    job["stock"]["price"] = 83.4177
    job["buyout"][0].update(price=5.2931, lot_minimum=97.31)
    job["supplier_price"] = [{"line": "Stock", "supplier": "Rival Metals", "price": 88.1234, "from_quantity": 3}]
    shop["hand_rate"][0].update(cost_rate=46.7319, sell_rate=68.8421)
    for center in shop["work_center"]:
        center.update(cost_rate=center["cost_rate"] + 0.4713, sell_rate=center["sell_rate"] + 0.9127)
    return loop.write(tmp_path_factory.mktemp("secret-folder-name") / "secret-file-name.xlsx", job, shop)


def secrets(job_file: Path) -> list[str]:
    opened = open_workbook(job_file)
    assert opened.job is not None
    assert opened.shop is not None
    price = price_job(opened.job, opened.shop)
    texts = [
        "Zephyrine", "Ottilie", "ZQ-88417", "Q-91733", "secret", "hidden way", "Rival Metals", "Machinist",
        "3-axis mill", "Lathe with live tools", "markup", str(job_file.parent), "secret-file-name",
    ]  # fmt: skip
    rates = [one.cost_rate for one in opened.shop.work_centers] + [one.sell_rate for one in opened.shop.work_centers]
    numbers = [46.7319, 68.8421, 1.3717, 6.8913, 83.4177, 5.2931, 97.31, 71.93, 88.1234, *rates]
    for lot in price.lots:
        numbers += [lot.unit_price, lot.cost, lot.machine_hours, lot.attended_hours, lot.setup_hours]
    return texts + figures(n for n in numbers if n is not None)


def test_nothing_of_customer_price_hours_or_other_suppliers_is_in_any_byte(job_file: Path, tmp_path: Path) -> None:
    made = loop.ask(job_file, tmp_path / "out")
    assert [one.supplier for one in made.requests] == [loop.LARCH, loop.QUARRY, loop.EVERY]
    for one in made.requests:
        others = [name.split(" (")[0] for name in (loop.LARCH, loop.QUARRY, loop.EVERY) if name != one.supplier]
        assert found_in(one.file, [*secrets(job_file), *others]) == []


def test_the_search_finds_what_it_looks_for(job_file: Path) -> None:
    """The same search on the job itself hits nearly every secret, so that finding none means something."""
    hit = {secret for secret, _ in found_in(job_file, secrets(job_file))}
    assert {"Zephyrine", "ZQ-88417", "Rival Metals", "46.7319", "6.8913", "5.2931"} <= hit


def test_each_supplier_gets_the_lines_that_it_serves_at_the_quantities_of_the_lots(
    job_file: Path, tmp_path: Path
) -> None:
    made = loop.ask(job_file, tmp_path / "out")
    lines = {one.supplier: one.lines for one in made.requests}
    assert lines == {
        loop.LARCH: ("Stock",),
        loop.QUARRY: ("Anodize clear",),
        loop.EVERY: ("Stock", "Anodize clear", "Threaded insert M4"),
    }
    data = open_workbook(made.requests[1].file).inputs
    assert data is not None
    rows = data.data["request"]["line"]
    # By hand: anodizing comes after all scrap, so the pieces sent are the good pieces: 1, 10, 50, 100.
    assert [row["quantity"] for row in rows] == [1, 10, 50, 100]
    assert rows[0]["what"] == "anodize, clear, class 1, 0.9 dm2 each, mask the two reamed holes"
    assert rows[0]["certificate"] == "certificate of conformance"


def test_stock_and_hardware_are_asked_in_bars_and_packs(job_file: Path, tmp_path: Path) -> None:
    made = loop.ask(job_file, tmp_path / "out")
    data = open_workbook(made.requests[2].file).inputs
    assert data is not None
    rows = data.data["request"]["line"]
    stock = [row for row in rows if row["line"] == "Stock"]
    # By hand: (3000 - 120) / (24 + 2 + 3) = 99 pieces from a bar; 103 pieces started for 100 good ones need two.
    assert [row["quantity"] for row in stock] == [1, 2]
    assert stock[0]["what"] == "round bar, diameter 60 mm, Aluminum 6061, T6, bars of 3000 mm"
    assert (stock[0]["unit"], stock[0]["basis"], stock[0]["certificate"]) == ("bars", "each", "3.1")
    packs = [row["quantity"] for row in rows if row["kind"] == "hardware"]
    # By hand: 4 x Q x 1.03 / 50: 0.08, 0.82, 4.12, 8.24 packs, rounded up.
    assert packs == [1, 5, 9]


def test_a_request_is_recognised_and_equal_input_gives_equal_bytes(job_file: Path, tmp_path: Path) -> None:
    one, two = loop.ask(job_file, tmp_path / "a"), loop.ask(job_file, tmp_path / "b")
    for first, second in zip(one.requests, two.requests, strict=True):
        assert first.file.read_bytes() == second.file.read_bytes()
        assert is_request(open_workbook(first.file))
        assert read_reference(first.reference) is not None


def test_validation_catches_a_text_in_a_number_field_and_given_cells_are_locked(job_file: Path, tmp_path: Path) -> None:
    made = loop.ask(job_file, tmp_path / "out")
    sheet = openpyxl.load_workbook(made.requests[0].file)["Request"]
    opened = open_workbook(made.requests[0].file)
    assert opened.located is not None
    fields = opened.located.fields
    kinds = {}
    for name in ("bid_price", "bid_minimum", "bid_pack", "bid_lead_days", "bid_valid_until", "bid_declined"):
        cell = sheet.cell(fields[name].row, fields[name].column)
        assert not cell.protection.locked, name
        rule = next(rule for rule in sheet.data_validations.dataValidation if cell.coordinate in rule.sqref)
        assert rule.showErrorMessage
        kinds[name] = rule.type
    assert kinds == {
        "bid_price": "decimal", "bid_minimum": "decimal", "bid_pack": "decimal", "bid_lead_days": "whole",
        "bid_valid_until": "date", "bid_declined": "list",
    }  # fmt: skip
    assert sheet.protection.sheet
    for name in ("item_id", "item_quantity", "request_reference"):
        assert sheet.cell(fields[name].row, fields[name].column).protection.locked, name


def test_no_part_of_a_request_is_hidden_but_the_contract(job_file: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(loop.ask(job_file, tmp_path / "out").requests[0].file)
    assert [sheet.title for sheet in book if sheet.sheet_state != "visible"] == ["Contract"]
    assert (book.properties.creator or "", book.properties.lastModifiedBy or "") == ("", "")


def test_a_line_that_nobody_serves_and_a_supplier_without_lines_are_said(job_file: Path, tmp_path: Path) -> None:
    suppliers = loop.SUPPLIERS.model_copy(update={"suppliers": loop.SUPPLIERS.suppliers[:1]})
    made = request_prices(job_file, suppliers, tmp_path / "out", date=loop.DAY)
    assert made.open_lines == ("Anodize clear", "Threaded insert M4")
    assert "no supplier" in " ".join(made.notes)


def test_an_existing_request_is_not_overwritten(job_file: Path, tmp_path: Path) -> None:
    loop.ask(job_file, tmp_path / "out")
    with pytest.raises(TargetExists):
        loop.ask(job_file, tmp_path / "out")


def test_identities_tell_job_revision_supplier_line_and_quantity() -> None:
    from quotebook.flows.demo import examples_folder

    job = read_job(examples_folder() / "jobs" / "bearing-cap.toml")
    later = job.model_copy(update={"job": job.job.model_copy(update={"revision": "C"})})
    one, two = reference_of(job, "A"), reference_of(later, "A")
    assert (one.job, one.supplier) == (two.job, two.supplier)
    assert one.revision != two.revision
    assert read_reference(f"re: {one} thanks".lower()) == one
    assert read_item(item_id("Stock", 25)) == read_item(item_id(" stock", 25).lower())
    blank = job.model_copy(update={"job": job.job.model_copy(update={"part_number": "", "quote_number": " "})})
    with pytest.raises(InputError):
        reference_of(blank, "A")


def test_the_shop_profile_of_the_examples_is_read() -> None:
    from quotebook.flows.demo import examples_folder
    from quotebook.model.suppliers import read_suppliers

    assert read_shop(examples_folder() / "shop.toml").shop.name
    assert [one.name for one in read_suppliers(examples_folder() / "suppliers.toml").suppliers] == [
        loop.LARCH, loop.QUARRY, loop.EVERY,
    ]  # fmt: skip


def test_the_package_holds_no_date_of_making(job_file: Path, tmp_path: Path) -> None:
    core = unzipped(loop.ask(job_file, tmp_path / "out").requests[0].file)["docProps/core.xml"]
    assert b"2000-01-01" in core
