"""What a lot may cost: many cases drawn from the low, likely and high cycle of each operation.

Every case goes through the workbook's own formulas. The price stays as it is quoted: only the cost is uncertain. An
operation's cycle is drawn either from the beta distribution that has the Risk sheet's own mean (low + 4 x likely +
high) / 6 and spread (high - low) / 6, so that the sheet's figures are the exact ones that the run must come near; or
from the triangle over the three values. Estimates err together as far as the Risk sheet says, or as is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from quotebook.engine.compile import compile_book
from quotebook.engine.many.run import Numbers, run_cases
from quotebook.flows.field_words import refuse
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.whatif import currency_of, lots_in_use
from quotebook.machining.uncertainty import spread_at
from quotebook.values import Address, Value

#: 2: ``correlation`` in place of ``together``.
SCHEMA = 2
MOST_CASES = 1_000_000
SHAPES = ("beta", "triangle")
SHARES = (0.05, 0.1, 0.25, 0.5, 0.8, 0.9, 0.95)
BINS = 40
#: A run is off when a figure is further from the exact one than so many standard errors.
MOST_ERRORS = 4.0


@dataclass(frozen=True, slots=True)
class Uncertain:
    """An operation whose cycle is uncertain, in minutes per piece; ``cell`` is the likely cycle's."""

    row: int
    name: str
    cell: Address
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Purchase:
    """A purchase that may come out below or above: shares of it; ``amounts``: what it costs as paid, by lot."""

    name: str
    low: float
    high: float
    amounts: dict[int, float]
    likely: float = 0.0


@dataclass(frozen=True, slots=True)
class Percentile:
    """The cost that is not passed in a share of the cases, with the standard error of that figure."""

    share: float
    cost: float
    error: float


@dataclass(frozen=True, slots=True)
class Influence:
    """How much an operation matters: its part of the cost's variance, and the cost at its low and at its high."""

    name: str
    part: float
    at_low: float
    at_high: float


@dataclass(slots=True)
class LotRisk:
    """One lot. ``exact_*`` are the Risk sheet's closed forms, None where the sheet has none for this run.

    ``drawn_correlation``: the mean over all pairs, each counted by what it adds to the spread of this lot's cost.
    """

    lot: int
    quantity: float
    price: float | None
    likely_cost: float
    mean: float
    mean_error: float
    spread: float
    percentiles: list[Percentile]
    loss_chance: float | None
    loss_error: float | None
    histogram: list[int]
    edges: list[float]
    influences: list[Influence]
    exact_mean: float | None
    exact_spread: float | None
    agrees: bool | None = None
    drawn_correlation: float = 0.0

    def cost_at(self, share: float) -> Percentile:
        """Return the cost not passed in a share of the cases, one of ``SHARES``."""
        return next(each for each in self.percentiles if each.share == share)


@dataclass(slots=True)
class RiskRun:
    """A whole run: the draw is told by shape, correlation, seed and number of cases, and can be repeated."""

    file: str
    cases: int
    seed: int
    shape: str
    correlation: float
    uncertain: list[Uncertain]
    lots: list[LotRisk]
    currency: str = ""
    notes: list[str] = field(default_factory=list)
    purchases: list[Purchase] = field(default_factory=list)

    @property
    def agrees(self) -> bool | None:
        """Tell whether all lots agree with the closed form; None where there was nothing to compare with."""
        judged = [lot.agrees for lot in self.lots if lot.agrees is not None]
        return all(judged) if judged else None


