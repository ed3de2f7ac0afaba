"""Planting itself, without any check: each planter changes exactly what it says, and the judge's arithmetic is right.

Sources: the list of kinds in the audit notes, worked examples by hand.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from random import Random

import pytest

from quotebook.engine import evaluate
from quotebook.values import Address
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.reader import read_snapshot
from tests.faults import kinds_formula
from tests.faults.bases import HOMEMADE, NATURAL, make_generated, make_homemade, make_natural
from tests.faults.fault import Fault
from tests.faults.ground import Ground, ground_of
from tests.faults.natural_trial import mistakes
from tests.faults.pieces import joined, pieces_of, ref_of, sums
from tests.faults.plant import BY_NUMBER, KINDS, Planted, plant
from tests.faults.printing import f_measure, wilson


@pytest.fixture(scope="module")
def grounds(tmp_path_factory: pytest.TempPathFactory) -> list[Ground]:
    """Four home-made bases that between them have a place for every kind, and one with a contract."""
    folder = tmp_path_factory.mktemp("bases")
    names = ("one_page", "named_rates", "shop_form", "bar_work")
    bases = [make_homemade(folder, HOMEMADE.index(name)) for name in names]
    return [ground_of(base) for base in [*bases, make_generated(folder, 1, few_rows=True)]]


@pytest.fixture(scope="module")
def planted(grounds: list[Ground], tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Ground, Planted]]:
    folder = tmp_path_factory.mktemp("planted")
    found = []
    for kind in KINDS:
        for ground in grounds[:4]:
            one, _ = plant(ground, kind, 1, folder)
            if one is not None:
                found.append((ground, one))
    return found


def test_every_kind_finds_a_place(planted: list[tuple[Ground, Planted]]) -> None:
    assert {one.kind.number for _, one in planted} == set(range(1, 26))


def test_only_the_named_cells_change(planted: list[tuple[Ground, Planted]]) -> None:
    for ground, one in planted:
        copy = read_snapshot(one.stale)
        changed = {
            Address(sheet.title, *key)
            for sheet in copy.sheets
            for key in {*sheet.cells, *_cells(ground, sheet.title)}
            if _content(copy, sheet.title, key) != _content(ground.snapshot, sheet.title, key)
        }
        expected = set(one.fault.changes)
        # A run's first cell may keep its text when only the anchors of the others can be seen to move.
        assert changed <= expected, one.kind.name
        assert changed or one.fault.workbook_edit, one.kind.name
        if one.kind.number not in (10, 11):
            assert changed == expected, one.kind.name


def test_other_parts_keep_their_bytes(planted: list[tuple[Ground, Planted]]) -> None:
    for ground, one in planted:
        before, after = _parts(ground.base.path), _parts(one.stale)
        touched = {address.sheet for address in one.fault.changes}
        own = {sheet.part for sheet in ground.snapshot.sheets if sheet.title in touched}
        if one.fault.workbook_edit is not None:
            own.add("xl/workbook.xml")
        assert set(before) == set(after)
        assert {name for name in before if before[name] != after[name]} == own, one.kind.name


def test_results_are_fresh_in_one_copy_and_old_in_the_other(planted: list[tuple[Ground, Planted]]) -> None:
    for ground, one in planted:
        if one.recomputed is not None:
            fresh = read_snapshot(one.recomputed)
            for address, result in evaluate(formula_book(fresh)).results.items():
                cell = fresh.cell(address)
                if result.status.value == "evaluated" and cell is not None:
                    assert (cell.value or 0) == (result.value or 0), (one.kind.name, address)
        old = read_snapshot(one.stale)
        for address in ground.prices:
            cell = old.cell(address)
            if address not in one.fault.changes:
                assert cell is not None
                assert cell.value == ground.values[address], one.kind.name


def test_prices_are_those_of_the_files(planted: list[tuple[Ground, Planted]]) -> None:
    for ground, one in planted:
        results = evaluate(formula_book(read_snapshot(one.stale))).results
        now = [results[cell].value if cell in results else ground.values[cell] for cell in ground.prices]
        if not any(cell in one.fault.changes for cell in ground.prices):
            assert list(one.after) == now, one.kind.name


def test_the_same_seed_plants_the_same_fault(grounds: list[Ground], tmp_path: Path) -> None:
    for number in (4, 9, 17):
        first, _ = plant(grounds[0], BY_NUMBER[number], 5, tmp_path)
        again, _ = plant(grounds[0], BY_NUMBER[number], 5, tmp_path)
        assert first is not None
        assert again is not None
        assert first.fault == again.fault


@pytest.mark.parametrize("number", [1, 4, 8, 10, 16, 18, 21, 23, 24, 25])
def test_workbooks_with_a_contract_take_faults(grounds: list[Ground], number: int, tmp_path: Path) -> None:
    # A draw may hit only places where the fault changes nothing; then the next seed is taken.
    drawn = (plant(grounds[-1], BY_NUMBER[number], seed, tmp_path)[0] for seed in range(1, 4))
    one = next((one for one in drawn if one is not None), None)
    assert one is not None
    assert read_snapshot(one.stale).sheets[0].title == "Start"


def test_a_fault_that_changes_nothing_is_dropped(grounds: list[Ground], tmp_path: Path) -> None:
    """A term repeated inside MAX(x, x) moves nothing: by hand."""
    from quotebook.workbook.changes import NewFormula

    ground = grounds[0]
    cell = Address("Quote", 33, 5)
    text = ground.book.formulas[cell]

    def same(ground: Ground, draw: Random) -> Fault:
        return Fault((cell,), {cell: NewFormula(f"{text}+0")}, text, f"{text}+0")

    kind = BY_NUMBER[6]._replace(plant=same)
    assert plant(ground, kind, 1, tmp_path, tries=3) == (None, 3)


def test_every_base_is_sound(tmp_path: Path) -> None:
    """No error and no missing figure in any home-made or hasty sheet; prices are numbers above 0."""
    bases = [make_homemade(tmp_path, number) for number in range(len(HOMEMADE))]
    bases += [make_natural(tmp_path, name) for name in NATURAL]
    for base in bases:
        ground = ground_of(base)
        for address, result in evaluate(ground.book).results.items():
            assert isinstance(result.value, float | str), (base.name, address)
        assert all((ground.number(cell) or 0) > 0 for cell in base.prices), base.name
    assert len(HOMEMADE) >= 10
    assert len(NATURAL) >= 6


def test_a_clean_sheet_comes_to_the_price_worked_out_by_hand(tmp_path: Path) -> None:
    """``breaks_down``: setup 297.5 at 1 piece, run 12.0417, stock 7.585, plating 2.6 + 95; / 0.7, up to 0.1."""
    ground = ground_of(make_homemade(tmp_path, HOMEMADE.index("breaks_down")))
    cost = 3.5 * 85 + 8.5 / 60 * 85 + 4.1 * 1.85 + 2.6 + 95
    assert ground.number(ground.prices[0]) == pytest.approx(-(-cost / 0.7 * 10 // 1) / 10)


def test_mistakes_name_cells_that_are_there(tmp_path: Path) -> None:
    grounds = {name: ground_of(make_natural(tmp_path, name)) for name in NATURAL}
    assert {each["sheet"] for each in mistakes()} == set(NATURAL)
    for each in mistakes():
        title, _, area = each["cells"][0].rpartition("!")
        ref = ref_of(pieces_of(area)[0])
        cells = [cell._replace(sheet=title) for cell in ref.cells(title)]
        assert any(grounds[each["sheet"]].values.get(cell) is not None for cell in cells), each["what"]


def test_pieces_join_to_the_same_formula(grounds: list[Ground]) -> None:
    for ground in grounds:
        for formula in list(ground.book.formulas.values())[:400]:
            assert joined(pieces_of(formula)).replace(" ", "") == formula.replace(" ", "")


@pytest.mark.parametrize(
    ("formula", "terms"),
    [
        ("A1+B1-C1", [["A1", "B1", "C1"]]),
        ("-A1*2+B1", [["-A1*2", "B1"]]),
        ("SUM(A1:A9)", []),
        ("ROUND((A1+B1)*C1,2)", [["A1", "B1"]]),
        ("IF(A1+B1>C1,D1,E1-F1)", [["A1", "B1"], ["E1", "F1"]]),
        ("1E-3*A1", []),
    ],
)
def test_terms_of_sums(formula: str, terms: list[list[str]]) -> None:
    pieces = pieces_of(formula)
    assert [[joined(pieces[begin:end]) for begin, end in one.terms] for one in sums(pieces)] == terms


@pytest.mark.parametrize(
    ("edit", "formula", "allowed"),
    [
        (kinds_formula.drop_term, "A1+B1+C1", {"B1+C1", "A1+C1", "A1+B1"}),
        (kinds_formula.swap_test, "IF(A1<B1,1,2)", {"IF(A1>B1,1,2)", "IF(A1<=B1,1,2)"}),
        (kinds_formula.wrong_function, "ROUND(A1,2)", {"ROUNDUP(A1,2)", "ROUNDDOWN(A1,2)"}),
        (kinds_formula.swap_operator, "A1*B1", {"A1+B1", "A1-B1", "A1/B1"}),
        (kinds_formula.stray_sign, "A1*B1", {"-A1*B1", "A1*-B1", "ABS(A1)*B1", "A1*ABS(B1)"}),
        (kinds_formula.slip_pointer, "B2*1", {"B3*1", "B1*1", "C2*1", "A2*1"}),
    ],
)
def test_edits_of_one_formula(edit: kinds_formula.Edit, formula: str, allowed: set[str], grounds: list[Ground]) -> None:
    cell = Address("Quote", 99, 9)
    found = {edit(grounds[0], cell, pieces_of(formula), Random(seed)) for seed in range(60)}
    assert found <= allowed
    assert len(found) > 1


def test_intervals() -> None:
    """By hand: 8 of 10 with z = 1.96 lies within 0.490 and 0.943; F of 0.5 and 1 is 2/3."""
    low, high = wilson(8, 10)
    assert low == pytest.approx(0.490, abs=0.001)
    assert high == pytest.approx(0.943, abs=0.001)
    assert f_measure(0.5, 1.0) == pytest.approx(2 / 3)


def _content(snapshot: object, title: str, key: tuple[int, int]) -> tuple[object, object]:
    cell = snapshot.cell(Address(title, *key))  # type: ignore[attr-defined]
    return (None, None) if cell is None else (cell.value, cell.formula)


def _cells(ground: Ground, title: str) -> set[tuple[int, int]]:
    sheet = ground.snapshot.sheet(title)
    return set(sheet.cells) if sheet else set()


def _parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}
