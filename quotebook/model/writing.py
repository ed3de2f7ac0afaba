"""A shop profile or a job back to plain data and to TOML; reading it again gives the same model."""

from __future__ import annotations

from typing import Any

import tomli_w

from quotebook.model.job import Job
from quotebook.model.shop import Shop


def to_data(model: Shop | Job) -> dict[str, Any]:
    """Return the model in the words of the file: plain tables, lists, numbers, text and dates.

    Shape:  optional fields that are not set and lists of no tables are left out.
    """
    data = model.model_dump(by_alias=True, exclude_none=True)
    plain: dict[str, Any] = {}
    for word, value in data.items():
        if isinstance(value, tuple):
            if value:
                plain[word] = list(value)
        else:
            plain[word] = {k: list(v) if isinstance(v, tuple) else v for k, v in value.items()}
    return plain


def job_to_toml(job: Job) -> str:
    """Return the text of a TOML file that holds the job."""
    return tomli_w.dumps(to_data(job))


def shop_to_toml(shop: Shop) -> str:
    """Return the text of a TOML file that holds the shop profile."""
    return tomli_w.dumps(to_data(shop))
