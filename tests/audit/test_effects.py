"""The effect on the price that a finding tells is the true difference, to the cent."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from quotebook.audit.runner import audit_view
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from quotebook.values import Address
from quotebook.workbook.changes import Change
from tests.audit.contract_base import Spoiled, base_view, formula, spoil, typed, write_base

#: Spoiled copies; every one changes one formula on the way to a price: cells that hold a number other than 0, which
#: mostly move it, and any others.
COPIES, OTHERS, LEAST_MOVED = 21, 3, 8


def spoilt_cell(random_: random.Random, cell: Address, text: str, value: object) -> Change:
    """One of four faults: another figure, an emptied cell, a figure added, a sign turned."""
    kind = random_.randrange(4)
    if kind == 0 and isinstance(value, float):
        return typed(value * random_.choice([0.9, 1.1, 1.5]) + 1.0)
    if kind == 1:
        return typed(None)
    return formula(f"{text}+{random_.randrange(1, 9)}") if kind == 2 else formula(f"-({text})")


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("effects"))


def test_the_effect_on_the_price_is_the_true_difference(base: Path, tmp_path: Path) -> None:
    whole = base_view(base)
    random_ = random.Random(20)
    on_path = sorted(cell for cell in whole.price_path if cell in whole.book.formulas and cell in whole.fields_at)
    moved = exact = 0
    numbers = [cell for cell in on_path if isinstance(whole.value(cell), float) and whole.value(cell)]
    others = sorted(set(on_path) - set(numbers))
    for number, cell in enumerate([*random_.sample(numbers, COPIES), *random_.sample(others, OTHERS)]):
        change = spoilt_cell(random_, cell, whole.book.formulas[cell], whole.value(cell))
        view = view_of(open_workbook(spoil(base, tmp_path / f"{number}.xlsx", Spoiled(cells={cell: change}))))
        found = [one for one in audit_view(view).findings if one.sheet == cell.sheet and one.put_right]
        assert [one for one in found if cell in one.put_right], f"{cell} was not found"
        before = [whole.number(price.address) for price in whole.price_cells]
        after = [view.number(price.address) for price in view.price_cells]
        moves = [a - b for a, b in zip(before, after, strict=True) if a is not None and b is not None and a != b]
        if not moves or None in after:
            continue
        moved += 1
        told = next(one.effect_on_price for one in found if cell in one.put_right)
        exact += told is not None and abs(told - moves[0]) < 0.005
    assert moved >= LEAST_MOVED, "too few faults moved a price"
    assert exact == moved
