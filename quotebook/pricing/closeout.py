"""After the job: did it make money, and the bridge from the quoted margin to the actual one.

The bridge goes through in a fixed order: quantity, price, scrap, time, rate, purchase. Its steps are amounts of profit
(below 0: it cost us) and sum exactly to the whole difference. Standards are those of the reference pricing for the good
pieces really made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from quotebook.model import Job, Shop
from quotebook.pricing.actuals import ActualOperation, Figures, figures_of

Kind = Literal["quantity", "price", "scrap", "time", "rate", "purchase"]
KINDS: tuple[Kind, ...] = ("quantity", "price", "scrap", "time", "rate", "purchase")


@dataclass(frozen=True)
class Step:
    """One step of the bridge: ``amount`` of profit gained (above 0) or lost at ``where``."""

    kind: Kind
    where: str
    amount: float


@dataclass(frozen=True)
class KindStep:
    """All steps of one kind together; ``points`` is what they did to the margin, in shares of 1."""

    kind: Kind
    amount: float
    points: float | None


@dataclass(frozen=True)
class Closeout:
    """A job as done. While ``missing`` is not empty only what was quoted is known and the rest is None.

    Costs are at burdened rates. ``sell_value``: what hours and purchases come to at sell rates with markups.
    """

    quoted_quantity: int
    good_pieces: int | None
    repeat_order: bool
    quoted_revenue: float | None
    quoted_cost: float | None
    revenue: float | None
    cost: float | None
    sell_value: float | None
    steps: tuple[Step, ...]
    kinds: tuple[KindStep, ...]
    operations: tuple[ActualOperation, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def quoted_profit(self) -> float | None:
        """What the quoted lot should have left over."""
        return _less(self.quoted_revenue, self.quoted_cost)

    @property
    def profit(self) -> float | None:
        """What the job left over at burdened cost."""
        return _less(self.revenue, self.cost)

    @property
    def quoted_margin(self) -> float | None:
        """Margin of the quoted lot, nonrecurring included."""
        return _share(self.quoted_profit, self.quoted_revenue)

    @property
    def margin(self) -> float | None:
        """Margin of the job as done."""
        return _share(self.profit, self.revenue)

    @property
    def over_sell_rates(self) -> float | None:
        """What was invoiced beyond the job's hours and purchases at sell rates; below 0: they were not earned."""
        return _less(self.revenue, self.sell_value)

    @property
    def verdict(self) -> str:
        """The answer in words."""
        if self.profit is None or self.over_sell_rates is None:
            return "unknown: figures are missing"
        if round(self.profit, 6) < 0:
            return "it lost money"
        if round(self.profit, 6) == 0:
            return "it broke even"
        if round(self.over_sell_rates, 6) < 0:
            return "it made money, but its hours did not earn their sell rates"
        return "it made money, and its hours earned their sell rates"


def close_out(job: Job, shop: Shop, actual_rates: Shop | None = None) -> Closeout:
    """Return the close-out of a job from its actual figures.

    ``actual_rates``: a profile with the burdened rates as they turned out, for the rate variance; None: the rates of
    the estimate, and there is then no rate variance to see.
    """
    figures = figures_of(job, shop, actual_rates)
    if figures.missing or figures.actual is None or figures.standard is None:
        return _unknown(figures)
    steps = tuple(Step(kind, where, amount) for kind, where, amount in figures.steps)  # type: ignore[arg-type]
    return Closeout(
        quoted_quantity=figures.quoted.quantity,
        good_pieces=figures.good_pieces,
        repeat_order=figures.repeat_order,
        quoted_revenue=figures.quoted.revenue,
        quoted_cost=figures.quoted.cost,
        revenue=figures.actual.revenue,
        cost=figures.actual.cost,
        sell_value=figures.actual.sell_value,
        steps=steps,
        kinds=_by_kind(figures, steps),
        operations=figures.operations,
        missing=(),
        notes=figures.notes,
    )


def _unknown(figures: Figures) -> Closeout:
    quoted = figures.quoted
    return Closeout(
        quoted.quantity, figures.good_pieces, figures.repeat_order, quoted.revenue, quoted.cost, None, None, None,
        (), (), figures.operations, figures.missing, figures.notes,
    )  # fmt: skip


def _by_kind(figures: Figures, steps: Sequence[Step]) -> tuple[KindStep, ...]:
    """Sum the steps by kind and follow the margin from kind to kind; the points sum to the whole difference."""
    assert figures.actual is not None
    assert figures.standard is not None
    revenue, profit = figures.quoted.revenue, (figures.quoted.revenue or 0.0) - (figures.quoted.cost or 0.0)
    margin = _share(profit, revenue)
    out = []
    for kind in KINDS:
        amount = math.fsum(step.amount for step in steps if step.kind == kind)
        profit += amount
        if kind == "quantity":
            revenue = figures.standard.revenue
        elif kind == "price":
            revenue = figures.actual.revenue
        after = _share(profit, revenue)
        out.append(KindStep(kind, amount, None if after is None or margin is None else after - margin))
        margin = after
    return tuple(out)


def _less(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other


def _share(part: float | None, whole: float | None) -> float | None:
    return None if part is None or not whole else part / whole
