"""One normal form for what different programs write, another for what means something else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quotebook.engine import TableRange, evaluate, fingerprint
from quotebook.engine.digest import text_digest
from quotebook.engine.normal import normal_form
from tests.engine.small import at, small


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("SUM(A1,B2)", "sum( A1 , B2 )"),
        ("SUM(A1,B2)", "=SUM(A1,B2)"),
        ("IF(A1,FALSE,TRUE)", "IF(A1,FALSE(),TRUE())"),
        ("_xlfn.IFS(A1,1)", "IFS(A1,1)"),
        ("_xlfn._xlws.SORT(A1:A3)", "SORT(A1:A3)"),
        ("A1:A1*2", "A1*2"),
        ("S!A1*2", "A1*2"),
        ("'S'!A1*2", "s!a1*2"),
        ("(A1)*2", "A1*2"),
        ("A1+(B1*2)", "A1+B1*2"),
        ("Ops[[#this row],[Cost]]", "OPS[[#This Row],[COST]]"),
        ("Ops[@Cost]", "Ops[[#This Row],[Cost]]"),
        ("rate*2.50", "RATE*2.5"),
        ("B2:A1", "A1:B2"),
        ("'Other'!$A$1:$B$2", "Other!$A$1:$B$2"),
        ("1e3", "1000"),
    ],
)
def test_the_same_formula_saved_by_different_programs(first: str, second: str) -> None:
    assert normal_form(first, at("C3")) == normal_form(second, at("C3"))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("A1", "$A$1"),
        ("A1", "A$1"),
        ("A1", "A2"),
        ("A1:B2", "A1:B3"),
        ("Other!A1", "A1"),
        ('"a"', '"A"'),
        ("A1-B1-C1", "A1-(B1-C1)"),
        ("-A1^2", "-(A1^2)"),
        ("A1&1", 'A1&"1"'),
        ("TRUE", '"TRUE"'),
        ("ROUND(A1,2)", "ROUND(A1,3)"),
        ("ROUND(A1,2)", "ROUNDUP(A1,2)"),
        ("A1=1", "A1>=1"),
        ("IF(A1,1)", "IF(A1,1,)"),
        ("{1,2}", "{1;2}"),
        ("+A1", "A1"),
        ("A:A", "$A:$A"),
        ("1:1", "A1"),
        ("Ops[Cost]", "Ops[#All]"),
        ("SUM(A1,B1)", "SUM(A1:B1)"),
        ("(((", "(((" + "("),
    ],
)
def test_formulas_that_mean_something_else(first: str, second: str) -> None:
    assert normal_form(first, at("C3")) != normal_form(second, at("C3"))


def test_copies_down_a_column_share_one_form() -> None:
    forms = {normal_form(f"$A$1*B{row}+SUM(C$1:C{row})", at(f"D{row}")) for row in range(1, 30)}
    assert len(forms) == 1


def test_the_fingerprint_ignores_inputs_and_ways_of_writing() -> None:
    book = small({"B1": "SUM(A1:A3)", "B2": "IF(B1,FALSE,rate)"}, {"A1": 1.0}, names={(None, "rate"): "S!$A$1"})
    saved = small(
        {"B2": "if(B1,FALSE(),RATE)", "B1": "SUM( A1:A3 )"},
        {"A1": 2.0, "A9": 3.0},
        names={(None, "Rate"): "'S'!$A$1", (None, "_xlnm.Print_Area"): "S!$A$1:$B$9"},
    )
    assert fingerprint(book) == fingerprint(saved)


def test_the_fingerprint_notices_every_change_that_counts() -> None:
    table = TableRange("Ops", "S", 1, 1, 5, 1, ("Cost",))
    book = small({"B1": "SUM(A1:A3)"}, names={(None, "rate"): "1"}, tables=(table,))
    changed = [
        book,
        replace(book, formulas={at("B1"): "SUM(A1:A4)"}),
        replace(book, formulas={at("B2"): "SUM(A1:A3)"}),
        replace(book, formulas={}),
        replace(book, names={(None, "rate"): "2"}),
        replace(book, names={("S", "rate"): "1"}),
        replace(book, names={}),
        replace(book, tables=(replace(table, last_row=6),)),
        replace(book, tables=(replace(table, columns=("Price",)),)),
        replace(book, tables=()),
        replace(book, sheets=("S", "Another")),
        replace(book, date1904=True),
        replace(book, arrays={at("B1"): at("B2")}),
    ]
    assert len({fingerprint(each) for each in changed}) == len(changed)
    # Asked in turn, each after all others: what was told of one book is never told of another.
    assert len({text_digest(each) for each in (*changed, *reversed(changed))}) == len(changed)


def test_a_name_that_became_a_reference_is_not_the_note_that_it_was() -> None:
    asked = [small({"B1": "A1"}, names={(None, "note"): text}) for text in ('"one"', "S!$A$1", '"two"')]
    digests = [text_digest(book) for book in asked]
    assert digests[0] == digests[2] != digests[1]


def test_a_text_in_a_name_counts_only_where_a_formula_asks_for_it() -> None:
    """Each quotebook workbook carries its contract's digest in a name; that must not cost a compilation of its own."""
    plain, noted = {"B1": "A1*2"}, {(None, "note"): '"one"', (None, "rate"): "3"}
    books = [small(plain, names={**noted, (None, "note"): text}) for text in ('"one"', '="two ""quoted"""')]
    assert len({fingerprint(book) for book in books}) == len({text_digest(book) for book in books}) == 1
    for formula in ("NOTE&A1", "another&A1"):
        names = {**noted, (None, "another"): "note"}
        asked = [small({"B1": formula}, names={**names, (None, "note"): f'"{word}"'}) for word in ("one", "two")]
        assert len({fingerprint(book) for book in asked}) == len({text_digest(book) for book in asked}) == 2
        assert [evaluate(book).results[at("B1")].value for book in asked] == ["one", "two"]
