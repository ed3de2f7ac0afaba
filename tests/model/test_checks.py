"""Whether a job agrees with a shop. Source of all expectations: the specification."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.errors import InputError
from quotebook.model import (
    Inspection,
    Job,
    JobHeader,
    Nonrecurring,
    Operation,
    SupplierPrice,
    check_against,
    problems_against,
)
from tests.samples import (
    cost_plus_job,
    cost_plus_shop,
    golden_job,
    golden_shop,
    metric_job,
    metric_shop,
    policy,
    whole_step_job,
    whole_step_shop,
)

HEAD = JobHeader(units="in")


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        (
            {"operations": (Operation(number=10, work_center="Lath"),)},
            'the job, operation 1 (number 10), work_center: found "Lath" (text), expected the name of a work_center '
            'of the shop. Did you mean "Lathe"?',
        ),
        (
            {"operations": (Operation(number=10, hand_rate="Welding"),)},
            'the job, operation 1 (number 10), hand_rate: found "Welding" (text), expected the name of a hand_rate of '
            'the shop. There are: "Deburr", "Inspector", "Programmer", "First article".',
        ),
        (
            {"inspection": Inspection(rate="Inspecter")},
            'the job, inspection, rate: found "Inspecter" (text), expected the name of a hand_rate of the shop. '
            'Did you mean "Inspector"?',
        ),
        (
            {"nonrecurring": (Nonrecurring(description="Program", rate="Programer"),)},
            'the job, nonrecurring 1 (description Program), rate: found "Programer" (text), expected the name of a '
            'hand_rate of the shop. Did you mean "Programmer"?',
        ),
        (
            {"supplier_prices": (SupplierPrice(line="Stock", price=5.0, currency="EUR", chosen=True),)},
            'the job, supplier_price 1 (line Stock), currency: found "EUR" (text), expected the shop\'s currency "USD"',
        ),
    ],
)
def test_what_the_shop_does_not_have_is_refused(parts: dict[str, Any], told: str) -> None:
    job = Job(job=HEAD, **parts)
    problems = problems_against(job, golden_shop())
    assert len(problems) == 1
    assert problems[0].startswith(told)
    with pytest.raises(InputError, match="1 problem"):
        check_against(job, golden_shop())


def test_a_foreign_price_that_is_not_chosen_and_names_in_other_case_are_no_problem() -> None:
    prices = (
        SupplierPrice(line="stock", price=5.0, currency="EUR"),
        SupplierPrice(line="Stock", price=5.0, currency="usd"),
    )
    job = Job(job=HEAD, supplier_prices=prices, operations=(Operation(number=1, work_center="LATHE"),))
    assert problems_against(job, golden_shop()) == ()


def test_rule_and_share_of_profit_must_fit_each_other_across_job_and_shop() -> None:
    shop = golden_shop().model_copy(update={"policy": policy(profit_rule="markup", profit_share=2.0)})
    assert problems_against(Job(job=HEAD), shop) == ()
    margin = Job(job=JobHeader(units="in", profit_rule="margin"))
    assert 'profit_share: found "2.0"' in problems_against(margin, shop)[0]


def test_the_samples_agree_with_their_shops() -> None:
    pairs = [
        (golden_job(), golden_shop()),
        (whole_step_job(), whole_step_shop()),
        (metric_job(), metric_shop()),
        (cost_plus_job(), cost_plus_shop()),
    ]
    for job, shop in pairs:
        check_against(job, shop)
