"""What the fields of one shop profile, or of one job, must be together: rows that agree with each other.

Every check returns problems and raises nothing. Whether a job agrees with a shop is in ``checks``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from quotebook.model.names import name_key, suggestion
from quotebook.model.problems import Problem

if TYPE_CHECKING:
    from quotebook.model.job import Job
    from quotebook.model.shop import Shop

#: The line of a supplier price that means the stock; no buyout may have this name.
STOCK_LINE = "Stock"

INCH_BASES = ("per lb", "per ft")
METRIC_BASES = ("per kg", "per m")


def shop_problems(shop: Shop) -> Iterator[Problem]:
    """Yield what contradicts itself within a shop profile."""
    policy = shop.policy
    if policy.profit_rule == "margin" and policy.profit_share >= 1:
        yield Problem(
            ("policy", "profit_share"),
            policy.profit_share,
            'a share below 1 when profit_rule is "margin"',
            'A margin of 100 % has no price; lower it, or set profit_rule to "markup".',
        )
    if policy.largest_lot < policy.smallest_lot:
        yield Problem(
            ("policy", "largest_lot"), policy.largest_lot, f"pieces, at least smallest_lot ({policy.smallest_lot})"
        )
    yield from _unique_names("hand_rate", [row.name for row in shop.hand_rates])
    yield from _unique_names("work_center", [row.name for row in shop.work_centers])
    yield from _unique_names("material", [row.name for row in shop.materials])
    yield from _tooling_problems(shop)
    yield from _built_up_problems(shop)
    yield from _increasing(("sampling",), [row.lot_from for row in shop.sampling], "lot_from")
    hands = {name_key(row.name) for row in shop.hand_rates}
    for index, center in enumerate(shop.work_centers):
        if center.operator is not None and name_key(center.operator) not in hands:
            yield Problem(
                ("work_center", index, "operator"),
                center.operator,
                "the name of a hand_rate",
                suggestion(center.operator, [row.name for row in shop.hand_rates]),
            )
        holdings = [row.name for row in shop.work_holdings]
        if center.usual_holding is not None and name_key(center.usual_holding) not in map(name_key, holdings):
            yield Problem(
                ("work_center", index, "usual_holding"), center.usual_holding, "the name of a work_holding",
                suggestion(center.usual_holding, holdings),
            )  # fmt: skip


def _built_up_problems(shop: Shop) -> Iterator[Problem]:
    for index, hand in enumerate(shop.hand_rates):
        if hand.built_up and hand.wage is None:
            yield Problem(("hand_rate", index, "built_up"), True, "a wage to build the rate up from", "Give the wage.")
    for index, center in enumerate(shop.work_centers):
        lacks = [name for name in ("purchase_price", "life_years", "hours_per_year") if getattr(center, name) is None]
        if center.built_up and lacks:
            yield Problem(("work_center", index, "built_up"), True, f"also {', '.join(lacks)}", "Give them.")


def _tooling_problems(shop: Shop) -> Iterator[Problem]:
    groups = [row.name for row in shop.material_groups]
    yield from _unique_names("material_group", groups)
    yield from _unique_names("work_holding", [row.name for row in shop.work_holdings])
    yield from _unique_names("special_process", [row.name for row in shop.special_processes])
    known = {name_key(name) for name in groups}
    for index, material in enumerate(shop.materials):
        if (material.usual_price is None) != (material.usual_price_basis is None):
            lacks = "usual_price" if material.usual_price is None else "usual_price_basis"
            yield Problem(
                ("material", index, lacks), None, "usual_price and usual_price_basis together",
                "Give the price and say whether it is per lb or per kg, or leave out both.",
            )  # fmt: skip
    rows = [("material", index, row.group) for index, row in enumerate(shop.materials)]
    rows += [("speed", index, row.group) for index, row in enumerate(shop.speeds)]
    for table, index, group in rows:
        if group is not None and name_key(group) not in known:
            yield Problem((table, index, "group"), group, "the name of a material_group", suggestion(group, groups))
    first: dict[tuple[str, str, str], int] = {}
    for index, speed in enumerate(shop.speeds):
        row = first.setdefault((name_key(speed.group), name_key(speed.tool), speed.cut), index)
        if row != index:
            yield Problem(
                ("speed", index, "cut"), speed.cut,
                f"one row for each group, tool and cut; row {row + 1} has these already", "Keep one of the two.",
            )  # fmt: skip


def job_problems(job: Job) -> Iterator[Problem]:
    """Yield what contradicts itself within a job."""
    yield from _header_problems(job)
    yield from _stock_problems(job)
    yield from _operation_problems(job)
    yield from _buyout_problems(job)
    yield from _supplier_problems(job)
    yield from _unique_names("extra", [row.item for row in job.extras], "item")


def _header_problems(job: Job) -> Iterator[Problem]:
    head = job.job
    yield from _increasing(("job", "quantities"), head.quantities, None)
    if head.profit_rule == "margin" and head.profit_share is not None and head.profit_share >= 1:
        yield Problem(
            ("job", "profit_share"),
            head.profit_share,
            'a share below 1 when profit_rule is "margin"',
            'A margin of 100 % has no price; lower it, or set profit_rule to "markup".',
        )


def _stock_problems(job: Job) -> Iterator[Problem]:
    stock = job.stock
    units = stock.units or job.job.units
    mixed = METRIC_BASES if units == "in" else INCH_BASES
    if stock.price_basis in mixed:
        allowed = INCH_BASES if units == "in" else METRIC_BASES
        choices = " or ".join(f'"{choice}"' for choice in ("each", *allowed))
        yield Problem(
            ("stock", "price_basis"),
            stock.price_basis,
            f'{choices} for stock measured in "{units}"',
            "Units must not be mixed: convert the price, or set the stock's units.",
        )
    if stock.form == "tube" and stock.wall is not None and stock.size_a is not None and 2 * stock.wall >= stock.size_a:
        yield Problem(
            ("stock", "wall"), stock.wall, f"a wall below half the outside diameter (size_a, {stock.size_a:g})"
        )


def _operation_problems(job: Job) -> Iterator[Problem]:
    numbers = [row.number for row in job.operations]
    yield from _increasing(("operation",), numbers, "number")
    for index, row in enumerate(job.operations):
        low, likely, high = row.low_cycle_minutes, row.cycle_minutes, row.high_cycle_minutes
        if low is not None and likely is not None and low > likely:
            yield Problem(
                ("operation", index, "low_cycle_minutes"), low, f"minutes, at most cycle_minutes ({likely:g})"
            )
        if high is not None and likely is not None and high < likely:
            yield Problem(
                ("operation", index, "high_cycle_minutes"), high, f"minutes, at least cycle_minutes ({likely:g})"
            )
        if low is not None and high is not None and likely is None and low > high:
            yield Problem(
                ("operation", index, "low_cycle_minutes"), low, f"minutes, at most high_cycle_minutes ({high:g})"
            )
    for index, line in enumerate(job.cutting):
        yield from _known_operation(("cutting", index, "operation"), line.operation, numbers)


def _buyout_problems(job: Job) -> Iterator[Problem]:
    numbers = [row.number for row in job.operations]
    yield from _unique_names("buyout", [row.name for row in job.buyouts])
    for index, row in enumerate(job.buyouts):
        if name_key(row.name) == name_key(STOCK_LINE):
            yield Problem(
                ("buyout", index, "name"),
                row.name,
                f'any other name than "{STOCK_LINE}"',
                "That word means the stock itself among the supplier prices; choose another.",
            )
        if row.operation is not None:
            yield from _known_operation(("buyout", index, "operation"), row.operation, numbers)


def _supplier_problems(job: Job) -> Iterator[Problem]:
    lines = [STOCK_LINE, *(row.name for row in job.buyouts)]
    known = {name_key(line) for line in lines}
    chosen: dict[tuple[str, int], int] = {}
    for index, row in enumerate(job.supplier_prices):
        if name_key(row.line) not in known:
            yield Problem(
                ("supplier_price", index, "line"),
                row.line,
                f'"{STOCK_LINE}" or the name of a buyout',
                suggestion(row.line, lines),
            )
        if not row.chosen:
            continue
        if row.price is None:
            place = ("supplier_price", index, "price")
            yield Problem(place, None, "a price, because the row is chosen", "Fill it in, or choose another row.")
        first = chosen.setdefault((name_key(row.line), row.from_quantity), index)
        if first != index:
            yield Problem(
                ("supplier_price", index, "chosen"),
                True,
                f"one chosen price for each line and from_quantity; row {first + 1} is chosen already "
                f"for this line from {row.from_quantity} on",
                "Choose one of the two, or change from_quantity.",
            )


def _known_operation(place: tuple[str | int, ...], number: int, numbers: Sequence[int]) -> Iterator[Problem]:
    if number not in numbers:
        listed = ", ".join(map(str, numbers)) or "none yet"
        yield Problem(place, number, f"the number of an operation of this job ({listed})", "Correct one of the two.")


def _unique_names(table: str, names: Sequence[str], field: str = "name") -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, name in enumerate(names):
        row = first.setdefault(name_key(name), index)
        if row != index:
            yield Problem(
                (table, index, field),
                name,
                f"a name that no other {table} has; row {row + 1} has it already",
                "Upper and lower case count as the same; rename one.",
            )


def _increasing(place: tuple[str | int, ...], values: Sequence[int], field: str | None) -> Iterator[Problem]:
    for index in range(1, len(values)):
        if values[index] <= values[index - 1]:
            where = (*place, index) if field is None else (*place, index, field)
            yield Problem(
                where, values[index], f"more than the one before it ({values[index - 1]})", "Sort them, each once."
            )
