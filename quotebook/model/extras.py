"""Lines that are easily forgotten, and how hand work gets faster in a longer lot."""

from __future__ import annotations

from typing import Literal

from quotebook.model.base import Part
from quotebook.model.fields import Flag, LearningShare, MarkupShare, Money, Name, Text

#: What a novice forgets, each once looked at and decided. The words are those of the Start sheet.
FORGOTTEN = (
    "certificates",
    "first-article report",
    "gauges for threads and bores",
    "masking before finishing",
    "lot minimums",
    "sawing",
    "handling",
    "packaging to the drawing",
    "tariffs and freight in",
    "customer-supplied material",
    "payment terms",
    "currency",
    "drawing revision",
    "privacy and export marking",
)


class Extra(Part):
    """One thing beside the work itself. ``wanted`` None: not decided yet; amounts count only when it is true.

    ``per_lot``; ``per_piece`` for each of the pieces that ``counts`` names; ``once`` is nonrecurring; ``share`` of the
    lot's purchases, or of its whole cost before these lines. The same amount in cost and at sell rates.
    """

    item: Name
    wanted: Flag | None = None
    per_lot: Money = 0.0
    per_piece: Money = 0.0
    counts: Literal["good pieces", "pieces started"] = "good pieces"
    once: Money = 0.0
    share: MarkupShare = 0.0
    share_of: Literal["purchases", "lot cost"] = "purchases"
    remark: Text = ""


class Learning(Part):
    """Hand work (operations at a hand rate) by a learning curve: ``rate`` is left of the time when pieces double."""

    form: Literal["off", "unit", "cumulative average"] = "off"
    rate: LearningShare = 0.9