def risk_run(
    path: Path, *, cases: int = 10_000, seed: int = 1, shape: str = "beta", correlation: float | None = None
) -> RiskRun:
    """Return the spread of the cost of every lot in use.

    ``correlation`` of every pair of operations and purchases, 0 to 1; None takes the Risk sheet's (0 without one).
    Errors: InputError where the workbook has no such columns or holds no job that can be costed; BookError for an
    unreadable file.
    """
    opened = open_workbook(path)
    if opened.located is None or not {"low_cycle_minutes", "high_cycle_minutes", "lot_cost"} <= set(
        opened.located.fields
    ):
        refuse(
            opened,
            "Routing",
            "no low and high cycle columns",
            "a workbook made by quotebook",
            "make it by: quotebook new",
        )
    if not 100 <= cases <= MOST_CASES:
        refuse(opened, "--cases", str(cases), f"100 to {MOST_CASES}", "choose another number")
    if shape not in SHAPES:
        refuse(opened, "--shape", repr(shape), " or ".join(SHAPES), "choose one of them")
    if correlation is not None and not 0 <= correlation <= 1:
        refuse(opened, "--correlation", f"{correlation:g}", "0 (each by itself) to 1 (all together)", "choose another")
    program = compile_book(opened.book)
    base = {cell: result.value for cell, result in program.run(opened.book.inputs).results.items() if not result.reason}
    uncertain = _uncertain(opened, base)
    lots = lots_in_use(opened)
    if correlation is None:
        typed = base.get(_cell(opened, "risk_correlation_used")) if _has(opened, "risk_correlation_used") else None
        correlation = min(max(typed, 0.0), 1.0) if isinstance(typed, float) else 0.0
    run = RiskRun(str(path), cases, seed, shape, correlation, uncertain, [], currency_of(opened))
    run.purchases = _purchases(opened, base, lots)
    if not uncertain and not run.purchases:
        run.notes.append(
            "no operation has a low or a high cycle, so nothing is uncertain; type them on the Routing sheet"
        )
        return run
    draws = drawn([*uncertain, *run.purchases], cases, seed, shape, correlation)
    wanted = [_cell(opened, "lot_cost", lot) for lot in lots]
    varied = {each.cell: draws[:, n] for n, each in enumerate(uncertain)}
    if not uncertain:  # purchases alone vary: every case begins with the likely cost
        for lot, cell in zip(lots, wanted, strict=True):
            likely = base.get(cell)
            if isinstance(likely, float):
                none: Numbers = np.empty(0)
                costs, extremes = _with_purchases(run, lot, likely, np.full(cases, likely), draws, none)
                run.lots.append(_lot(opened, base, lot, costs, draws, extremes, run))
        return run
    found = run_cases(program, opened.book.inputs, varied, wanted).answers
    ends = run_cases(program, opened.book.inputs, _ends(uncertain), wanted).answers
    for lot, cell in zip(lots, wanted, strict=True):
        answers = found[cell]
        if not answers.complete or not isinstance(base.get(cell), float):
            reasons = sorted({*answers.unknown.values(), *(str(value) for value in answers.others.values())})
            run.notes.append(f"lot {lot}: the cost is not a number in every case ({', '.join(reasons[:3]) or 'blank'})")
            continue
        costs, extremes = _with_purchases(run, lot, base[cell], answers.numbers, draws, ends[cell].numbers)
        run.lots.append(_lot(opened, base, lot, costs, draws, extremes, run))
    return run


def _cell(opened: Opened, name: str, lot: int = 0, row: int = 0) -> Address:
    assert opened.located is not None
    placed = opened.located.fields[name]
    return Address(placed.sheet, placed.row + row, placed.column + lot)


def _uncertain(opened: Opened, base: dict[Address, Value]) -> list[Uncertain]:
    """Return the operations that have a low or a high cycle other than the likely one."""
    assert opened.located is not None
    found = []
    inputs = opened.book.inputs
    for row in range(opened.located.fields["low_cycle_minutes"].rows):
        number = inputs.get(_cell(opened, "operation_number", row=row))
        likely = base.get(_cell(opened, "cycle_used", row=row))
        ends = [inputs.get(_cell(opened, name, row=row)) for name in ("low_cycle_minutes", "high_cycle_minutes")]
        if not isinstance(number, float) or not isinstance(likely, float):
            continue
        low, high = (each if isinstance(each, float) else likely for each in ends)
        if not low <= likely <= high:
            name = f"Routing, operation {number:g}"
            refuse(
                opened, name, f"low {low:g}, likely {likely:g}, high {high:g}", "them in rising order", "correct them"
            )
        if low < high:
            words = inputs.get(_cell(opened, "operation_description", row=row))
            title = f"{number:g} {words}" if isinstance(words, str) else f"{number:g}"
            found.append(Uncertain(row, title, _cell(opened, "cycle_minutes", row=row), low, likely, high))
    return found


