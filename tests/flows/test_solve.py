"""Solving: what is found gives the target when it is typed; none and several are said."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.errors import InputError
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.flows.solve import Solution, solve
from quotebook.flows.solve_saved import save_solution, shortest
from quotebook.flows.whatif import what_if
from tests.engine.small import at, small
from tests.engine.workbooks import write
from tests.flows.poisoned import poisoned_copy


def made(folder: Path, formula: str, start: float = 3.0) -> Path:
    """A book without a contract: one input, one formula."""
    path = folder / "small.xlsx"
    write(small({"B1": formula}, {"A1": start}), path)
    return path


@pytest.mark.parametrize(
    ("formula", "target", "between", "expected"),
    [
        ("A1*2+1", 9.0, None, [4.0]),
        ("A1^2", 2.0, "-5:5", [-(2**0.5), 2**0.5]),
        ("A1^2", -1.0, "-5:5", []),
        ("EXP(A1)", 10.0, "0:5", [2.302585092994046]),
        ("1/(A1-2)", 4.0, "0:5", [2.25]),
        ("5", 7.0, None, []),
    ],
)
def test_roots_by_hand(tmp_path: Path, formula: str, target: float, between: str | None, expected: list[float]) -> None:
    """Worked out by hand."""
    solved = solve(made(tmp_path, formula), "S!A1", f"S!B1={target}", between)
    assert [each.low for each in solved.hits] == pytest.approx(expected, rel=1e-7, abs=1e-7)
    assert [each.high for each in solved.hits] == pytest.approx(expected, rel=1e-7, abs=1e-7)


def test_a_stretch_of_inputs_is_given_as_a_stretch(tmp_path: Path) -> None:
    """By hand: rounded to whole numbers, 2.5 up to just under 3.5 give 3."""
    solved = solve(made(tmp_path, "ROUND(A1,0)"), "S!A1", "S!B1=3", "0:10")
    assert len(solved.hits) == 1
    assert solved.hits[0].low == pytest.approx(2.5, abs=1e-6)
    assert solved.hits[0].high == pytest.approx(3.5, abs=1e-6)
    assert solved.hits[0].low >= 2.5 - 1e-12


def test_a_result_that_jumps_over_the_target_is_no_solution(tmp_path: Path) -> None:
    solved = solve(made(tmp_path, "IF(A1<2,1,5)"), "S!A1", "S!B1=3", "0:10")
    assert not solved.hits
    assert [(each.below, each.above) for each in solved.solutions] == [(1.0, 5.0)]
    assert solved.solutions[0].low == pytest.approx(2.0, abs=1e-9)
    assert solved.reached == (1.0, 5.0)


def test_a_pole_is_no_solution(tmp_path: Path) -> None:
    """1/(x-2) changes its sign at 2 without ever being 0; by hand."""
    solved = solve(made(tmp_path, "1/(A1-2)"), "S!A1", "S!B1=0", "0:5")
    assert not solved.hits


def test_the_solution_typed_into_the_workbook_gives_the_target(golden_file: Path) -> None:
    now = what_if(golden_file, ["quantity=40:40:2"], ["lot_cost[1]"]).shown[0].values[0]
    solved = solve(golden_file, "quantity", f"lot_cost[1]={now!r}", "1:100")
    assert [each.low for each in solved.hits] == [40.0]
    assert solved.points == 100


def test_stored_results_play_no_part(golden_file: Path, tmp_path: Path) -> None:
    dirty = poisoned_copy(golden_file, tmp_path / "dirty.xlsx")
    asked = ("quantity", "unit_price[1]=100", "1:100")
    clean, after = solve(golden_file, *asked), solve(dirty, *asked)
    assert clean.solutions
    assert clean.solutions == after.solutions
    assert clean.reached == after.reached


def test_an_unknown_function_gives_no_solution_and_says_why(tmp_path: Path) -> None:
    solved = solve(made(tmp_path, "IFERROR(NOSUCH(A1),A1)"), "S!A1", "S!B1=3", "0:10")
    assert not solved.solutions
    assert solved.reached is None
    assert any("NOSUCH" in note for note in solved.notes)


@pytest.mark.parametrize(
    ("wanted", "until", "between", "said"),
    [
        ("S!B1", "S!B1=3", None, "formula"),
        ("S!A1", "S!B1", None, "FIELD=VALUE"),
        ("S!A1", "S!B1=x", None, "'x'"),
        ("S!A1", "S!B1=3", "5", "low:high"),
        ("S!A1", "S!B1=3", "5:1", "turn them round"),
        ("nothing", "S!B1=3", None, "a cell such as"),
    ],
)
def test_wrong_words_are_refused(tmp_path: Path, wanted: str, until: str, between: str | None, said: str) -> None:
    with pytest.raises(InputError, match=said):
        solve(made(tmp_path, "A1*2"), wanted, until, between)


def test_the_target_cell_is_a_cell_of_the_small_book() -> None:
    assert str(at("B1")) == "S!B1"


def test_what_was_found_is_typed_into_a_copy_and_gives_the_target(golden_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "found.xlsx"
    solved = solve(golden_file, "packing_per_lot", "lot_cost[2]=3000", "0:5000")
    value = save_solution(solved, target)
    opened = open_workbook(target)
    assert opened.book.inputs[solved.input.address] == value
    cell = opened.snapshot.cell(solved.output.address)
    assert cell is not None
    assert cell.value == pytest.approx(3000, abs=1e-6)
    assert recompute(target).agree is True
    with pytest.raises(InputError, match="no input that gives the target"):
        save_solution(solve(golden_file, "packing_per_lot", "lot_cost[2]=1", "0:10"), tmp_path / "none.xlsx")
    assert not (tmp_path / "none.xlsx").exists()


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(2.4999, 3.4999, 3.0), (73.55577251, 73.5558, 73.5558), (4.0, 4.0, 4.0), (0.0312, 0.0349, 0.033)],
)
def test_of_a_stretch_the_shortest_number_is_typed(low: float, high: float, expected: float) -> None:
    """By hand: the number with the fewest decimals from low to high; 0.03 lies below, 0.033 is the middle's."""
    assert shortest(Solution(low, high, True, 0.0, 0.0)) == expected
