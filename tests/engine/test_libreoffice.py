"""All cases once more, computed by LibreOffice: our answers are not only our own belief.

Where LibreOffice answers otherwise, the case says why; such a case must differ, so that the remark goes when it no
longer holds.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.engine import Status, evaluate
from quotebook.engine.agreement import Absent, Agreement, Answer, Verdict, compare
from quotebook.values import Address, Value
from tests.engine.random_formulas import Maker
from tests.engine.tables import COLUMN, FAMILIES, Case, case_book
from tests.engine.tables import book as table_book
from tests.engine.workbooks import read_values, write
from tests.libreoffice import needs_libreoffice, recalculate

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[Address, Value]]:
    folder = tmp_path_factory.mktemp("cases")
    paths = {family: folder / f"{family}.xlsx" for family in FAMILIES}
    for family, path in paths.items():
        write(case_book(family)[0], path)
    copies = recalculate(list(paths.values()), folder / "out")
    return {family: read_values(copies[path]) for family, path in paths.items()}


def judged(case: Case, stored: Answer) -> Agreement:
    """Compare as the audit does; an empty text is not stored, and arrives as no value at all."""
    if isinstance(stored, Absent) and case.expected == "":
        return Agreement(Verdict.AGREES, "text")
    if case.near > 1e-9:
        return Agreement(Verdict.AGREES, "number")  # the published figure has too few digits to judge LibreOffice by
    return compare(case.expected, stored)


@pytest.mark.parametrize("family", FAMILIES)
def test_libreoffice_gives_the_same_answers(family: str, recalculated: dict[str, dict[Address, Value]]) -> None:
    stored = recalculated[family]
    _, placed = case_book(family)
    trouble: list[str] = []
    compared = 0
    for cell, case in placed.items():
        answer: Answer = stored.get(cell, Absent.ABSENT)
        agreement = judged(case, answer)
        compared += 1
        agrees = agreement.verdict is Verdict.AGREES
        if agrees and case.libreoffice is not None:
            trouble.append(f"{case.formula}: LibreOffice agrees, though the case says that it {case.libreoffice}")
        elif not agrees and case.libreoffice is None:
            trouble.append(f"{case.formula}: {case.expected!r}, LibreOffice {answer!r} ({agreement.kind})")
    assert compared == len(placed) >= 12
    assert not trouble, "\n".join(trouble)


def test_recalculation_replaces_what_the_file_stored(tmp_path: Path) -> None:
    """The helper itself: a copy without results gets them, so no comparison above reads a stored zero."""
    book, placed = case_book("arrays")
    path = tmp_path / "arrays.xlsx"
    write(book, path)
    assert not set(read_values(path)) & set(placed)
    assert set(placed) <= set(read_values(recalculate([path], tmp_path / "out")[path]))


def test_random_formulas_have_the_same_results(tmp_path: Path) -> None:
    """Nested as people nest them, or worse. Errors may be other ones: LibreOffice stores one code for several."""
    count = 1500
    maker = Maker(seed=20240531)
    placed = {Address("Data", 201 + index, COLUMN): maker.formula() for index in range(count)}
    book = table_book(placed)
    path = tmp_path / "random.xlsx"
    write(book, path)
    stored = read_values(recalculate([path], tmp_path / "out")[path])
    ours = evaluate(book).results
    judged, trouble = 0, []
    for cell, formula in placed.items():
        if ours[cell].status is not Status.EVALUATED:
            assert "the engine failed" not in ours[cell].reason, formula
            continue
        answer: Answer = stored.get(cell, "" if ours[cell].value == "" else Absent.ABSENT)
        agreement = compare(ours[cell], answer)
        judged += 1
        if agreement.verdict is not Verdict.AGREES and agreement.kind != "another error":
            trouble.append(f"{formula}: {ours[cell].value!r}, LibreOffice {answer!r}")
    assert judged > count * 0.98
    assert not trouble, "\n".join(trouble)
