"""The customer copy: nothing of the cost side in any byte, and every reason to refuse it."""

from __future__ import annotations

import datetime
import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.errors import BookError, TargetExists
from quotebook.flows.audit import audit_file
from quotebook.flows.opening import open_workbook
from quotebook.flows.quote import quote
from quotebook.pricing import price_job
from quotebook.workbook.changes import NewInput
from quotebook.workbook.customer_copy import DRAFT
from quotebook.workbook.patch import write_copy
from tests import loop
from tests.leaks import figures, found_in
from tests.libreoffice import needs_libreoffice, needs_pdf_reader


def priced_job() -> dict[str, Any]:
    data = loop.job_data()
    data["stock"]["price"] = 83.4177
    data["buyout"][0].update(price=5.2931, lot_minimum=97.31)
    data["buyout"][1].update(price=31.077)
    data["job"].update(note="secret remark", packing_per_lot=71.93, quote_terms="Payment 30 days net.")
    data["supplier_price"] = [
        {"line": "Stock", "supplier": "Rival Metals", "reference": "RM-5521", "price": 80.1234, "chosen": True,
         "valid_until": datetime.date(2031, 12, 31), "remark": "chosen: cheapest"},
    ]  # fmt: skip
    return data


@pytest.fixture(scope="module")
def job_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("secret-folder-name")
    path = loop.write(folder / "plain.xlsx", priced_job())
    book = openpyxl.load_workbook(path)
    book.properties.creator = book.properties.lastModifiedBy = "Hidden Author"
    book.save(folder / "authored.xlsx")
    # openpyxl drops stored results; recompute puts them back, as a spreadsheet program would.
    from quotebook.flows.recompute import recompute

    recompute(folder / "authored.xlsx", save_as=folder / "secret-file-name.xlsx")
    return folder / "secret-file-name.xlsx"


def secrets(path: Path) -> list[str]:
    opened = open_workbook(path)
    assert opened.job is not None
    assert opened.shop is not None
    price = price_job(opened.job, opened.shop)
    shown = {figure for lot in price.lots for figure in (lot.unit_price, lot.extended_price, lot.first_order_total)}
    numbers: list[float | None] = [83.4177, 5.2931, 97.31, 31.077, 80.1234, 71.93]
    for rate in (*opened.shop.hand_rates, *opened.shop.work_centers):
        numbers += [rate.cost_rate + 0.0, rate.sell_rate + 0.0]
    for lot in (price.first_piece, *price.lots):
        numbers += [lot.cost, lot.margin, lot.markup, lot.machine_hours, lot.attended_hours, lot.setup_hours]
        for elements in (lot.cost_elements, lot.sell_elements):
            numbers += [amount for _, amount in elements.items()]
    texts = [
        "Hidden Author", "secret", str(path.parent), "Rival Metals", "RM-5521", "Machinist", "Turn both sides",
        "3-axis mill", "Lathe with live", "cheapest", "Threaded insert", "Programming", "Bench",
    ]  # fmt: skip
    return texts + figures(number for number in numbers if number not in shown)


def test_nothing_of_the_cost_side_is_in_any_byte(job_file: Path, tmp_path: Path) -> None:
    made = quote(job_file, tmp_path / "copy.xlsx", pdf=False, today=loop.DAY)
    assert made.refusals == ()
    assert found_in(tmp_path / "copy.xlsx", secrets(job_file)) == []
    head = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Quotation"]
    named = {str(head.cell(row, 1).value): head.cell(row, 2).value for row in range(1, 25)}
    assert named["Finish, outside work"] == "Anodize clear"
    audited = audit_file(tmp_path / "copy.xlsx")
    assert [finding for finding in audited.findings if finding.severity.is_grave] == []
    assert {finding.check for finding in audited.findings}.isdisjoint({"cost-in-customer-copy"})


def test_the_same_search_finds_the_secrets_in_the_job(job_file: Path) -> None:
    hit = {secret for secret, _ in found_in(job_file, secrets(job_file))}
    assert {"Hidden Author", "Rival Metals", "83.4177", "Turn both sides", "Bench"} <= hit


