"""The rule about what may be typed into an input is gone or looser than made.

What it finds
    Input cells whose drop-down list or limits were removed, changed, or no longer cover all rows.

Why it costs money
    A misspelt material or a scrap share of 5 in place of 5 % is taken without a word.

Faulty
    Scrap (rows 9 to 30)  between 0 and 1      (rows 31 and 32: no rule)

Sound
    Scrap (rows 9 to 32)  between 0 and 1

How to mend
    Copy an input cell that still has its rule and paste only the validation over the others.

False alarms
    Pasting a cell over an input takes its rule along; what was pasted may be right all the same.

Source
    Catalogue row S12.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.rules_held import keeps, rule_at, sheet_rules, wanted_rule
from quotebook.audit.view import BookView, cells_of
from quotebook.workbook.validation import allowed_words

CHECK = Check("lost-input-rule", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S12",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per field."""
    assert view.located is not None, "a contract is always located"
    rules = view.shared(sheet_rules)
    date1904 = view.snapshot.calculation.date1904
    for placed in view.located.fields.values():
        wanted = wanted_rule(placed.field) if placed.field.is_input else None
        if wanted is None:
            continue
        bare, loose = [], []
        for address, _, _ in cells_of(placed):
            rule = rule_at(rules.get(placed.sheet, []), address)
            if rule is None or rule.kind == "none":
                bare.append(address)
            elif not keeps(rule, wanted, date1904):
                loose.append(address)
        for cells, word in ((bare, "no rule"), (loose, "another rule")):
            if cells:
                yield tell(
                    view, CHECK, cells, word, allowed_words(placed.field) or "a rule", "Give the cells their rule.",
                    by_contract(f"{placed.field.name} was made with a rule"), alike=word,
                )  # fmt: skip
