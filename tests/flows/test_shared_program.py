"""What a new workbook compiles is what its readers run: the same text, so the same program, without compiling again."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.engine.book import FormulaBook
from quotebook.engine.digest import text_digest
from quotebook.flows import new
from quotebook.flows.opening import open_workbook
from quotebook.model import to_data
from tests.made import FEW_ROWS
from tests.samples import metric_job, metric_shop


def test_the_program_of_a_new_workbook_serves_its_readers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[FormulaBook] = []
    evaluate = new.evaluate
    monkeypatch.setattr(new, "evaluate", lambda book: (seen.append(book), evaluate(book))[1])
    filled = new.make_workbook(to_data(metric_shop()), to_data(metric_job()), rows=FEW_ROWS)
    blank = new.make_workbook(rows=FEW_ROWS)
    for name, made in (("filled.xlsx", filled), ("blank.xlsx", blank)):
        (tmp_path / name).write_bytes(made.content)
        seen.append(open_workbook(tmp_path / name).book)
    assert len(seen) == 4
    assert len({text_digest(book) for book in seen}) == 1
