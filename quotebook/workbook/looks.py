"""How cells look: number formats by type, and one format for each look.

Colours never carry a meaning alone: inputs have a border, missing things have words, totals are bold with a rule.
All text colours have a contrast of at least 7 to 1 on their ground (WCAG 2.1, level AAA).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quotebook.template.plan import Look
from quotebook.template.spec import FieldSpec

INK = "#1F2A2E"
QUIET = "#4A4A4A"
GROUND_BLOCK = "#24424A"
GROUND_HEADING = "#E3E8E6"
GROUND_INPUT = "#FFF7DF"
GROUND_TOTAL = "#EEF1EC"
ALARM = "#7A1010"
GOOD = "#14532D"
RULE = "#6B5B3E"

_PLAIN = {
    "rate": "#,##0.00", "hours": "#,##0.00", "minutes": "#,##0.00", "seconds": "#,##0", "pieces": "#,##0",
    "count": "0", "number": "#,##0.0###", "share": "0.0%", "length": "#,##0.000", "weight": "#,##0.000", "days": "0",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class MoneyLook:
    """How money is shown: symbol, decimal places of money, and of unit prices (never fewer)."""

    symbol: str
    decimals: int
    price_decimals: int

    @classmethod
    def of(cls, symbol: str, decimals: int, price_step: float) -> MoneyLook:
        """Return the look for a currency; the price step decides how fine unit prices are shown."""
        exponent = Decimal(repr(price_step)).normalize().as_tuple().exponent
        step = max(0, -exponent) if isinstance(exponent, int) else 0
        return cls(symbol, decimals, max(decimals, min(step, 6)))


def number_format(field: FieldSpec, money: MoneyLook) -> str:
    """Return the number format of a field; results of 0 are not shown unless the field says so."""
    if field.type == "date":
        return "yyyy-mm-dd"
    if field.holds_words:
        return "@" if field.is_input else "General"
    if field.type == "money":
        shown = _money(money, money.decimals)
    elif field.type == "unit price":
        shown = _money(money, money.price_decimals) + ("##" if field.is_input else "")
    else:
        shown = _PLAIN[field.type]
    if field.is_input or field.show_zero:
        return shown
    return f"{shown};-{shown};;@"


def _money(money: MoneyLook, decimals: int) -> str:
    digits = "#,##0" + ("." + "0" * decimals if decimals else "")
    return f'"{money.symbol}"{digits}' if money.symbol else digits


_LOOKS: dict[Look, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 18},
    "purpose": {"font_size": 11, "font_color": QUIET},
    "caution": {"bold": True, "font_color": ALARM},
    "status": {"italic": True, "font_color": INK},
    "block": {"bold": True, "font_size": 12, "font_color": "#FFFFFF", "bg_color": GROUND_BLOCK},
    "hint": {"italic": True, "font_color": QUIET},
    "label": {"text_wrap": True, "valign": "vcenter"},
    "heading": {"bold": True, "text_wrap": True, "bg_color": GROUND_HEADING, "bottom": 1, "valign": "bottom"},
    "lot heading": {
        "bold": True, "text_wrap": True, "bg_color": GROUND_HEADING, "bottom": 1, "valign": "bottom", "align": "right",
    },
    "column unit": {"font_color": QUIET, "font_size": 9, "text_wrap": True, "valign": "top"},
    "unit": {"font_color": QUIET, "font_size": 9, "indent": 1},
    "input": {"bg_color": GROUND_INPUT, "border": 1, "border_color": RULE, "locked": False},
    "given": {"valign": "top"},
    "formula": {},
    "total": {"bold": True, "bg_color": GROUND_TOTAL, "top": 1},
    "state": {"bold": True, "indent": 1},
    "text": {},
    "link": {"underline": 1, "font_color": "#0B3D91"},
}  # fmt: skip


def look_properties(look: Look, field: FieldSpec | None, money: MoneyLook) -> dict[str, Any]:
    """Return the XlsxWriter format properties of a cell."""
    properties = {"font_name": "Liberation Sans", "font_size": 10, "font_color": INK, **_LOOKS[look]}
    if look == "heading":
        words = field is None or field.holds_words or field.type == "date"
        properties["align"] = "left" if words else "right"
        # A right-hand indent too, or a heading that fills its width runs into the next one.
        properties["indent"] = 1
    elif look == "column unit":
        numbers = field is not None and not (field.holds_words or field.type == "date")
        properties["align"] = "right" if numbers else "left"
        properties["indent"] = 1
    elif field is not None:
        properties["num_format"] = number_format(field, money)
        if field.type == "long text":
            properties.update(text_wrap=True, valign="top")
        if field.holds_words:
            properties["align"] = "left"
            properties["indent"] = 1 if look in ("input", "formula", "state", "given") else 0
        elif look in ("formula", "total", "input", "given"):
            properties["align"] = "right"
    if look == "formula" and field is not None and field.type == "date":
        properties["align"] = "left"
    return properties
