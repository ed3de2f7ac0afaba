"""The table of how the price must answer to each input, kept as data beside this file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Literal, NamedTuple, cast


class Expected(NamedTuple):
    """How the price of a lot answers: the same in every lot, in proportion to pieces, or only never down.

    ``unless``: fields of the same row that overrule the input.
    """

    per: Literal["lot", "piece", "any"]
    rates: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def expected_responses() -> Mapping[str, Expected]:
    """Return the expectation for each field that has one."""
    path = Path(__file__).with_name("expected_responses.toml")
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return {
        name: Expected(
            cast(Literal["lot", "piece", "any"], row["per"]), tuple(row.get("rates", ())), tuple(row.get("unless", ()))
        )
        for name, row in data.items()
    }
