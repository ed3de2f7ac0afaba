"""The risk run against the closed form, against hand-made draws, and against poisoned files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from quotebook.engine import evaluate
from quotebook.errors import InputError
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.flows.risk_run import RiskRun, Uncertain, drawn, percentile, risk_run
from quotebook.flows.risk_saved import HEADING, save_risk
from quotebook.values import Address
from quotebook.workbook.changes import NewFormula
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.flows.poisoned import poisoned_copy
from tests.made import place, with_inputs


@pytest.fixture(scope="module")
def uncertain_file(golden_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The golden job with low and high cycles beside the likely ones."""
    opened = open_workbook(golden_file)
    results = evaluate(opened.book).results
    typed: dict[tuple[str, int], float] = {}
    for row in range(2):
        likely = results[place(opened, "cycle_used", row)].value
        assert isinstance(likely, float)
        typed["low_cycle_minutes", row] = likely * 0.8
        typed["high_cycle_minutes", row] = likely * 1.9
    return with_inputs(golden_file, tmp_path_factory.mktemp("risk") / "uncertain.xlsx", dict(typed))


@pytest.fixture(scope="module")
def run(uncertain_file: Path) -> RiskRun:
    return risk_run(uncertain_file, cases=20_000, seed=3, correlation=0)


def test_mean_and_spread_come_near_the_closed_form(run: RiskRun) -> None:
    """Source: the Risk sheet, mean (low + 4 likely + high) / 6 and spread (high - low) / 6, exact for a linear cost."""
    assert run.agrees is True
    for lot in run.lots:
        assert lot.exact_mean is not None
        assert lot.exact_spread is not None
        assert abs(lot.mean - lot.exact_mean) < 4 * lot.mean_error
        assert lot.spread == pytest.approx(lot.exact_spread, rel=0.03)
        assert lot.mean > lot.likely_cost, "the high end lies further away than the low end"


@pytest.mark.parametrize("correlation", [0, 0.5, 1])
def test_a_closed_form_that_is_off_is_seen(uncertain_file: Path, tmp_path: Path, correlation: float) -> None:
    """A Risk sheet whose spread is a tenth too wide must not be called in agreement."""
    opened = open_workbook(uncertain_file)
    cells = [place(opened, name, lot=1) for name in ("risk_spread_independent", "risk_spread_together")]
    other = tmp_path / "other.xlsx"
    write_copy(uncertain_file, other, {cell: NewFormula(f"({opened.book.formulas[cell]})*1.1") for cell in cells})
    found = risk_run(other, cases=20_000, seed=3, correlation=correlation)
    assert found.lots[0].agrees is False
    assert found.agrees is False


def test_percentiles_rise_and_their_errors_shrink_with_more_cases(uncertain_file: Path, run: RiskRun) -> None:
    few = risk_run(uncertain_file, cases=500, seed=3).lots[0]
    many = run.lots[0]
    costs = [each.cost for each in many.percentiles]
    assert costs == sorted(costs)
    for less, more in zip(few.percentiles, many.percentiles, strict=True):
        assert more.error < less.error
        assert abs(less.cost - more.cost) < 4 * (less.error + more.error)


def test_the_standard_error_of_a_percentile_is_what_repeated_runs_show() -> None:
    """By trial: 300 samples of 1000 normal numbers; their medians spread as the order statistics say."""
    draw = np.random.default_rng(8)
    samples = np.sort(draw.normal(100, 10, (300, 1000)), axis=1)
    told = np.mean([percentile(each, 0.8).error for each in samples])
    seen = np.std([percentile(each, 0.8).cost for each in samples])
    assert told == pytest.approx(seen, rel=0.15)


def test_draws_have_the_mean_spread_and_ends_that_are_stated() -> None:
    """Method of moments, by hand: mean (1 + 4*2 + 6) / 6 = 2.5, spread 5 / 6; triangle: (1 + 2 + 6) / 3 = 3."""
    each = Uncertain(0, "x", Address("S", 1, 1), 1.0, 2.0, 6.0)
    beta = drawn([each], 200_000, 4, "beta", 0)[:, 0]
    assert beta.mean() == pytest.approx(2.5, abs=0.01)
    assert beta.std() == pytest.approx(5 / 6, abs=0.01)
    assert beta.min() >= 1
    assert beta.max() <= 6
    assert drawn([each], 200_000, 4, "triangle", 0).mean() == pytest.approx(3.0, abs=0.01)


