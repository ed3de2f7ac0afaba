"""Another customer's name, mail address, quotation number or prices in a workbook of ours, and where none is meant.

Source of the fault and of its false alarms: the catalogue of checks, row P10 (paste; group companies). Names are
invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from quotebook.audit.finding import Finding, Severity
from quotebook.audit.whose import folded, is_kin, is_same, is_telling
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from tests.audit.contract_base import Spoiled, base_view, spoil, typed, write_base
from tests.audit.other_customers import LABELLED, OTHER, home_view, told, written


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


def test_a_name_in_a_note_for_the_shop_is_told_at_its_cell(base: Path) -> None:
    view = written(base, "finish as for  BRACKWATER   conveyors, 5 % less")
    (finding,) = told(view)
    cell = base_view(base).field_cell("job_note")
    assert cell is not None
    assert (finding.check, finding.severity) == ("another-customer-named", Severity.PROBABLY_WRONG)
    assert (finding.sheet, finding.field) == (cell.sheet, "job_note")
    assert f"{cell}".endswith(f"!{finding.cells}")
    assert finding.effect_on_price == 0
    assert "other.xlsx" in str(finding.evidence[0])
    assert told(view, ()) == [], "a file audited alone has nothing to be compared with"
    assert told(base_view(base)) == [], "the workbook as it was made names nobody else"


@pytest.mark.parametrize(
    "text",
    [
        "brackwater.conveyors",  # other signs between
        "see BRÁCKWATER-Conveyors' drawing",  # accents, a possessive
        "Brackwater Conveyors Limited",
        "send a copy to A.Buyer@Brackwater.example",
    ],
)
def test_ways_of_writing_it(base: Path, text: str) -> None:
    assert [one.severity for one in told(written(base, text))] == [Severity.PROBABLY_WRONG]


@pytest.mark.parametrize(
    "text",
    [
        "Brackwater mills",
        "brackwaterconveyors",
        "Conveyors of Brackwater",
        "QX-10432",
        "AQX-1043",
        "QX-1043-7",
        "as usual",
    ],
)
def test_texts_that_only_look_like_it(base: Path, text: str) -> None:
    assert told(written(base, text)) == []


def test_a_quotation_number_alone_is_told_one_level_lower(base: Path) -> None:
    view = written(base, "same fixture as in qx-1043.")
    (finding,) = told(view)
    assert finding.severity is Severity.LOOK_AT_IT
    assert told(view, [OTHER._replace(quote_number="1043")]) == [], "without letters it may be anything"
    own = view.field_value("quote_number")
    assert own == "Q-7"
    again = written(base, "QX-1043", "quote_number")
    assert told(again) == [], "two files with one number are no leak"


@pytest.mark.parametrize(
    ("own", "severity"),
    [
        ("Brackwater Conveyors", None),
        ("BRACKWATER CONVEYORS, LTD.", None),
        ("Brackwater Conveyers Ltd", None),  # a slip
        ("Brackwater Conveyors Norway AS", None),
        ("Brackwater Hydraulics GmbH", Severity.LOOK_AT_IT),  # perhaps of one group
        ("Ostrava Lifts", Severity.PROBABLY_WRONG),
    ],
)
def test_names_of_one_customer_and_of_one_group(base: Path, own: str, severity: Severity | None) -> None:
    findings = told(written(base, "as for Brackwater Conveyors", customer_name=own))
    assert [one.severity for one in findings] == ([] if severity is None else [severity])


def test_a_workbook_that_does_not_say_whose_it_is_may_name_one_customer(base: Path) -> None:
    view = written(base, "for Brackwater Conveyors", customer_name=None)
    assert told(view) == []
    again = OTHER._replace(customer="Ostrava Lifts")
    assert told(view, [OTHER, again]) == []


@pytest.mark.parametrize("field", ["supplier_name", "material_name", "work_center_name", "shop_name"])
def test_a_customer_whom_the_shop_s_own_tables_or_suppliers_name_is_not_looked_for(base: Path, field: str) -> None:
    view = base_view(base)
    value = view.field_value(field)
    assert isinstance(value, str)
    other = OTHER._replace(customer=f"{value} Brackwater")
    typed_in = {field: f"{value} Brackwater Ltd"}
    assert told(written(base, f"{value} Brackwater", **typed_in), [other]) == []
    assert len(told(written(base, f"{value} Brackwater"), [other])) == 1


@pytest.mark.parametrize(
    "name",
    [
        "ABC",
        "Ltd",
        "Customer 12",
        "Demo customer",
        "Test Company GmbH",
        "Pump Works",
        "",
        "???",
        "x" * 40_000,
        "(" * 100,
    ],
)
def test_names_that_cannot_be_looked_for(name: str) -> None:
    assert not is_telling(name)


def test_a_name_of_one_word_is_told_from_the_word(base: Path) -> None:
    word = OTHER._replace(customer="Anvil Ltd", mails=(), quote_number="")
    says = {
        "made on the anvil": 0, "Anvil tools are in drawer 3": 0, "done. Anvil next": 0,
        "as for Anvil last year": 1, "Anvil": 1, "Anvil Limited": 1,
    }  # fmt: skip
    for text, count in says.items():
        assert len(told(written(base, text), [word])) == count, text


def test_signs_in_a_name_are_no_pattern(base: Path) -> None:
    other = OTHER._replace(customer="Br[ack*]water (+) .*", quote_number="Q(1043)+[a", mails=())
    assert told(written(base, "anything; Q1043"), [other]) == []
    assert len(told(written(base, "is Q(1043)+[a ours?"), [other])) == 1


def test_stored_results_that_still_show_the_old_customer(base: Path, tmp_path: Path) -> None:
    first = spoil(base, tmp_path / "first.xlsx", Spoiled({("customer_name", 0): typed(OTHER.customer)}))
    view = base_view(first)
    cell = view.field_cell("customer_name")
    assert cell is not None
    assert told(view) == []
    again = spoil(first, tmp_path / "again.xlsx", Spoiled({("customer_name", 0): typed("Ostrava Lifts")}, stale=True))
    (finding,) = told(view_of(open_workbook(again)))
    assert finding.sheet == "Quote"
    assert "a stored result" in finding.found


def test_prices_of_another_file_in_a_row(base: Path, tmp_path: Path) -> None:
    def pasted(name: str, prices: Sequence[float]) -> list[Finding]:
        cells = {f"C{row}": price for row, price in enumerate(prices, start=5)}
        return told(home_view(tmp_path, {**LABELLED, **cells}, name))

    (finding,) = pasted("three.xlsx", OTHER.prices[1:])
    assert (finding.cells, finding.severity) == ("C5:C7", Severity.PROBABLY_WRONG)
    assert pasted("all.xlsx", OTHER.prices)[0].cells == "C5:C8"
    assert pasted("two.xlsx", OTHER.prices[:2]) == []
    assert pasted("order.xlsx", OTHER.prices[::-1]) == []
    round_ones = OTHER._replace(prices=(100.0, 90.0, 80.0))
    assert told(home_view(tmp_path, {**LABELLED, "C5": 100, "D5": 90, "E5": 80}, "round.xlsx"), [round_ones]) == []
    across = home_view(tmp_path, {**LABELLED, "C5": 118.1, "D5": 61.05, "E5": 45.85}, "across.xlsx")
    assert [one.cells for one in told(across)] == ["C5:E5"]


def test_figures_of_the_shop_are_nobody_s_prices(base: Path) -> None:
    fields = {f"hand_rate_cost_{row}": price for row, price in enumerate(OTHER.prices[:3])}
    assert told(written(base, None, **fields)) == []
    own = {f"nonrecurring_purchase_{row}": price for row, price in enumerate(OTHER.prices[:3])}
    assert len(told(written(base, None, **own))) == 1, "in the job's own tables they are"


def test_words_and_names() -> None:
    assert folded("  Smith & Söhne,\u00a0Nord-WEST ") == "smith sohne nord west"
    assert is_same("Smith & Sons", "SMITH AND SONS LTD")
    assert not is_same("Brackwater Conveyors", "Ostrava Lifts")
    assert not is_same("", "Ostrava Lifts")
    assert is_kin("Brackwater Hydraulics", "Brackwater Conveyors")
    assert not is_kin("General Hydraulics", "General Conveyors"), "a common word makes no group"