def _purchases(opened: Opened, base: dict[Address, Value], lots: list[int]) -> list[Purchase]:
    """Return the stock and the buyouts for which the Risk sheet holds a range; older templates have none."""
    assert opened.located is not None
    fields, inputs = opened.located.fields, opened.book.inputs

    def share(name: str, row: int = 0) -> float:
        value = inputs.get(_cell(opened, name, row=row)) if name in fields else None
        return value if isinstance(value, float) else 0.0

    def amounts(name: str, row: int = 0) -> dict[int, float]:
        found = {lot: base.get(_cell(opened, name, lot, row)) for lot in lots}
        return {lot: value for lot, value in found.items() if isinstance(value, float)}

    found = []
    if {"risk_stock_low", "stock_purchase"} <= set(fields):
        found.append(
            Purchase("stock", -share("risk_stock_low"), share("risk_stock_high"), amounts("stock_purchase"))
        )  # fmt: skip
    if {"risk_purchase_low", "buyout_purchase"} <= set(fields):
        for row in range(fields["risk_purchase_low"].rows):
            name = inputs.get(_cell(opened, "buyout_name", row=row))
            low, high = share("risk_purchase_low", row), share("risk_purchase_high", row)
            if isinstance(name, str):
                found.append(Purchase(name, -low, high, amounts("buyout_purchase", row)))
    return [each for each in found if each.low < each.high]


def _with_purchases(
    run: RiskRun, lot: int, likely: Value, costs: Numbers, draws: Numbers, ends: Numbers
) -> tuple[Numbers, Numbers]:
    """Return costs with the drawn purchases added, and the ends of all bars: a purchase adds its share of itself."""
    assert isinstance(likely, float)
    extremes = [*ends.tolist()]
    for number, each in enumerate(run.purchases, start=len(run.uncertain)):
        amount = each.amounts.get(lot, 0.0)
        costs = costs + amount * draws[:, number]
        extremes += [likely + amount * each.low, likely + amount * each.high]
    return costs, np.array(extremes)


def drawn(uncertain: Sequence[Uncertain | Purchase], cases: int, seed: int, shape: str, correlation: float) -> Numbers:
    """Return drawn cycles and shares. Shape: cases by operations and purchases, minutes per piece or shares of 1.

    One seed, one result. Each column keeps its own distribution; the order of its values is that of normal numbers
    with a common part (Iman and Conover, 1982, from memory), as large as the mean correlation of all pairs asks for.
    """
    draw = np.random.default_rng(seed)
    columns = []
    for each in uncertain:
        width = each.high - each.low
        if shape == "triangle":
            column = draw.triangular(each.low, each.likely, each.high, cases)
        else:
            # The beta distribution whose mean and spread are those of the Risk sheet (method of moments).
            middle = (each.low + 4 * each.likely + each.high) / 6
            place = (middle - each.low) / width
            weight = place * (1 - place) * 36 - 1
            column = each.low + width * draw.beta(place * weight, (1 - place) * weight, cases)
        columns.append(column)
    result = np.clip(np.column_stack(columns), [each.low for each in uncertain], [each.high for each in uncertain])
    if correlation == 0 or len(columns) == 1:
        return result
    ordered, own, common = np.sort(result, axis=0), draw.standard_normal(result.shape), draw.standard_normal((cases, 1))
    share = correlation
    for _ in range(_ROUNDS):
        places = np.argsort(np.argsort(share**0.5 * common + (1 - share) ** 0.5 * own, axis=0), axis=0)
        result = np.take_along_axis(ordered, places, axis=0)
        found = mean_correlation(result)
        if share == 1 or abs(found - correlation) < _NEAR:
            break
        share = min(max(share + correlation - found, 0.0), 1.0)
    return result


#: How near the drawn correlation comes to the one asked for, and steps that this may take.
_NEAR, _ROUNDS = 1e-4, 8


def mean_correlation(draws: Numbers, effects: Numbers | None = None) -> float:
    """Return the mean correlation over all pairs of columns; 0 where there is no pair that counts.

    ``effects``: what one more of each column adds to a sum; a pair then counts as much as it adds to the sum's spread.
    """
    spreads = draws.std(axis=0)
    weights = np.ones(len(spreads)) if effects is None else np.abs(effects) * spreads
    pairs = weights.sum() ** 2 - (weights**2).sum()
    if len(spreads) < 2 or pairs <= 0:
        return 0.0
    together = (draws / spreads) @ weights
    return float((together.var() - (weights**2).sum()) / pairs)


def _ends(uncertain: list[Uncertain]) -> dict[Address, Numbers]:
    """Return cases for the tornado: each operation at its low, then at its high, all others likely."""
    cases = np.tile([each.likely for each in uncertain], (2 * len(uncertain), 1))
    for n, each in enumerate(uncertain):
        cases[2 * n, n], cases[2 * n + 1, n] = each.low, each.high
    return {each.cell: cases[:, n] for n, each in enumerate(uncertain)}


