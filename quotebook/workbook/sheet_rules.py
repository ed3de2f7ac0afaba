"""Rules of a sheet: validation, conditional formats, protection, hidden columns."""

from __future__ import annotations

from collections.abc import Iterable

from quotebook.workbook.areas import LAST_COLUMN
from quotebook.workbook.snapshot import Validation
from quotebook.workbook.text_escapes import unescaped
from quotebook.workbook.xml_parts import Element, child, children, flag, local, text_of, whole

_SECRETS = frozenset({"password", "hashValue", "saltValue"})


def read_validation(element: Element) -> Validation:
    """Read one rule, either of the first kind or of the 2010 extension (formulas and ranges as child elements)."""
    ranges = element.get("sqref") or text_of(child(element, "sqref"))
    return Validation(
        ranges=tuple(ranges.split()),
        kind=element.get("type", "none"),
        operator=element.get("operator", "between"),
        formula1=_formula(child(element, "formula1")),
        formula2=_formula(child(element, "formula2")),
        allow_blank=flag(element.get("allowBlank")),
        error_text=unescaped(element.get("error", "")),
        prompt_text=unescaped(element.get("prompt", "")),
    )


def read_conditional_formats(element: Element) -> list[tuple[str, str]]:
    """Return (ranges, formula) for each formula of each rule; "" where a rule (a colour scale) has none."""
    ranges = element.get("sqref") or text_of(child(element, "sqref"))
    found: list[tuple[str, str]] = []
    for rule in children(element, "cfRule"):
        formulas = [_formula(part) for part in rule if local(part) in ("formula", "f")]
        found.extend((ranges, formula) for formula in formulas or [""])
    return found


def read_protection(element: Element) -> tuple[bool, dict[str, str]]:
    """Return whether the sheet is protected, and the options as written; of a password only that there is one."""
    options = {key: "set" if key in _SECRETS else value for key, value in element.attrib.items() if key != "sheet"}
    return flag(element.get("sheet")), options


def hidden_columns(columns: Iterable[Element]) -> frozenset[int]:
    """Return the hidden columns of the col elements; overlapping spans are merged before they are written out."""
    spans = sorted(
        (max(whole(column.get("min")), 1), min(whole(column.get("max")), LAST_COLUMN))
        for column in columns
        if flag(column.get("hidden"))
    )
    hidden: list[int] = []
    done = 0
    for first, last in spans:
        hidden.extend(range(max(first, done + 1), last + 1))
        done = max(done, last)
    return frozenset(hidden)


def _formula(element: Element | None) -> str:
    """Return formula text, whether directly inside or one level down (xm:f)."""
    if element is None:
        return ""
    inner = child(element, "f")
    return unescaped(text_of(element if inner is None else inner)).strip().removeprefix("=")
