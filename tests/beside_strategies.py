"""Random parts of a job beside making and buying: fit, extras, learning, actual figures."""

from __future__ import annotations

from hypothesis import strategies as st

from quotebook.model import Actuals, Extra, Fit, Learning, Shop
from tests.kinds import Draw, money, numbers, optional, texts, usually


@st.composite
def extra(draw: Draw, name: str) -> Extra:
    """A line that is easily forgotten, on, off or not decided."""
    return Extra(
        item=name,
        wanted=draw(st.sampled_from([True, True, False, None])),
        per_lot=draw(usually(0.0, money)),
        per_piece=draw(usually(0.0, numbers(0, 9))),
        counts=draw(st.sampled_from(["good pieces", "pieces started"])),
        once=draw(usually(0.0, money)),
        share=draw(usually(0.0, numbers(0, 0.5))),
        share_of=draw(st.sampled_from(["purchases", "lot cost"])),
        remark=draw(texts),
    )


learnings = st.builds(
    Learning, form=st.sampled_from(["off", "off", "unit", "cumulative average"]), rate=numbers(0.55, 1)
)


def fits(scale: float, shop: Shop) -> st.SearchStrategy[Fit]:
    size = optional(numbers(0.1, 60).map(lambda x: x * scale))
    return st.builds(
        Fit,
        length=size,
        width=size,
        height=size,
        tightest_tolerance=optional(numbers(0.0001, 0.02, 4).map(lambda x: x * scale)),
        tolerance_by=st.sampled_from(["the machine", "the machine", "a sized tool"]),
        interest=optional(st.integers(0, 3)),
        load_weight=optional(numbers(1, 900)),
        special_processes=st.lists(
            st.sampled_from([*(row.name for row in shop.special_processes), "No such process"]), max_size=2
        ).map(tuple),
        overrule_reason=texts,
    )


actuals = st.builds(
    Actuals,
    pieces_started=optional(st.integers(0, 3000)),
    good_pieces=optional(st.integers(0, 3000)),
    invoiced=optional(money),
    nonrecurring_invoiced=optional(money),
    inspection_hours=optional(numbers(0, 40)),
    packing_freight=optional(money),
    extras_paid=optional(money),
)
