"""The reference price of a job: pure functions over the models, never looking at a formula."""

from __future__ import annotations

from quotebook.pricing.fit import Criterion, FitResult, fit_check
from quotebook.pricing.money import ceil_guarded, floor_guarded, round_half_away, round_up_to_step
from quotebook.pricing.price import price_job
from quotebook.pricing.result import (
    ELEMENTS,
    EXTENDED_PRICE_FALLS,
    MARGIN_UNDER_FLOOR,
    UNIT_PRICE_RISES,
    Elements,
    JobPrice,
    LotPrice,
    NextPiece,
    NonrecurringFigures,
    OperationFigures,
    PurchaseFigures,
    Rates,
    Repeat,
)

__all__ = [
    "ELEMENTS",
    "EXTENDED_PRICE_FALLS",
    "MARGIN_UNDER_FLOOR",
    "UNIT_PRICE_RISES",
    "Criterion",
    "Elements",
    "FitResult",
    "JobPrice",
    "LotPrice",
    "NextPiece",
    "NonrecurringFigures",
    "OperationFigures",
    "PurchaseFigures",
    "Rates",
    "Repeat",
    "ceil_guarded",
    "fit_check",
    "floor_guarded",
    "price_job",
    "round_half_away",
    "round_up_to_step",
]
