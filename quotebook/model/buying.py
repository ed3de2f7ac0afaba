"""What a job buys, what is spent once per part number, and what was really spent afterwards."""

from __future__ import annotations

from typing import Literal

from quotebook.model.base import Part
from quotebook.model.fields import (
    Date,
    Days,
    Flag,
    Hours,
    MarkupShare,
    Money,
    Name,
    OperationNumber,
    Pieces,
    Quantity,
    ShareBelowOne,
    Text,
)

BuyoutKind = Literal["outside processing", "hardware"]


class Buyout(Part):
    """Outside processing (``price`` per piece sent) or hardware (``price`` per pack).

    ``operation`` is the one at which pieces are sent out. ``quantity_per_piece``, ``attrition_share``
    and ``pack_size`` belong to hardware. ``low_share`` and ``high_share``: how far the purchase may come out below and
    above. The texts after ``actual_cost`` are what a supplier needs to know:
    ``specification`` is the finish or the part to buy, ``size_to_quote`` area or weight of one piece.
    """

    name: Name
    kind: BuyoutKind
    operation: OperationNumber | None = None
    quantity_per_piece: Quantity = 1.0
    attrition_share: MarkupShare = 0.0
    pack_size: Quantity = 1.0
    price: Money | None = None
    lot_charge: Money = 0.0
    lot_minimum: Money = 0.0
    freight: Money = 0.0
    markup_share: MarkupShare | None = None
    low_share: ShareBelowOne = 0.0
    high_share: MarkupShare = 0.0
    actual_cost: Money | None = None
    specification: Text = ""
    size_to_quote: Text = ""
    masking: Text = ""
    certificate: Text = ""


class SupplierPrice(Part):
    """A price asked for or received; ``line`` is "Stock" or a buyout's name.

    ``from_quantity`` counts units of stock, pieces sent out, or packs. Only chosen rows price the job.
    ``price`` None: asked for and not received, or no bid; such a row cannot be chosen.
    """

    line: Name
    supplier: Text = ""
    reference: Text = ""
    from_quantity: Pieces = 0
    price: Money | None = None
    lot_minimum: Money | None = None
    lead_days: Days | None = None
    valid_until: Date | None = None
    currency: Text = ""
    chosen: Flag = False
    remark: Text = ""


class Nonrecurring(Part):
    """Hours and purchases paid once per part number, however many lots follow."""

    description: Text = ""
    hours: Hours = 0.0
    rate: Name | None = None
    purchase: Money = 0.0
    actual_hours: Hours | None = None
    actual_purchase: Money | None = None


class Actuals(Part):
    """What the job really made, was invoiced and spent, beside the operations' and purchases' own actuals."""

    pieces_started: Pieces | None = None
    good_pieces: Pieces | None = None
    invoiced: Money | None = None
    nonrecurring_invoiced: Money | None = None
    inspection_hours: Hours | None = None
    packing_freight: Money | None = None
    extras_paid: Money | None = None
