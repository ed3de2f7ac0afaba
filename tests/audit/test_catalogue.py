"""The whole catalogue of checks: explained, named and tried, each of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import quotebook.audit
from quotebook.audit.explain import HEADINGS, explained, first_line, page, sections
from quotebook.audit.registry import Registered, all_checks
from tests.audit.contract_cases import CASES
from tests.audit.foreign_cases import CASES as FOREIGN_CASES

#: Checks that the cases cannot reach, and where they are tried instead.
ELSEWHERE = {
    "lost-contract": "test_other_ways.py",
    "outdated-template": "test_other_ways.py",
    "removed-rows": "test_other_ways.py",
    "row-without-formulas": "test_other_ways.py",
    "row-below-list": "test_other_ways.py",
    "summary-of-old-data": "test_other_ways.py",
    "figure-from-another-file": "test_other_ways.py",
    "copy-in-conflict": "test_other_ways.py",
    "dropped-features": "test_other_ways.py",
    "another-customer-named": "test_another_customer.py",
    "blocked-spill": "test_blocked_spill.py",
}
NAMES = [one.check.name for one in all_checks()]


@pytest.fixture(params=all_checks(), ids=NAMES)
def one(request: pytest.FixtureRequest) -> Registered:
    found: Registered = request.param
    return found


def test_there_are_checks() -> None:
    assert len(NAMES) >= 80
    assert len(set(NAMES)) == len(NAMES), "two checks share a name"


def test_every_check_explains_itself_under_the_same_headings(one: Registered) -> None:
    assert [line for line in one.explanation.splitlines() if line in HEADINGS] == list(HEADINGS)
    assert all(text for text in sections(one.explanation).values()), "a heading without text"
    assert first_line(one.explanation).endswith(".")
    assert one.check.name in explained(one)


def test_every_name_names_the_fault_and_is_the_name_of_its_file(one: Registered) -> None:
    name = one.check.name
    assert re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", name)
    assert name.replace("-", "_") == one.module
    # Read after "allow": a name that orders something names the cure.
    assert not re.match(r"(avoid|use|check|no|dont|fix|missing-check|validate)-", name)


def test_every_check_says_which_rows_of_the_catalogue_it_covers(one: Registered) -> None:
    assert one.check.rows
    assert all(re.fullmatch(r"[SFVTPHR]\d+", row) for row in one.check.rows)


def test_every_check_has_a_case() -> None:
    tried = {*CASES, *FOREIGN_CASES}
    for name, file in ELSEWHERE.items():
        assert name in (Path(__file__).parent / file).read_text(encoding="utf-8"), f"{name} is not in {file}"
    assert sorted(set(NAMES) - tried - set(ELSEWHERE)) == []


def test_every_row_of_structure_and_staleness_is_covered() -> None:
    rows = {row for one in all_checks() for row in one.check.rows}
    assert {f"S{number}" for number in range(1, 23)} <= rows
    assert {f"T{number}" for number in range(1, 11)} <= rows


def test_the_page_of_all_checks_is_the_one_that_the_checks_make() -> None:
    path = Path(quotebook.audit.__file__).with_name("CHECKS.md")
    assert path.read_text(encoding="utf-8") == page(all_checks()), "write it anew: python -m quotebook.audit.write_page"
