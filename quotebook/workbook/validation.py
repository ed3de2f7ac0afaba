"""What may be typed into an input cell, as the spreadsheet's own validation with messages for people."""

from __future__ import annotations

import datetime
from typing import Any

from quotebook.template.spec import FieldSpec

#: Characters that the file format holds of a message and of its title.
LONGEST_MESSAGE, LONGEST_TITLE = 255, 32
_WHOLE = ("pieces", "count", "days")
_TEXT = ("text", "long text")


def validation_of(field: FieldSpec) -> dict[str, Any] | None:
    """Return the XlsxWriter validation of an input field, or None for free text without a note."""
    rule = _rule(field)
    if rule is None:
        if not field.note:
            return None
        rule = {"validate": "any"}
    wanted = allowed_words(field)
    rule["ignore_blank"] = True
    rule["input_title"] = shortened(field.label, LONGEST_TITLE)
    message = ". ".join(part for part in (wanted.capitalize(), field.note) if part)
    if len(message) > LONGEST_MESSAGE and field.note:
        message = field.note  # the drop-down shows the choices anyway
    rule["input_message"] = shortened(message, LONGEST_MESSAGE)
    if rule["validate"] != "any":
        rule["error_title"] = shortened(field.label, LONGEST_TITLE)
        rule["error_message"] = shortened(f"{field.label}: {wanted}.", LONGEST_MESSAGE)
        if field.open_choice:
            rule["error_type"] = "warning"
    if not rule["input_message"]:
        del rule["input_title"], rule["input_message"]
    return rule


def shortened(text: str, longest: int) -> str:
    """Return a text of at most so many characters, cut between two words and with a mark that it was cut."""
    if len(text) <= longest:
        return text
    return f"{text[: longest - 1].rpartition(' ')[0]}…"


def allowed_words(field: FieldSpec) -> str:
    """Return in words what an input takes: ``a number, 0 or more, in hours``."""
    if field.type == "yesno":
        return "yes or no"
    if field.choices:
        return "one of: " + ", ".join(field.choices)
    if field.choices_from:
        return "a name from the list" + (" (others are possible)" if field.open_choice else "")
    if field.type == "date":
        return "a date, year-month-day"
    if field.type in _TEXT:
        return ""
    words = ["a whole number" if field.type in _WHOLE else "a percentage" if field.type == "share" else "a number"]
    scale = 100 if field.type == "share" else 1
    sign = " %" if field.type == "share" else ""
    if field.above is not None:
        words.append(f"above {field.above * scale:g}{sign}")
    if field.minimum is not None:
        words.append(f"{field.minimum * scale:g}{sign} or more")
    if field.below is not None:
        words.append(f"below {field.below * scale:g}{sign}")
    if field.maximum is not None:
        words.append(f"at most {field.maximum * scale:g}{sign}")
    if field.unit and not field.unit.startswith("="):
        words.append(f"({field.unit})")
    return ", ".join(words).replace(", (", " (")


def _rule(field: FieldSpec) -> dict[str, Any] | None:
    if field.type == "yesno":
        return {"validate": "list", "source": ["yes", "no"]}
    if field.choices:
        return {"validate": "list", "source": list(field.choices)}
    if field.choices_from:
        return {"validate": "list", "source": f"={field.choices_from}"}
    if field.type == "date":
        first, last = datetime.date(1990, 1, 1), datetime.date(2199, 12, 31)
        return {"validate": "date", "criteria": "between", "minimum": first, "maximum": last}
    if field.type in _TEXT:
        return None
    kind = "integer" if field.type in _WHOLE else "decimal"
    low = field.above if field.above is not None else field.minimum
    high = field.below if field.below is not None else field.maximum
    if low is not None and high is not None:
        # "Between" includes its ends; the open end is closed just inside, the sheet's own state column tells the rest.
        low = low if field.above is None else low + 1e-9
        high = high if field.below is None else high - 1e-6
        return {"validate": kind, "criteria": "between", "minimum": low, "maximum": high}
    if low is not None:
        return {"validate": kind, "criteria": ">" if field.above is not None else ">=", "value": low}
    if high is not None:
        return {"validate": kind, "criteria": "<" if field.below is not None else "<=", "value": high}
    return {"validate": kind, "criteria": ">=", "value": -1e12}
