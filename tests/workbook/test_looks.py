"""Colours can be read by everybody, and number formats show what they should."""

from __future__ import annotations

import pytest

from quotebook.template.spec import FieldSpec
from quotebook.workbook import looks
from quotebook.workbook.looks import MoneyLook, number_format

#: Text on its ground, every pair that the sheets use.
PAIRS = [
    (looks.INK, "#FFFFFF"),
    (looks.INK, looks.GROUND_INPUT),
    (looks.INK, looks.GROUND_HEADING),
    (looks.INK, looks.GROUND_TOTAL),
    (looks.QUIET, "#FFFFFF"),
    (looks.QUIET, looks.GROUND_HEADING),
    ("#FFFFFF", looks.GROUND_BLOCK),
    (looks.ALARM, "#FFFFFF"),
    (looks.GOOD, "#FFFFFF"),
    (str(looks._LOOKS["link"]["font_color"]), "#FFFFFF"),
]


def luminance(color: str) -> float:
    # WCAG 2.1, definition of relative luminance
    parts = [int(color[index : index + 2], 16) / 255 for index in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    # WCAG 2.1, definition of contrast ratio
    high, low = sorted((luminance(first), luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_measure_gives_the_published_extremes() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)  # WCAG 2.1: ratios range from 1 to 21
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_has_the_contrast_of_level_aaa(text: str, ground: str) -> None:
    assert contrast(text, ground) >= 7.0  # WCAG 2.1, success criterion 1.4.6


MONEY = MoneyLook.of("$", 2, 0.005)
FORMATS = [
    ("money", "job.a.b", "", '"$"#,##0.00'),
    ("unit price", "job.a.b", "", '"$"#,##0.000##'),
    ("money", "", "a_b", '"$"#,##0.00;-"$"#,##0.00;;@'),
    ("share", "job.a.b", "", "0.0%"),
    ("date", "job.a.b", "", "yyyy-mm-dd"),
    ("text", "job.a.b", "", "@"),
]


@pytest.mark.parametrize(("kind", "bind", "formula", "wanted"), FORMATS)
def test_a_field_is_shown_as_its_type_says(kind: str, bind: str, formula: str, wanted: str) -> None:
    field = FieldSpec.model_validate(
        {"name": "some_field", "label": "Some", "type": kind, "bind": bind, "formula": formula}
    )
    assert number_format(field, MONEY) == wanted


def test_a_currency_without_decimals_is_shown_without() -> None:
    assert MoneyLook.of("kr", 0, 1.0) == MoneyLook("kr", 0, 0)
    field = FieldSpec.model_validate({"name": "some_field", "label": "Some", "type": "money", "bind": "job.a.b"})
    assert number_format(field, MoneyLook.of("kr", 0, 1.0)) == '"kr"#,##0'
