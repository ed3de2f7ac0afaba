"""What-if: every case is what the scalar program says for that input, and nothing stored plays a part."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path

import pytest

from quotebook.engine import Status, evaluate
from quotebook.engine import registry as allowed
from quotebook.errors import InputError
from quotebook.flows.opening import open_workbook
from quotebook.flows.whatif import what_if
from tests.flows.poisoned import poisoned_copy
from tests.made import place, with_inputs


def recomputed(path: Path, field: str, lot: int) -> object:
    opened = open_workbook(path)
    return evaluate(opened.book).results[place(opened, field, lot=lot)].value


def test_each_case_is_what_a_workbook_with_that_input_says(golden_file: Path, tmp_path: Path) -> None:
    """Source: the recomputed price of copies of the workbook in which the input was typed."""
    found = what_if(golden_file, ["spare_pieces=0:4:3", "expedite_share=0.1:0.3:2"], ["unit_price[1]", "lot_cost[2]"])
    assert found.cases == [(0.0, 0.1), (0.0, 0.3), (2.0, 0.1), (2.0, 0.3), (4.0, 0.1), (4.0, 0.3)]
    for number, (spare, share) in enumerate(found.cases):
        typed = {("spare_pieces", 0): spare, ("expedite_share", 0): share}
        copy = with_inputs(golden_file, tmp_path / f"{number}.xlsx", typed)
        assert found.shown[0].values[number] == recomputed(copy, "unit_price", 1)
        assert found.shown[1].values[number] == recomputed(copy, "lot_cost", 2)
    assert 0 < found.varying < found.formulas


def test_a_quantity_curve_falls_as_setup_is_shared(golden_file: Path) -> None:
    """Common practice, no source: setup spread over more pieces, the cost of a piece falls."""
    found = what_if(golden_file, ["quantity=1:200:6"])
    cost = [float(str(each)) / case[0] for each, case in zip(found.shown[1].values, found.cases, strict=True)]
    assert [shown.title for shown in found.shown] == ["unit price", "our cost", "margin"]
    assert cost[0] > 3 * cost[1] > 3 * cost[-1]
    assert all(case[0] == round(case[0]) for case in found.cases)
    assert any("left out" in note for note in found.notes)


def test_stored_results_play_no_part(golden_file: Path, tmp_path: Path) -> None:
    dirty = poisoned_copy(golden_file, tmp_path / "dirty.xlsx")
    asked = (["quantity=1:200:6", "spare_pieces=0:2:2"], ())
    clean, after = what_if(golden_file, *asked), what_if(dirty, *asked)
    assert [shown.values for shown in clean.shown] == [shown.values for shown in after.shown]


def test_a_function_taken_off_the_list_makes_the_price_unknown(
    golden_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The unit price is rounded up to its step; the cost of a lot is not.
    shorter = {name: function for name, function in allowed.functions().items() if name != "ROUNDUP"}
    monkeypatch.setattr("quotebook.engine.emit.functions", lambda: shorter)
    monkeypatch.setattr("quotebook.engine.compile._PROGRAMS", OrderedDict())
    opened = open_workbook(golden_file)
    evaluation = evaluate(opened.book).results
    found = what_if(golden_file, ["spare_pieces=0:2:3"], ["unit_price[1]", "currency_symbol"])
    assert evaluation[place(opened, "unit_price", lot=1)].status is not Status.EVALUATED
    assert set(found.shown[0].unknown) == {0, 1, 2}
    assert "ROUNDUP" in found.shown[0].unknown[0]
    assert found.shown[0].values == (None, None, None)
    assert not found.shown[1].unknown
    assert not found.known


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("spare_peices=1:2:3", "spare_pieces"),
        ("unit_price[1]=5", "formula"),
        ("cycle_minutes=1:2:3", "brackets"),
        ("cycle_minutes[999]=1:2:3", "a row from 1"),
        ("spare_pieces[1]=1:2:3", "brackets"),
        ("spare_pieces=one:2:3", "'one'"),
        ("spare_pieces=1:2:1", "values"),
        ("spare_pieces=-1:2:4", "at least 0"),
        ("spare_pieces=nan", "a number"),
        ("spare_pieces=1e999", "a number"),
        ("customer_name=1:2:3", "holds a number"),
        ("Nowhere!A1=1", "a sheet of the workbook"),
        ("spare_pieces", "FIELD=first:last:count"),
        ("=1+1=2", "FIELD"),
        ("spare_pieces=__import__('os').getcwd()", "a number"),
        ("spare_pieces=0:9:99999999", "values"),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused_in_four_parts(golden_file: Path, words: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        what_if(golden_file, [words])
    message = refused.value.problems[0]
    assert said in message
    assert "found " in message
    assert "expected " in message
    assert message.count(";") >= 2


def test_one_input_cannot_be_set_twice(golden_file: Path) -> None:
    with pytest.raises(InputError, match="twice"):
        what_if(golden_file, ["quantity=1:3:3", "break_quantity[1]=5"])