def test_the_copy_holds_values_alone_and_they_are_right(job_file: Path, tmp_path: Path) -> None:
    quote(job_file, tmp_path / "copy.xlsx", pdf=False, today=loop.DAY)
    book = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    assert book.sheetnames == ["Quotation"]
    assert list(book.defined_names) == []
    sheet = book["Quotation"]
    assert not [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f" or cell.comment]
    rows = {str(row[0]): row for row in sheet.iter_rows(values_only=True) if row[0]}
    opened = open_workbook(job_file)
    assert opened.job is not None
    assert opened.shop is not None
    for lot in price_job(opened.job, opened.shop).lots:
        expected = (
            lot.unit_price, lot.supplement, lot.extended_price, lot.charge, lot.first_order_total, lot.repeat.unit_price
        )  # fmt: skip
        assert rows[f"{lot.quantity} pieces"][1:7] == pytest.approx(expected)
    assert rows["Valid until"][1] == "2031-04-09"  # by hand: 10 March and 30 days
    assert rows["Drawing revision"][1] == "B"
    assert "Payment 30 days net." in rows


def changed(path: Path, target: Path, **inputs: Any) -> Path:
    opened = open_workbook(path)
    assert opened.located is not None
    from quotebook.values import Address

    places = {name: opened.located.fields[name] for name in inputs}
    changes = {Address(p.sheet, p.row, p.column): NewInput(inputs[name], True) for name, p in places.items()}
    write_copy(path, target, changes)
    return target


def recalculated(path: Path, target: Path) -> Path:
    from quotebook.flows.recompute import recompute

    recompute(path, save_as=target)
    return target


@pytest.mark.parametrize(
    ("inputs", "today", "kind", "told"),
    [
        ({}, datetime.date(2032, 2, 1), "expired", "Rival Metals"),
        ({"supplier_valid_until": datetime.date(2031, 3, 9)}, loop.DAY, "expired", "2031-03-09"),
        ({"job_interest": 0.0}, loop.DAY, "no-go", "no interest"),
        ({"buyout_price": None}, loop.DAY, "missing", "Anodize clear"),
    ],
)
def test_it_refuses_and_says_why(
    job_file: Path, tmp_path: Path, inputs: dict[str, Any], today: datetime.date, kind: str, told: str
) -> None:
    one = changed(job_file, tmp_path / "one.xlsx", **inputs)
    two = recalculated(one, tmp_path / "two.xlsx")
    made = quote(two, tmp_path / "copy.xlsx", today=today)
    assert made.files == ()
    assert not (tmp_path / "copy.xlsx").exists()
    assert [one.sentence for one in made.refusals if one.kind == kind and told in one.sentence]


def test_a_formula_typed_over_is_refused_by_the_audit(job_file: Path, tmp_path: Path) -> None:
    broken = changed(job_file, tmp_path / "one.xlsx", next_piece_cost=1.0)
    made = quote(recalculated(broken, tmp_path / "two.xlsx"), tmp_path / "copy.xlsx", today=loop.DAY)
    assert made.files == ()
    assert {one.kind for one in made.refusals} & {"audit", "engines"}


def test_stale_results_are_refused(job_file: Path, tmp_path: Path) -> None:
    stale = changed(job_file, tmp_path / "one.xlsx", packing_per_lot=400.0)
    assert quote(stale, tmp_path / "copy.xlsx", today=loop.DAY).files == ()


def test_anyway_marks_it_as_a_draft_on_every_page(job_file: Path, tmp_path: Path) -> None:
    made = quote(job_file, tmp_path / "copy.xlsx", pdf=False, anyway=True, today=datetime.date(2032, 2, 1))
    assert made.draft
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Quotation"]
    assert sheet["A1"].value == DRAFT
    assert "DRAFT" in str(sheet.oddHeader.center.text)
    assert "DRAFT" in str(sheet.oddFooter.left.text)
    assert found_in(tmp_path / "copy.xlsx", secrets(job_file)) == []


def test_a_sound_quotation_is_no_draft_even_with_anyway(job_file: Path, tmp_path: Path) -> None:
    made = quote(job_file, tmp_path / "copy.xlsx", pdf=False, anyway=True, today=loop.DAY)
    assert not made.draft
    assert found_in(tmp_path / "copy.xlsx", ["DRAFT"]) == []


def test_targets_are_guarded(job_file: Path, tmp_path: Path) -> None:
    with pytest.raises(BookError):
        quote(job_file, job_file, today=loop.DAY, force=True)
    with pytest.raises(BookError, match=r"\.xlsx"):
        quote(job_file, tmp_path / "copy.pdf", today=loop.DAY)
    (tmp_path / "copy.xlsx").write_bytes(b"mine")
    with pytest.raises(TargetExists):
        quote(job_file, tmp_path / "copy.xlsx", today=loop.DAY)
    assert (tmp_path / "copy.xlsx").read_bytes() == b"mine"
    with pytest.raises(BookError, match="no Quote sheet"):
        quote(loop.ask(job_file, tmp_path / "r").requests[0].file, tmp_path / "q.xlsx", today=loop.DAY)


@pytest.mark.libreoffice
@needs_libreoffice
@needs_pdf_reader
def test_the_pdf_says_draft_and_holds_no_secret(job_file: Path, tmp_path: Path) -> None:
    made = quote(job_file, tmp_path / "copy.xlsx", anyway=True, today=datetime.date(2032, 2, 1))
    pdf = tmp_path / "copy.pdf"
    assert made.files == (tmp_path / "copy.xlsx", pdf)
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = [page for page in text.split("\f") if page.strip()]
    assert all("DRAFT" in page for page in pages)
    raw = text.lower() + pdf.read_bytes().decode("latin-1").lower()
    assert [secret for secret in secrets(job_file) if secret.lower() in raw and not secret[0].isdigit()] == []
    assert [secret for secret in secrets(job_file) if secret[0].isdigit() and secret in text] == []
    assert str(tmp_path).lower() not in raw
