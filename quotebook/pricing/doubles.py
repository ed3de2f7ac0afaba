"""Costs that can be typed in more than one place, and stand in two: each is then in the price twice."""

from __future__ import annotations

from quotebook.model import Job


def costs_in_two_places(job: Job) -> tuple[str, ...]:
    """Return what carries an amount in two places or more, by the names of the Extras sheet; the price is left alone.

    A hint, found by words in descriptions: two amounts can be right, when each is a part of the cost.
    """
    places = {
        "Certificates": (
            job.inspection.certificate_hours > 0, _extra(job, "certificates"), _once(job, "certificate"),
        ),
        "First-article report": (
            _extra(job, "first-article report"), _once(job, "first article") or _once(job, "first-article"),
        ),
        "Gauges": (
            job.inspection.gauge_cost > 0, _extra(job, "gauges for threads and bores"), _once(job, "gauge"),
        ),
        "Masking": (
            _step(job, "mask"), any("mask" in row.name.lower() for row in job.buyouts),
            _extra(job, "masking before finishing"),
        ),
        "Lot minimums": (
            job.stock.supplier_minimum > 0 or any(row.lot_minimum > 0 for row in job.buyouts),
            _extra(job, "lot minimums"),
        ),
        "Sawing": (_step(job, "saw"), _extra(job, "sawing")),
        "Packing": (
            job.job.packing_per_lot + job.job.packing_per_piece > 0, _extra(job, "packaging to the drawing"),
        ),
        "Freight in": (
            job.stock.freight > 0 or any(row.freight > 0 for row in job.buyouts),
            _extra(job, "tariffs and freight in"),
        ),
    }  # fmt: skip
    return tuple(name for name, found in places.items() if sum(found) > 1)


def _extra(job: Job, item: str) -> bool:
    """Tell whether the line is on and carries an amount."""
    return any(
        row.wanted and row.per_lot + row.per_piece + row.once + row.share > 0
        for row in job.extras
        if row.item.lower() == item
    )


def _once(job: Job, word: str) -> bool:
    return any(word in row.description.lower() and (row.hours > 0 or row.purchase > 0) for row in job.nonrecurring)


def _step(job: Job, word: str) -> bool:
    return any(word in row.description.lower() or word in (row.work_center or "").lower() for row in job.operations)
