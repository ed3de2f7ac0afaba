"""Whether a job agrees with a shop: rates, work centers and currencies that both must know."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quotebook.errors import InputError
from quotebook.model.job import Job
from quotebook.model.names import name_key, suggestion
from quotebook.model.problems import Place, Problem, sentence
from quotebook.model.shop import Shop
from quotebook.model.writing import to_data


def problems_against(job: Job, shop: Shop, source: str = "the job") -> tuple[str, ...]:
    """Return one sentence for each disagreement between a job and a shop; empty when they agree."""
    data = to_data(job)
    return tuple(sentence(problem, data, source) for problem in _disagreements(job, shop))


def check_against(job: Job, shop: Shop, source: str = "the job") -> None:
    """Refuse a job that names rates, work centers or currencies which the shop does not have.

    Errors: InputError with every disagreement.
    """
    problems = problems_against(job, shop, source)
    if problems:
        raise InputError(source, problems)


def is_shops_currency(currency: str, shop: Shop) -> bool:
    """Tell whether a supplier's price is in the shop's own money; a blank means that it is."""
    return currency.strip().upper() in ("", shop.money.currency_code)


def _disagreements(job: Job, shop: Shop) -> Iterator[Problem]:
    hands = [row.name for row in shop.hand_rates]
    centers = [row.name for row in shop.work_centers]
    holdings = [row.name for row in shop.work_holdings]
    for index, row in enumerate(job.operations):
        yield from _known(("operation", index, "work_center"), row.work_center, centers, "a work_center")
        yield from _known(("operation", index, "hand_rate"), row.hand_rate, hands, "a hand_rate")
        yield from _known(("operation", index, "work_holding"), row.work_holding, holdings, "a work_holding")
    groups = [row.name for row in shop.material_groups]
    yield from _known(("stock", "material_group"), job.stock.material_group, groups, "a material_group")
    yield from _known(("inspection", "rate"), job.inspection.rate, hands, "a hand_rate")
    for index, line in enumerate(job.nonrecurring):
        yield from _known(("nonrecurring", index, "rate"), line.rate, hands, "a hand_rate")
    code = shop.money.currency_code
    for index, price in enumerate(job.supplier_prices):
        if price.chosen and not is_shops_currency(price.currency, shop):
            yield Problem(
                ("supplier_price", index, "currency"),
                price.currency,
                f'the shop\'s currency "{code}" (or blank) for a chosen price',
                "Convert the price, or choose another.",
            )
    yield from _profit(job, shop)


def _known(place: Place, name: str | None, names: Sequence[str], what: str) -> Iterator[Problem]:
    if name is not None and name_key(name) not in {name_key(known) for known in names}:
        yield Problem(place, name, f"the name of {what} of the shop", suggestion(name, names))


def _profit(job: Job, shop: Shop) -> Iterator[Problem]:
    rule = job.job.profit_rule or shop.policy.profit_rule
    share = shop.policy.profit_share if job.job.profit_share is None else job.job.profit_share
    own_contradiction = job.job.profit_rule is not None and job.job.profit_share is not None
    if rule == "margin" and share >= 1 and not own_contradiction:
        yield Problem(
            ("job", "profit_share"),
            share,
            'a share below 1, because the profit_rule in force is "margin"',
            "Job and shop together make a margin of 100 % or more; give both fields in the job.",
        )
