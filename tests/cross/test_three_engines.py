"""One job, three engines, one price.

The evaluator computes the formulas of the made file, the reference pricing computes the model, LibreOffice recalculates
the file. None of them is the source of truth: the tests hold them against each other, on every element and quantity.
"""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import pytest

from quotebook.engine import Status, evaluate
from quotebook.flows.elements import TOTALS, Key
from quotebook.flows.opening import Opened, open_workbook
from quotebook.values import Address, ErrorValue, Value
from quotebook.workbook.row_memory import RowMemory
from tests.cross.drawn import Drawn, draw_jobs
from tests.cross.unfiled import cell, shown
from tests.libreoffice import needs_libreoffice, recalculate
from tests.made import formula_cells
from tests.poison import SENTINEL, poison

#: 250 jobs that lack nothing and 50 that may lack anything, in parts that several processes can share. One in five goes
#: through the made file and is read back; the others are evaluated as the file would hold them.
WHOLE_PARTS, JOBS_IN_A_PART, HALF_FILLED_PART = 5, 50, 5
JOBS_FOR_LIBREOFFICE = 42
#: Equal to twelve figures: far closer than a cent, yet not a demand on the last bit of a sum's order.
RELATIVE = 1e-12
#: A stored result of LibreOffice has fifteen figures, and its functions of chance agree to about twelve.
STORED = 1e-11
#: Two sums that cancel keep the noise of their parts: a hundred-thousandth of the smallest coin.
ABSOLUTE = 1e-9


def same(one: Value, other: Value, relative: float = RELATIVE) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=relative, abs_tol=ABSOLUTE)
    return type(one) is type(other) and one == other


def judge(
    one: Drawn, values: dict[Key, Value], shown: dict[Address, Value], missing: bool, relative: float = RELATIVE
) -> tuple[int, list[str]]:
    """Return how many figures were compared, and in words those that differ.

    What the reference does not know must be no number where the workbook shows a total. While something is missing
    the workbook may answer "incomplete" also where the reference still knows a part.
    """
    compared, wrong = 0, []
    for key, reference in values.items():
        name, lot, row = key
        found = shown.get(cell(one.plan, name, row, lot))
        if reference is None:
            agrees = name not in TOTALS or not isinstance(found, float)
        elif missing and found == "incomplete":
            continue
        else:
            agrees = same(found, reference, relative)
        compared += 1
        if not agrees:
            wrong.append(f"{one.job.job.part_number} {key}: workbook {found!r}, reference {reference!r}")
    return compared, wrong


def evaluated(opened: Opened) -> dict[Address, Value]:
    results = evaluate(opened.book).results
    assert all(result.status is Status.EVALUATED for result in results.values()), "a cell of our own was not evaluated"
    return dict(opened.book.inputs) | {address: result.value for address, result in results.items()}


@pytest.mark.parametrize("part", [*range(WHOLE_PARTS), HALF_FILLED_PART])
def test_the_evaluator_and_the_reference_price_random_jobs_alike(part: int, tmp_path: Path) -> None:
    drawn = draw_jobs(1000 + part, JOBS_IN_A_PART, tmp_path, part != HALF_FILLED_PART, one_file_in=5)
    compared, known, wrong = 0, 0, []
    lots: Counter[int] = Counter()
    for one in drawn:
        figures = shown(one.plan, one.shop, one.job)
        if one.path is not None:
            opened = open_workbook(one.path)
            assert opened.job == one.job, one.path.name
            assert opened.shop == one.shop, one.path.name
            read = evaluated(opened)
            assert all(read[address] == figures[address] for address in opened.book.formulas), one.path.name
        price, values = one.reference()
        more, differences = judge(one, values, figures, bool(price.all_missing))
        compared += more
        wrong += differences
        known += not price.all_missing
        lots[len(one.job.job.quantities)] += 1
    assert not wrong, f"{len(wrong)} of {compared} figures differ: {wrong[:5]}"
    assert len(drawn) == JOBS_IN_A_PART
    if part == HALF_FILLED_PART:
        assert 0 < known < JOBS_IN_A_PART, "some prices must be known, and some not"
        assert compared >= JOBS_IN_A_PART * 50
    else:
        assert known == JOBS_IN_A_PART
        assert compared >= JOBS_IN_A_PART * 100
    assert len(lots) >= 2, "all jobs have the same number of quantities"


