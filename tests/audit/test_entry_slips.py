"""Entries that contradict others: which cell is blamed, what it should say, and what is left alone.

The figures are invented; which of three times is wrong, and which factor explains it, was worked out by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.audit.finding import Finding, Severity
from quotebook.audit.registry import check_named
from quotebook.audit.runner import audit_view
from quotebook.audit.slips import by_factor, rounded_like
from quotebook.audit.stale import stale
from quotebook.audit.view import BookView
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from tests.audit.contract_base import Spoiled, base_job, base_view, spoil, typed, write_base
from tests.made import write_workbook
from tests.samples import metric_shop

Times = tuple[float, float, float]


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


def said(view: BookView, check: str) -> list[tuple[str, Finding]]:
    one = check_named(check)
    assert one is not None
    return [(finding.field, finding) for finding in one.find(view)]


def with_times(base: Path, folder: Path, rows: list[Times]) -> BookView:
    """The base with as many operations as there are rows of best, likely and worst minutes."""
    fields = {}
    for row, (low, likely, high) in enumerate(rows):
        fields[("operation_number", row)] = typed(10.0 * (row + 1))
        fields[("low_cycle_minutes", row)] = typed(low)
        fields[("cycle_minutes", row)] = typed(likely)
        fields[("high_cycle_minutes", row)] = typed(high)
    return view_of(open_workbook(spoil(base, folder / "times.xlsx", Spoiled(fields))))


def test_a_number_is_put_right_by_one_factor_only() -> None:
    assert by_factor(61.0, 5.2, 7.9) == 6.1
    assert by_factor(0.103333, 5.2, 7.9) == 6.2
    assert by_factor(70.0, 1.0, 9.0) is None, "7.0, and 1.17 as minutes for hours: either may be meant"
    assert by_factor(6.1, 5.2, 7.9) is None
    assert rounded_like(6.19998) == 6.2


@pytest.mark.parametrize(
    ("times", "field", "put_right", "severity"),
    [
        ((5.2, 61.0, 7.9), "cycle_minutes", 6.1, Severity.PROBABLY_WRONG),
        ((5.2, 0.103333, 7.9), "cycle_minutes", 6.2, Severity.PROBABLY_WRONG),
        ((52.0, 6.1, 7.9), "low_cycle_minutes", None, Severity.PROBABLY_WRONG),
        ((5.2, 6.1, 0.79), "high_cycle_minutes", None, Severity.PROBABLY_WRONG),
        ((5.2, 7.6, 7.9), "cycle_minutes", None, Severity.LOOK_AT_IT),
    ],
)
def test_of_three_times_the_wrong_one_is_named(
    times: Times, field: str, put_right: float | None, severity: Severity, base: Path, tmp_path: Path
) -> None:
    ((name, finding),) = said(with_times(base, tmp_path, [times]), "cycle-outside-range")
    assert (name, finding.severity) == (field, severity)
    assert list(finding.put_right.values()) == ([] if put_right is None else [put_right])


@pytest.mark.parametrize("times", [(5.2, 6.1, 7.9), (4.0, 5.0, 6.0), (5.0, 5.0, 5.0), (4.0, 4.0, 9.0)])
def test_sound_times_are_left_alone(times: Times, base: Path, tmp_path: Path) -> None:
    assert said(with_times(base, tmp_path, [times]), "cycle-outside-range") == []


def test_a_cycle_from_the_cutting_sheet_is_no_slip_of_the_hand(base: Path, tmp_path: Path) -> None:
    """The cutting lines of operation 10 give 3.0 minutes (120/80 and 2 x (6/10 + 9/60)), the range says 10 to 20."""
    spoiled = Spoiled({("low_cycle_minutes", 0): typed(10.0), ("high_cycle_minutes", 0): typed(20.0)})
    ((name, finding),) = said(
        view_of(open_workbook(spoil(base, tmp_path / "cut.xlsx", spoiled))), "cycle-outside-range"
    )
    assert (name, finding.severity, finding.put_right) == ("cycle_used", Severity.LOOK_AT_IT, {})
    assert "3 and 20 min" in finding.found


def test_a_row_is_held_to_the_shares_that_all_others_take(base: Path, tmp_path: Path) -> None:
    rows: list[Times] = [(8.5, 10.0, 13.0), (1.7, 2.0, 2.6), (3.4, 4.0, 5.2), (5.1, 6.4, 7.8)]
    ((name, finding),) = said(with_times(base, tmp_path, rows), "cycle-outside-range")
    assert name == "cycle_minutes"
    assert list(finding.put_right.values()) == [6.0]
    rows[0], rows[1] = (8.5, 10.0, 15.0), (1.4, 2.0, 2.6)
    assert said(with_times(base, tmp_path, rows), "cycle-outside-range") == [], "they take no shares"


@pytest.mark.parametrize(
    ("quantities", "neighbours"),
    [
        ((60, 120, 840, 960), 1),
        ((60, 120, 480, 960), 0),
        ((900, 960), 0),
        ((10, 12, 15, 18), 0),
    ],
)
def test_a_quantity_close_to_its_neighbour_is_told_where_the_others_lie_apart(
    quantities: tuple[int, ...], neighbours: int, tmp_path: Path
) -> None:
    job = base_job()
    job = job.model_copy(update={"job": job.job.model_copy(update={"quantities": quantities})})
    path = write_workbook(tmp_path / "lots.xlsx", metric_shop(), job, {"quantity_breaks": 6})
    found = said(view_of(open_workbook(path)), "quantity-out-of-pattern")
    assert [finding.severity for _, finding in found] == [Severity.LOOK_AT_IT] * neighbours


def test_quantities_that_do_not_rise_are_probably_wrong(base: Path, tmp_path: Path) -> None:
    spoiled = Spoiled({("break_quantity", 0): typed(200.0)})
    view = view_of(open_workbook(spoil(base, tmp_path / "lots.xlsx", spoiled)))
    ((_, finding),) = said(view, "quantity-out-of-pattern")
    assert finding.severity is Severity.PROBABLY_WRONG


def test_an_entry_that_is_named_does_not_hide_that_the_price_is_old(base: Path, tmp_path: Path) -> None:
    """Correcting the entry leaves the stored price as old as it was, so both are told."""
    spoiled = Spoiled({("pieces_per_load", 1): typed(1.25)}, stale=True)
    view = view_of(open_workbook(spoil(base, tmp_path / "old.xlsx", spoiled)))
    told = {finding.check for finding in audit_view(view).findings}
    assert {"entry-outside-limits", "stale-result"} <= told


def test_a_text_that_was_empty_when_the_file_was_saved_is_where_old_results_begin(base: Path, tmp_path: Path) -> None:
    """An empty text is stored as nothing: the count that reads it is old because the text is."""
    spoiled = Spoiled({("buyout_operation", 0): typed(99.0)}, stale=True)
    view = view_of(open_workbook(spoil(base, tmp_path / "text.xlsx", spoiled)))
    state, roots = base_view(base).field_cell("buyout_problem", 0), stale(view).roots
    assert state in roots
    assert not [cell for cell in roots if cell.sheet == "Start"]


@pytest.mark.parametrize(
    ("minutes", "pieces", "cycle", "field"),
    [
        (0.7, 10.0, 6.0, "pieces_per_load"),
        (0.7, 1.0, 6.0, ""),
        (4.0, 8.0, 2.0, ""),
        (9.0, 1.0, 5.0, "load_minutes"),
        (20.0, 1.0, 540.0, ""),
        (4.0, 1.0, 0.5, ""),
    ],
)
def test_loading(minutes: float, pieces: float, cycle: float, field: str, base: Path, tmp_path: Path) -> None:
    values = {"load_minutes": minutes, "pieces_per_load": pieces, "cycle_minutes": cycle}
    spoiled = Spoiled({(name, 1): typed(value) for name, value in values.items()})
    view = view_of(open_workbook(spoil(base, tmp_path / "load.xlsx", spoiled)))
    assert [name for name, _ in said(view, "loading-out-of-proportion")] == ([field] if field else [])


@pytest.mark.parametrize(
    ("check", "field", "typed_in", "meant"),
    [
        ("entry-outside-limits", "attendance_share", 50.0, 0.5),  # 50 % without its sign
        ("entry-outside-limits", "pieces_per_load", 0.8, 8.0),
        ("entry-outside-limits", "pieces_per_load", 0.85, None),
        ("share-too-small", "scrap_share", 0.0004, 0.04),  # the percent sign twice
        ("share-too-small", "scrap_share", 0.002, 0.02),  # 20 % would be too much
        ("high-scrap", "scrap_share", 0.2, 0.02),
        ("high-scrap", "scrap_share", 0.254, None),
        ("odd-attendance", "attendance_share", 0.05, 0.5),
        ("odd-attendance", "attendance_share", 0.01, 1.0),
        ("odd-attendance", "attendance_share", 2.0, None),
    ],
)
def test_a_share_or_number_is_put_right_by_the_slip_that_explains_it(
    check: str, field: str, typed_in: float, meant: float | None, base: Path, tmp_path: Path
) -> None:
    spoiled = Spoiled({(field, 0): typed(typed_in)})
    ((_, finding),) = said(view_of(open_workbook(spoil(base, tmp_path / "slip.xlsx", spoiled))), check)
    assert list(finding.put_right.values()) == ([] if meant is None else [meant])


def test_the_quantity_with_its_point_wrong_is_put_right(base: Path, tmp_path: Path) -> None:
    """200, 50: 20 typed as 200, or 500 as 50? Nothing is put right. 50, 25, 100: only 5 typed as 50 explains it."""
    for fields, wanted in (({0: 200.0}, []), ({0: 50.0, 1: 25.0, 2: 100.0}, [5.0])):
        spoiled = Spoiled({("break_quantity", row): typed(number) for row, number in fields.items()})
        view = view_of(open_workbook(spoil(base, tmp_path / f"lots{wanted}.xlsx", spoiled)))
        ((_, finding),) = said(view, "quantity-out-of-pattern")
        assert list(finding.put_right.values()) == wanted


@pytest.mark.parametrize(
    ("field", "amount", "meant"),
    [
        ("freight_per_lot", 3.071, [30.71]),
        ("freight_per_lot", 3.07, []),
        ("freight_per_lot", 7.3333333333, []),  # a share of something, worked out elsewhere
        ("buyout_price", 0.0125, []),  # the price of one small piece
    ],
)
def test_an_amount_finer_than_its_currency_has_its_point_wrong(
    field: str, amount: float, meant: list[float], base: Path, tmp_path: Path
) -> None:
    view = view_of(open_workbook(spoil(base, tmp_path / "amount.xlsx", Spoiled({(field, 0): typed(amount)}))))
    assert [value for _, one in said(view, "fraction-of-a-cent") for value in one.put_right.values()] == meant
