"""The two libraries that are asked for a second opinion, and the repairs that make them fit for it."""

from __future__ import annotations

import builtins
from collections.abc import Callable
from typing import Any

import pytest

from quotebook.engine import Evaluation, FormulaBook, Status, TableRange, evaluate, witness_formulas, witness_ironcalc
from quotebook.engine.agreement import Verdict, compare
from quotebook.errors import EngineError
from quotebook.values import ErrorValue, Value
from tests.engine.small import at, small
from tests.engine.tables import case_book

pytest.importorskip("ironcalc", reason="ironcalc, an optional second witness, is not installed")

Witness = Callable[[FormulaBook], Evaluation]
WITNESSES = [witness_formulas, witness_ironcalc]

QUOTE_INPUTS: dict[str, Value] = {
    "A1": "mill", "B1": 80.0, "C1": 2.5,
    "A2": "lathe", "B2": 65.0, "C2": 0.75,
    "A3": "deburr", "B3": 40.0,
    "E1": "#not an error", "E2": "=not a formula", "E3": True,
}  # fmt: skip
QUOTE = {
    "D1": "B1*C1",
    "D2": "ROUND(B2*C2,2)",
    "D3": 'IF(C3="",0,B3*C3)',
    "D4": "SUM(D1:D3)",
    "D5": 'SUMIFS(B1:B3,A1:A3,"l*")',
    "D6": "INDEX(B1:B3,MATCH(\"deburr\",A1:A3,0))",
    "D7": "SUMPRODUCT((A1:A3=\"mill\")*B1:B3)",
    "D8": "ROUNDUP(ROUND(D4/7,6),0)",
    "D9": "A1&\" \"&TEXT(D4,\"0.00\")",
    "D10": "IFERROR(VLOOKUP(\"saw\",A1:B3,2,FALSE),\"none\")",
    "D11": "1/0",
    "D12": "MATCH(\"saw\",A1:A3,0)",
    "D13": "E1&E2",
    "D14": "rate*2",
    "D15": "C3",
    "D16": "AND(E3,B1>50)",
    "D17": "Other!A1+B1",
    "D18": "MAX(B1:B9)",
    "D19": "DATE(2024,5,31)+1",
    "D20": "COUNTA(A:A)",
}  # fmt: skip


@pytest.mark.parametrize("witness", WITNESSES)
def test_a_witness_agrees_on_formulas_as_quotes_have_them(witness: Witness) -> None:
    book = small(QUOTE, QUOTE_INPUTS, names={(None, "rate"): "S!$B$1"})
    ours, theirs = evaluate(book), witness(book)
    assert theirs.engine == witness.__name__.removeprefix("witness_")
    assert set(theirs.results) == set(ours.results)
    verdicts = {
        cell: (book.formulas[cell], ours.results[cell].value, theirs.results[cell])
        for cell in book.formulas
        if compare(ours.results[cell], theirs.results[cell]).verdict is not Verdict.AGREES
    }
    assert not verdicts


@pytest.mark.parametrize("witness", WITNESSES)
def test_what_a_witness_cannot_compute_is_named_and_reaches_its_dependants(witness: Witness) -> None:
    formulas = {
        "A1": "NOPE(1)",
        "A2": "IFERROR(NOPE(1),0)",
        "A3": "IFERROR(A1,0)",
        "A4": "IF(TRUE,1,A1)",
        "A5": "SUM(A1:A2)",
        "B1": "B2",
        "B2": "B1+1",
        "B3": "IFERROR(B1,5)",
        "C1": "1+1",
        "C2": "SUM(S:Other!Z1)",
        "C3": "Ops[Cost]",
    }
    table = TableRange("Ops", "Other", 1, 1, 3, 1, ("Cost",))
    found = witness(small(formulas, tables=(table,))).results
    for cell in ("A1", "A2", "B1", "B2", "C2", "C3"):
        assert found[at(cell)].status is Status.NOT_EVALUATED, cell
    for cell in ("A3", "A4", "A5", "B3"):
        assert found[at(cell)].status is Status.DEPENDS_ON_NOT_EVALUATED, cell
    assert "NOPE" in found[at("A2")].reason
    assert found[at("C1")].value == 2.0


@pytest.mark.parametrize("witness", WITNESSES)
def test_a_witness_never_sees_stored_results(witness: Witness) -> None:
    book = small({"B1": "A1*2", "B2": "NOPE(1)"}, {"A1": 2.0, "B1": 987654321.5, "B2": 987654321.5})
    found = witness(book).results
    assert found[at("B1")].value == 4.0
    assert found[at("B2")].value is None


