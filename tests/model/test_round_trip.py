"""Writing and reading again gives the same. Source: what a round trip means."""

from __future__ import annotations

import json
import tomllib

from hypothesis import HealthCheck, Phase, given, settings

from quotebook.model import (
    Job,
    Shop,
    job_from_data,
    job_to_toml,
    problems_against,
    shop_from_data,
    shop_to_toml,
    to_data,
)
from tests.samples import golden_job
from tests.strategies import jobs, shops_with

#: A whole random shop is large: making it smaller after a failure takes minutes and seldom tells more.
few = settings(
    max_examples=40,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@few
@given(shops_with(jobs))
def test_any_shop_and_any_job_come_back_from_toml_and_from_json_exactly(both: tuple[Shop, Job]) -> None:
    shop, job = both
    assert job_from_data(tomllib.loads(job_to_toml(job)), "again") == job
    assert shop_from_data(tomllib.loads(shop_to_toml(shop)), "again") == shop
    assert job_from_data(json.loads(json.dumps(to_data(job), default=str)), "again") == job
    assert shop_from_data(json.loads(json.dumps(to_data(shop), default=str)), "again") == shop
    assert problems_against(job, shop) == ()


def test_the_file_has_singular_words_and_leaves_out_what_is_not_set() -> None:
    data = to_data(golden_job())
    assert list(data) == [
        *("job", "fit", "stock", "operation", "buyout", "inspection", "nonrecurring"),
        *(
            "learning",
            "lead",
            "risk",
            "actuals",
        ),
    ]
    assert data["actuals"] == {}
    assert "wall" not in data["stock"]
    assert data["job"]["quantities"] == [5, 25, 100]
    assert data["operation"][0]["scrap_share"] == 0.02
