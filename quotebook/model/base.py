"""What every part of a shop profile or a job has in common: it never changes and takes no unknown field."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

Units = Literal["in", "mm"]
PricingBasis = Literal["sell rates", "cost plus"]
ProfitRule = Literal["margin", "markup"]
NonrecurringCharging = Literal["own line", "spread"]
BarCharging = Literal["whole bars", "used length"]
PiecesCharged = Literal["surviving", "started"]


class Part(BaseModel):
    """A table of the file: frozen, unknown fields forbidden.

    Lists of tables have a singular word in the file and a plural attribute in Python.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