@pytest.mark.parametrize("witness", WITNESSES)
def test_opaque_cells_stay_unknown_to_a_witness(witness: Witness) -> None:
    found = witness(small({"B1": "A1+1"}, opaque={at("A1"): "a data table"})).results
    assert found[at("A1")].status is Status.NOT_EVALUATED
    assert found[at("B1")].status is Status.DEPENDS_ON_NOT_EVALUATED


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("ROUND(1.005,2)", 1.01),
        ("ROUND(0.285,2)", 0.29),
        ("ROUNDUP(0.1+0.2,1)", 0.3),
        ("ROUNDDOWN(4.35*100,0)", 435.0),
        ("TRUNC(4.35*100)", 435.0),
        ("ROUND(-2.5,0)", -3.0),
        ("ROUND(1250,-2)", 1300.0),
    ],
)
def test_formulas_is_repaired_to_round_shown_digits(formula: str, expected: float) -> None:
    assert witness_formulas(small({"A1": formula})).results[at("A1")].value == expected


@pytest.mark.parametrize(
    ("formula", "reason"),
    [
        ("SUMPRODUCT(--(B1:B3>1))", "double minus"),
        ("5%%", "cannot read"),
        ("FLOOR(0.3,0.1)", "wrongly"),
        ("'It''s'!A1", "apostrophe"),
        ("only_here", "single sheets"),
    ],
)
def test_formulas_is_not_asked_what_it_answers_wrongly(formula: str, reason: str) -> None:
    book = FormulaBook(("S", "It's"), {at("A1"): formula}, {}, names={("S", "only_here"): "1"})
    result = witness_formulas(book).results[at("A1")]
    assert result.status is Status.NOT_EVALUATED
    assert reason in result.reason


def test_formulas_takes_array_formulas_and_errors_as_inputs() -> None:
    book = small(
        {"C1": "A1:A2*2", "D1": "SUM(C1:C2)", "D2": "A3"},
        {"A1": 1.0, "A2": 2.0, "A3": ErrorValue.NA},
        arrays={at("C1"): at("C2")},
    )
    found = witness_formulas(book).results
    assert [found[at(cell)].value for cell in ("C1", "C2", "D1", "D2")] == [2.0, 4.0, 6.0, ErrorValue.NA]


def test_formulas_is_silent(capfd: pytest.CaptureFixture[str]) -> None:
    witness_formulas(small({"B1": "SUM(A1:A9)"}, {"A1": 1.0}))
    assert capfd.readouterr() == ("", "")


def test_a_missing_witness_is_said_to_be_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def refuse(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "ironcalc":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(EngineError, match="not installed"):
        witness_ironcalc(small({"A1": "1"}))


@pytest.mark.parametrize(
    ("witness", "family"),
    [(witness_ironcalc, "conditional"), (witness_ironcalc, "rounding"), (witness_formulas, "rounding")],
)
def test_the_tables_of_cases_are_mostly_confirmed(witness: Witness, family: str) -> None:
    """Both libraries have faults of their own, so this is a share and not a promise."""
    book, placed = case_book(family)
    theirs = witness(book).results
    verdicts = [compare(case.expected, theirs[cell]).verdict for cell, case in placed.items()]
    judged = [verdict for verdict in verdicts if verdict is not Verdict.NOT_JUDGED]
    assert len(judged) >= len(verdicts) * 0.6
    assert judged.count(Verdict.AGREES) >= len(judged) * 0.85


def test_searches_by_nearest_value_are_not_shown_to_ironcalc() -> None:
    """Measured: the library counts blank cells at the end of the searched line."""
    nearest = (
        "MATCH(2,A1:A9)",
        "MATCH(2,A1:A9,1)",
        "LOOKUP(2,A1:A9)",
        "VLOOKUP(2,A1:B9,2)",
        "1+HLOOKUP(2,A1:B9,1,TRUE)",
    )
    exact = ("MATCH(2,A1:A9,0)", "VLOOKUP(2,A1:C9,2,FALSE)", "VLOOKUP(2,A1:C9,2,0)")
    formulas = {f"D{row}": text for row, text in enumerate((*nearest, *exact), start=1)}
    found = witness_ironcalc(small(formulas, {"A1": 1.0, "A2": 2.0, "B2": 5.0})).results
    for row in range(1, len(nearest) + 1):
        assert found[at(f"D{row}")].status is not Status.EVALUATED
        assert "nearest" in found[at(f"D{row}")].reason
    for row in range(len(nearest) + 1, len(formulas) + 1):
        assert found[at(f"D{row}")].status is Status.EVALUATED
