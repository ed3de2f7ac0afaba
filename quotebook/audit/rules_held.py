"""What the input rules of a field should be, and what the file's own rules allow there now."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from quotebook.audit.view import BookView
from quotebook.template.spec import FieldSpec
from quotebook.values import Address
from quotebook.workbook.areas import Area, parse_area
from quotebook.workbook.snapshot import Sheet, Validation
from quotebook.workbook.validation import validation_of

_KINDS = {"integer": "whole", "decimal": "decimal", "list": "list", "date": "date"}
_SIGNS = {
    ">=": "greaterThanOrEqual",
    ">": "greaterThan",
    "<=": "lessThanOrEqual",
    "<": "lessThan",
    "between": "between",
}
_ZERO = datetime.date(1899, 12, 30)


def wanted_rule(field: FieldSpec) -> tuple[str, str, str, str] | None:
    """Return kind, operator and the two formulas that the rule of an input was made with; None for free text."""
    rule = validation_of(field)
    if rule is None or rule["validate"] == "any":
        return None
    kind = _KINDS[str(rule["validate"])]
    if kind == "list":
        source = rule["source"]
        text = source.removeprefix("=") if isinstance(source, str) else ",".join(source)
        return kind, "between", text, ""
    if "minimum" in rule:
        return kind, "between", _text(rule["minimum"]), _text(rule["maximum"])
    return kind, _SIGNS[str(rule["criteria"])], _text(rule["value"]), ""


def _text(value: Any) -> str:
    if isinstance(value, datetime.date):
        return str((value - _ZERO).days)
    return str(float(value))


def rules_by_cell(sheet: Sheet) -> list[tuple[Area, Validation]]:
    """Return the areas of a sheet's rules, each with its rule."""
    found = []
    for rule in sheet.validations:
        for text in rule.ranges:
            area = parse_area(text)
            if area is not None:
                found.append((area, rule))
    return found


def keeps(rule: Validation, wanted: tuple[str, str, str, str], date1904: bool) -> bool:
    """Tell whether a rule of the file is as strict as the one that the field was made with."""
    kind, operator, first, second = wanted
    if rule.kind != kind:
        return False
    if kind == "list":
        return _list(rule.formula1) == _list(first)
    if rule.operator != operator:
        return False
    return all(
        _close(one, other, date1904) for one, other in ((rule.formula1, first), (rule.formula2, second)) if other
    )


def _list(text: str) -> list[str]:
    return [word.strip().casefold() for word in text.strip().strip('"').replace(";", ",").split(",")]


def _close(found: str, wanted: str, date1904: bool) -> bool:
    try:
        difference = abs(float(found) - float(wanted))
    except ValueError:
        return False
    return difference <= 1e-9 or (date1904 and abs(difference - 1462) < 1e-9)


def rule_at(rules: list[tuple[Area, Validation]], address: Address) -> Validation | None:
    """Return the rule that holds for a cell, or None."""
    return next((rule for area, rule in rules if area.holds(address.row, address.column)), None)


def sheet_rules(view: BookView) -> Mapping[str, list[tuple[Area, Validation]]]:
    """Return the rules of every sheet by its title."""
    return {sheet.title: rules_by_cell(sheet) for sheet in view.snapshot.sheets}