def test_one_seed_one_result_another_seed_another(uncertain_file: Path) -> None:
    first, again, other = (risk_run(uncertain_file, cases=400, seed=seed).lots[0].mean for seed in (5, 5, 6))
    assert first == again
    assert first != other


def test_operations_together_spread_wider_than_by_themselves(uncertain_file: Path, run: RiskRun) -> None:
    together = risk_run(uncertain_file, cases=20_000, seed=3, correlation=1)
    assert together.agrees is True
    assert together.lots[0].spread > run.lots[0].spread * 1.05


def test_many_cases_of_opposite_skews_are_no_disagreement(uncertain_file: Path, tmp_path: Path) -> None:
    """The mean over the pairs hits what was asked for; a lot's own pairs, which weigh differently, miss it a little."""
    skewed: dict[tuple[str, int], float] = {("risk_stock_low", 0): 0.5, ("risk_stock_high", 0): 0.01}
    target = with_inputs(uncertain_file, tmp_path / "skewed.xlsx", dict(skewed))
    found = risk_run(target, cases=1_000_000, seed=3, correlation=0.9)
    assert found.agrees is True
    for lot in found.lots:
        assert lot.drawn_correlation == pytest.approx(0.9, abs=0.1)
        assert lot.drawn_correlation != pytest.approx(0.9, abs=1e-4)


@pytest.mark.parametrize("correlation", [0.0, 0.2, 0.5, 0.9])
def test_draws_err_together_as_far_as_is_asked_and_keep_their_own_distributions(correlation: float) -> None:
    """By hand: a sum of four has variance (1 - r) sum s^2 + r (sum s)^2 (variance of a sum)."""
    ends = [(1.0, 2.0, 6.0), (3.0, 4.0, 5.0), (10.0, 12.0, 20.0), (0.0, 5.0, 6.0)]
    rows = [Uncertain(0, "x", Address("S", 1, 1), *each) for each in ends]
    found, alone = (drawn(rows, 50_000, 4, "beta", r) for r in (correlation, 0.0))
    assert np.array_equal(np.sort(found, axis=0), np.sort(alone, axis=0))
    spreads = [(high - low) / 6 for low, _, high in ends]
    squares, together = sum(s * s for s in spreads), sum(spreads) ** 2
    exact = ((1 - correlation) * squares + correlation * together) ** 0.5
    assert found.sum(axis=1).std() == pytest.approx(exact, rel=0.02)


def test_the_run_takes_the_correlation_of_the_risk_sheet(uncertain_file: Path, tmp_path: Path) -> None:
    typed = with_inputs(uncertain_file, tmp_path / "typed.xlsx", {("risk_correlation", 0): 0.7})
    assert risk_run(uncertain_file, cases=400).correlation == 0.2
    found = risk_run(typed, cases=4000)
    assert found.correlation == 0.7
    assert found.agrees is True
    sheet = evaluate(open_workbook(typed).book).results[place(open_workbook(typed), "risk_spread", lot=1)].value
    assert found.lots[0].exact_spread == pytest.approx(sheet)
    with pytest.raises(InputError, match=r"0 \(each by itself\) to 1"):
        risk_run(typed, correlation=1.5)


def test_what_matters_most_is_what_moves_the_cost_most(run: RiskRun) -> None:
    lot = run.lots[0]
    assert sum(each.part for each in lot.influences) == pytest.approx(1.0)
    widths = [each.at_high - each.at_low for each in lot.influences]
    assert widths == sorted(widths, reverse=True)
    assert [each.part for each in lot.influences] == sorted((each.part for each in lot.influences), reverse=True)
    assert all(each.at_low < lot.likely_cost < each.at_high for each in lot.influences)