def _lot(
    opened: Opened, base: dict[Address, Value], lot: int, costs: Numbers, draws: Numbers, ends: Numbers,
    run: RiskRun,
) -> LotRisk:  # fmt: skip
    count = len(costs)
    price, quantity = base.get(_cell(opened, "extended_price", lot)), base.get(_cell(opened, "lot_size", lot))
    spread = float(costs.std(ddof=1))
    counts, edges = np.histogram(costs, BINS)
    chance = float((costs > price).mean()) if isinstance(price, float) else None
    likely = base[_cell(opened, "lot_cost", lot)]
    assert isinstance(likely, float)
    ordered = np.sort(costs)
    found = LotRisk(
        lot, quantity if isinstance(quantity, float) else 0.0, price if isinstance(price, float) else None, likely,
        float(costs.mean()), spread / count**0.5, spread, [percentile(ordered, share) for share in SHARES], chance,
        None if chance is None else max((chance * (1 - chance) / count) ** 0.5, 1 / count if chance in (0, 1) else 0.0),
        counts.tolist(), edges.tolist(), _influences(costs, draws, [*run.uncertain, *run.purchases], ends), None, None,
    )  # fmt: skip
    varied: list[Uncertain | Purchase] = [*run.uncertain, *run.purchases]
    widths = np.array([each.high - each.low for each in varied])
    found.drawn_correlation = mean_correlation(draws, (ends[1::2] - ends[::2]) / widths)
    _compare(opened, base, lot, found, run)
    return found


def percentile(ordered: Numbers, share: float) -> Percentile:
    """Return a percentile of sorted costs with its standard error.

    Source: the rank of the percentile is binomial, with a spread of sqrt(n p (1 - p)) ranks; half the distance between
    the costs one such spread above and below is the standard error (distribution-free order statistics).
    """
    count = len(ordered)
    place = share * (count - 1)
    ranks = (count * share * (1 - share)) ** 0.5
    below, above = max(int(place - ranks), 0), min(int(np.ceil(place + ranks)), count - 1)
    return Percentile(share, float(np.quantile(ordered, share)), float(ordered[above] - ordered[below]) / 2)


def _influences(
    costs: Numbers, draws: Numbers, uncertain: Sequence[Uncertain | Purchase], ends: Numbers
) -> list[Influence]:
    """Return operations and purchases by what they matter: squared correlation with the cost, as parts of their sum."""
    if costs.std() == 0:
        parts = np.zeros(len(uncertain))
    else:
        parts = np.array([np.corrcoef(draws[:, n], costs)[0, 1] ** 2 for n in range(len(uncertain))])
        parts = parts / parts.sum()
    found = [
        Influence(each.name, float(part), float(ends[2 * n]), float(ends[2 * n + 1]))
        for n, (each, part) in enumerate(zip(uncertain, parts, strict=True))
    ]
    return sorted(found, key=lambda each: -abs(each.at_high - each.at_low))


def _compare(opened: Opened, base: dict[Address, Value], lot: int, found: LotRisk, run: RiskRun) -> None:
    """Hold mean and spread against the Risk sheet's closed form, where its assumptions are this run's."""
    assert opened.located is not None
    if run.shape != "beta" or not _has(opened, "risk_cost_mean", "risk_spread_independent", "risk_spread_together"):
        return
    mean, alone, together = (
        base.get(_cell(opened, name, lot))
        for name in ("risk_cost_mean", "risk_spread_independent", "risk_spread_together")
    )
    if isinstance(mean, float) and isinstance(alone, float) and isinstance(together, float):
        spread = spread_at(run.correlation, alone, together)
        found.exact_mean, found.exact_spread = mean, spread
        # The standard error of a spread is spread / sqrt(2 n) for a normal distribution; the sum here is flatter.
        spread_error = found.spread / (2 * run.cases) ** 0.5
        # Columns of different skew err together a little more or less than asked for; what was missed counts as error.
        if run.correlation:
            spread_error += abs(spread - spread_at(max(found.drawn_correlation, 0.0), alone, together))
        near = abs(found.mean - mean) <= MOST_ERRORS * found.mean_error + 1e-9 * abs(mean)
        found.agrees = near and abs(found.spread - spread) <= MOST_ERRORS * spread_error + 1e-9 * abs(spread)


def _has(opened: Opened, *names: str) -> bool:
    return opened.located is not None and set(names) <= set(opened.located.fields)
