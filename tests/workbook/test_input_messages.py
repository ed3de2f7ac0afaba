"""What a person reads beside a cell is whole: no message is cut, and a title that is too long is cut between words.

Source: the file format holds 255 characters of a message and 32 of its title (ECMA-376, 18.3.1.32; from memory).
"""

from __future__ import annotations

import pytest

from quotebook.template.layout import lay_out
from quotebook.template.load import load_template
from quotebook.template.spec import FieldSpec
from quotebook.workbook.validation import LONGEST_MESSAGE, LONGEST_TITLE, shortened, validation_of

TEMPLATES = ("machined-part", "supplier-request")


def fields(template: str) -> list[FieldSpec]:
    return [placed.field for placed in lay_out(load_template(template)).placed.values() if placed.field.is_input]


@pytest.mark.parametrize("template", TEMPLATES)
def test_no_message_of_a_field_is_cut(template: str) -> None:
    told = {field.name: rule for field in fields(template) if (rule := validation_of(field)) is not None}
    assert len(told) >= 10
    for field in fields(template):
        rule = told.get(field.name, {})
        if field.note:
            assert rule["input_message"].endswith(field.note), field.name
        for kind in ("input_message", "error_message"):
            assert "…" not in rule.get(kind, ""), field.name
            assert len(rule.get(kind, "")) <= LONGEST_MESSAGE, field.name
        assert len(rule.get("input_title", "")) <= LONGEST_TITLE, field.name
        assert rule.get("input_title", field.label).removesuffix("…") in field.label, field.name


def test_a_long_text_is_cut_between_words_and_says_so() -> None:
    assert shortened("Price (if none is chosen on Supplier prices)", 32) == "Price (if none is chosen on…"
    assert shortened("Kerf", 32) == "Kerf"
