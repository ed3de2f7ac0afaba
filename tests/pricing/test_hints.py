"""Hints beside the price: costs typed twice, no machining allowance, a tolerance that the tool makes. By hand."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.model import Buyout, Extra, Fit, Inspection, Job, JobHeader, Nonrecurring, Operation, Stock
from quotebook.pricing import fit_check
from quotebook.pricing.doubles import costs_in_two_places
from quotebook.pricing.weights import least_allowance
from tests.samples import golden_job, golden_shop

HEAD = JobHeader(units="in")


def on(item: str, **amount: Any) -> Extra:
    return Extra(item=item, wanted=True, **amount)


CERTIFICATE, GAUGE = on("certificates", per_lot=35), Nonrecurring(description="Thread gauge", purchase=60)

DOUBLES: list[tuple[str, dict[str, Any]]] = [
    ("Certificates", {"extras": (CERTIFICATE,), "inspection": Inspection(certificate_hours=0.5)}),
    ("Certificates", {"extras": (CERTIFICATE,), "nonrecurring": (Nonrecurring(description="A CERTIFICATE", hours=1),)}),
    ("First-article report", {
        "extras": (on("first-article report", once=80),),
        "nonrecurring": (Nonrecurring(description="First-article inspection", hours=2),),
    }),
    ("Gauges", {"inspection": Inspection(gauge_cost=20), "nonrecurring": (GAUGE,)}),
    ("Masking", {
        "extras": (on("masking before finishing", per_piece=1),),
        "operations": (Operation(number=10, description="Mask bores"),),
    }),
    ("Lot minimums", {"extras": (on("lot minimums", per_lot=9),), "stock": Stock(supplier_minimum=50)}),
    ("Sawing", {"extras": (on("sawing", per_lot=9),), "operations": (Operation(number=10, work_center="Saw"),)}),
    ("Packing", {
        "extras": (on("packaging to the drawing", per_piece=1),), "job": JobHeader(units="in", packing_per_lot=9),
    }),
    ("Freight in", {
        "extras": (on("tariffs and freight in", share=0.1),),
        "buyouts": (Buyout(name="Pins", kind="hardware", freight=12),),
    }),
]  # fmt: skip


@pytest.mark.parametrize(("name", "typed"), DOUBLES)
def test_a_cost_typed_in_two_places_is_named(name: str, typed: dict[str, Any]) -> None:
    assert costs_in_two_places(Job(**{"job": HEAD, **typed})) == (name,)
    for place, value in typed.items():
        assert costs_in_two_places(Job(**{"job": HEAD, place: value})) == (), "one place alone is fine"


def test_a_line_that_is_off_or_empty_counts_for_nothing() -> None:
    there = {"job": HEAD, "inspection": Inspection(certificate_hours=0.5)}
    for row in (CERTIFICATE.model_copy(update={"wanted": False}), Extra(item="certificates", wanted=True)):
        assert costs_in_two_places(Job(**there, extras=(row,))) == ()


@pytest.mark.parametrize(
    ("stock", "allowance"),
    [
        (Stock(form="block", size_a=4, size_b=2, piece_length=6), 0.0),
        (Stock(form="block", size_a=4.1, size_b=2.2, piece_length=6.3), 0.1),
        (Stock(form="plate", size_a=4.1, size_b=2, piece_length=6.3), 0.1),
        (Stock(form="block", units="mm", size_a=4.1 * 25.4, size_b=2.2 * 25.4, piece_length=6.3 * 25.4), 0.1),
        (Stock(form="block", size_a=4.1, size_b=1.9, piece_length=6.3), -0.1),
        (Stock(form="round bar", size_a=4, piece_length=6), 0.0),
        (Stock(form="round bar", size_a=4, piece_length=6, facing=0.06), 0.06),
        (Stock(form="block", size_a=4, piece_length=6), None),
        (Stock(form="casting"), None),
    ],
)
def test_the_least_allowance_where_the_stock_is_cut_off(stock: Stock, allowance: float | None) -> None:
    """A part of 6 x 4 x 2 in."""
    job = Job(job=HEAD, fit=Fit(length=2, width=6, height=4), stock=stock)
    found = least_allowance(job)
    assert found == (None if allowance is None else pytest.approx(allowance, abs=1e-9))


def test_a_size_that_its_tool_makes_is_not_asked_of_the_machine() -> None:
    """This shop holds plus or minus 0.0005 in; 0.0003 is asked."""
    tight = golden_job().fit.model_copy(update={"tightest_tolerance": 0.0003})
    reamed = tight.model_copy(update={"tolerance_by": "a sized tool"})
    judged = [
        next(row for row in fit_check(golden_job().model_copy(update={"fit": fit}), golden_shop()).criteria
             if row.name == "tolerance")
        for fit in (tight, reamed)
    ]  # fmt: skip
    assert [row.state for row in judged] == ["does not fit", "not compared"]
    assert "0.0003 in is asked" in judged[0].sentence
    assert "no better than plus or minus 0.0005 in on" in judged[0].sentence
