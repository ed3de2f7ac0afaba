"""Two libraries asked for a second opinion on a whole workbook, and what is known of where they go wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from quotebook.engine import Status, evaluate, witness_formulas, witness_ironcalc
from quotebook.flows.against_witness import against_witness
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import Recomputed, recompute
from tests.engine.small import at, small
from tests.made import place


def test_the_library_formulas_confirms_the_price_of_a_whole_workbook(metric_file: Path) -> None:
    """Slow. TRIM is kept from the library, and the fit check with it; every other formula is judged, and agrees."""
    result = recompute(metric_file, witness="formulas")
    (note,) = [note for note in result.notes if note.startswith("witness formulas")]
    judged, formulas = (int(word) for word in note.split() if word.isdecimal())
    assert formulas == result.formulas > 800
    # By measurement 33 cells follow from TRIM: the material's fit, the decision, and what shows it. Prices do not.
    assert formulas - judged <= 35
    assert result.disagreements == []
    assert result.agree is True


def test_ironcalc_confirms_what_may_be_shown_to_it(metric_file: Path) -> None:
    """Measured: it searches by nearest value wrongly (blank cells at the end count), so the sample size and all that
    follows from it are kept from it. Every other formula is judged, and agrees.
    """
    pytest.importorskip("ironcalc", reason="ironcalc, an optional second witness, is not installed")
    result = recompute(metric_file, witness="ironcalc")
    (note,) = [note for note in result.notes if note.startswith("witness ironcalc")]
    judged, formulas = (int(word) for word in note.split() if word.isdecimal())
    assert judged > 0.75 * formulas
    assert result.disagreements == []
    answers = witness_ironcalc(open_workbook(metric_file).book).results
    assert answers[place(open_workbook(metric_file), "sample_size", lot=1)].status is not Status.EVALUATED


def test_an_answer_that_differs_from_the_witness_is_told(metric_file: Path) -> None:
    """Our own answer is spoiled for one cell; the comparison must see it."""
    pytest.importorskip("ironcalc", reason="ironcalc, an optional second witness, is not installed")
    opened = open_workbook(metric_file)
    evaluation = evaluate(opened.book)
    cell = place(opened, "setup_sell", lot=1)
    right = evaluation.results[cell]
    assert isinstance(right.value, float)
    spoiled = replace(evaluation, results={**evaluation.results, cell: replace(right, value=right.value + 1)})
    told = [one for one in against_witness(opened, spoiled, "ironcalc", Recomputed("x")) if one.field == "setup_sell"]
    assert [(one.cell, one.recomputed) for one in told] == [(str(cell), right.value + 1)]
    assert repr(right.value) in told[0].reason


def test_formulas_is_told_the_number_of_rows_that_it_takes_for_a_loop() -> None:
    book = small({"A3": 'IF(ROWS(A$1:A3)=3,"third","other")', "B1": '"ROWS(A1:A9)"&ROWS(A1:A9)'})
    found = witness_formulas(book).results
    assert found[at("A3")].value == "third"
    assert found[at("B1")].value == "ROWS(A1:A9)9"


def test_formulas_still_takes_a_count_of_rows_for_a_loop() -> None:
    """When this goes red the library is mended, and the repair may go."""
    import formulas

    book = formulas.ExcelModel().from_dict({"'[B.XLSX]S'!A3": "=ROWS(A$1:A3)", "'[B.XLSX]S'!B3": "=1+1"})
    solution = book.calculate()
    assert solution["'[B.XLSX]S'!B3"].value[0, 0] == 2
    answer = solution.get("'[B.XLSX]S'!A3")
    assert getattr(answer, "value", None) is None or answer.value[0, 0] != 3