def noise_of_cancelling(one: Drawn, address: Address, ours: dict[Address, Value], theirs: Value) -> bool:
    """Tell whether a difference is of the one named class between programs: what is left where amounts cancel.

    The line that rounding leaves is the price less all other lines. Programs round the sixteenth digit of a price each
    in its own way; in a lot of a thousand million that digit is a coin, and here it stands alone.
    """
    line, goods = one.plan.placed["rounding_shown"], one.plan.placed["goods_price"]
    whole = ours.get(Address(goods.sheet, goods.row, address.column))
    value = ours[address]
    if (address.sheet, address.row) != (line.sheet, line.row):
        return False
    if not (isinstance(whole, float) and isinstance(value, float) and isinstance(theirs, float)):
        return False
    return abs(value - theirs) <= STORED * abs(whole)


def test_only_the_rounding_of_a_huge_price_may_differ_between_programs(tmp_path: Path) -> None:
    one = draw_jobs(77, 1, tmp_path, complete=True)[0]
    line, goods = one.plan.placed["rounding_shown"], one.plan.placed["goods_price"]
    rounding, price = Address(line.sheet, line.row, line.column), Address(goods.sheet, goods.row, goods.column)
    huge: dict[Address, Value] = {rounding: 0.0, price: 2e11}
    assert noise_of_cancelling(one, rounding, huge, 1.0)
    assert not noise_of_cancelling(one, rounding, huge | {price: 2e10}, 1.0)
    assert not noise_of_cancelling(one, rounding, huge, "incomplete")
    assert not noise_of_cancelling(one, price, huge, 2e11 + 1)


@pytest.mark.libreoffice
@needs_libreoffice
def test_libreoffice_the_evaluator_and_the_reference_agree(tmp_path: Path) -> None:
    made, bad = tmp_path / "made", tmp_path / "poisoned"
    made.mkdir()
    bad.mkdir()
    drawn = draw_jobs(77, JOBS_FOR_LIBREOFFICE, made, complete=True)
    sources = [bad / one.file.name for one in drawn]
    counts = [poison(one.file, source) for one, source in zip(drawn, sources, strict=True)]
    copies = recalculate(sources, tmp_path / "saved")
    compared, cells, wrong = 0, 0, []
    judged: list[Drawn] = []
    memories = RowMemory(), RowMemory()
    for one, source in zip(drawn, sources, strict=True):
        before, after = open_workbook(one.file, memories[0]), open_workbook(copies[source], memories[1])
        for opened in (before, after):
            assert opened.job == one.job, opened.snapshot.path
            assert opened.shop == one.shop, opened.snapshot.path
        ours = evaluated(before)
        theirs = {address: stored(after, address) for address in formula_cells(before.snapshot)}
        assert SENTINEL not in theirs.values(), "LibreOffice did not recalculate"
        assert counts[len(judged)] == len(theirs), "not every stored result was poisoned"
        judged.append(one)
        cells += len(theirs)
        wrong += [
            f"{one.file.name} {address}: LibreOffice {value!r}, evaluator {ours[address]!r}"
            for address, value in theirs.items()
            if not alike(ours[address], value) and not noise_of_cancelling(one, address, ours, value)
        ]
        price, values = one.reference()
        more, differences = judge(one, values, dict(after.book.inputs) | theirs, bool(price.all_missing), STORED)
        compared += more
        wrong += differences
    assert not wrong, f"{len(wrong)} differ: {wrong[:5]}"
    assert len(judged) == JOBS_FOR_LIBREOFFICE
    assert cells > JOBS_FOR_LIBREOFFICE * 800
    assert compared > JOBS_FOR_LIBREOFFICE * 120


def stored(opened: Opened, address: Address) -> Value:
    cell = opened.snapshot.cell(address)
    return cell.value if cell is not None else None


def alike(ours: Value, theirs: Value) -> bool:
    """Compare with what LibreOffice stores: fifteen figures, an empty text as nothing, other kinds of error."""
    if ours in (None, ""):
        return theirs in (None, "")
    if isinstance(ours, ErrorValue):
        return isinstance(theirs, ErrorValue)
    return same(theirs, ours, STORED)