def test_the_chance_of_loss_counts_cases_above_the_price(uncertain_file: Path, run: RiskRun, tmp_path: Path) -> None:
    assert run.lots[0].loss_chance == 0
    # A discount that takes nearly all of the profit: the middle of the costs lies near the price.
    cheap = with_inputs(uncertain_file, tmp_path / "cheap.xlsx", {("discount_share", 0): 0.3})
    lot = risk_run(cheap, cases=4000).lots[0]
    assert lot.price is not None
    assert lot.loss_chance is not None
    below = [each.share for each in lot.percentiles if each.cost < lot.price]
    assert lot.loss_chance <= 1 - max(below, default=0.0)


@pytest.mark.parametrize("correlation", [0, None, 0.6, 1])
@pytest.mark.parametrize("cycles", [False, True])
def test_purchases_that_may_cost_more_are_drawn_too(
    golden_file: Path, uncertain_file: Path, tmp_path: Path, cycles: bool, correlation: float | None
) -> None:
    """Source: the Risk sheet's closed form: a purchase adds (high - low) / 6 and (high + low) / 6 of itself."""
    file = uncertain_file if cycles else with_inputs_removed(golden_file)
    target = with_inputs(file, tmp_path / "stock.xlsx", {("risk_stock_low", 0): 0.1, ("risk_stock_high", 0): 0.4})
    found = risk_run(target, cases=20_000, seed=3, correlation=correlation)
    assert found.agrees is True
    assert "stock" in {each.name for each in found.lots[0].influences}
    for lot in found.lots:
        assert lot.exact_mean is not None
        assert lot.mean == pytest.approx(lot.exact_mean, abs=4 * lot.mean_error)


def test_stored_results_play_no_part(uncertain_file: Path, tmp_path: Path) -> None:
    dirty = poisoned_copy(uncertain_file, tmp_path / "dirty.xlsx")
    clean, after = risk_run(uncertain_file, cases=500), risk_run(dirty, cases=500)
    assert clean.lots == after.lots


def test_nothing_uncertain_is_said(golden_file: Path) -> None:
    bare = risk_run(with_inputs_removed(golden_file), cases=500)
    assert not bare.lots
    assert bare.notes


def with_inputs_removed(path: Path) -> Path:
    opened = open_workbook(path)
    ends = [("low_cycle_minutes", row) for row in range(4)] + [("high_cycle_minutes", row) for row in range(4)]
    target = path.with_name("certain.xlsx")
    target.unlink(missing_ok=True)
    assert opened.located is not None
    return with_inputs(path, target, dict.fromkeys(ends))


@pytest.mark.parametrize(("more", "said"), [({"cases": 5}, "100 to"), ({"shape": "normal"}, "beta or triangle")])
def test_wrong_use_is_refused(uncertain_file: Path, more: dict[str, int], said: str) -> None:
    with pytest.raises(InputError, match=said):
        risk_run(uncertain_file, **more)  # type: ignore[arg-type]


def test_the_figures_go_into_a_copy_and_nothing_else_changes(
    uncertain_file: Path, run: RiskRun, tmp_path: Path
) -> None:
    target = tmp_path / "with-risk.xlsx"
    save_risk(run, uncertain_file, target)
    before, after = read_snapshot(uncertain_file), read_snapshot(target)
    for old, new in zip(before.sheets, after.sheets, strict=True):
        kept = {place: (cell.value, cell.formula) for place, cell in new.cells.items() if place in old.cells}
        assert kept == {place: (cell.value, cell.formula) for place, cell in old.cells.items()}
        assert old.title == "Risk" or set(new.cells) == set(old.cells)
    sheet = after.sheet("Risk")
    assert sheet is not None
    texts = [cell.value for cell in sheet.cells.values()]
    assert texts.count(HEADING) == 1
    assert round(run.lots[0].cost_at(0.8).cost, 2) in texts
    assert recompute(target).agree == recompute(uncertain_file).agree
    again = tmp_path / "again.xlsx"
    save_risk(run, target, again)
    sheet = read_snapshot(again).sheet("Risk")
    assert sheet is not None
    assert [cell.value for cell in sheet.cells.values()].count(HEADING) == 1
