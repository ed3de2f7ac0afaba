"""What is remembered about kept promises hides no broken one: neither in this process nor on disk.

Source: by hand; each workbook is the metric example with one cell changed, and what a look without a memory finds.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.flows.opening import Opened, open_workbook
from quotebook.values import Address
from quotebook.workbook import promise_memory
from quotebook.workbook.changes import Change, NewFormula, NewInput
from quotebook.workbook.patch import write_copy
from quotebook.workbook.promises import Broken, broken_promises
from tests.made import place


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QUOTEBOOK_CACHE", str(tmp_path / "cache"))
    promise_memory._SOUND.clear()


def broken(opened: Opened) -> list[Broken]:
    """Look with the memory."""
    assert opened.contract is not None
    assert opened.located is not None
    return promise_memory.broken_cells(opened.contract, opened.located, opened.snapshot, opened.book)


def afresh(opened: Opened) -> list[Broken]:
    """Look without the memory."""
    assert opened.contract is not None
    assert opened.located is not None
    return list(broken_promises(opened.contract, opened.located, opened.snapshot))


def nothing_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(promise_memory, "broken_promises", lambda *given: pytest.fail("worked out again"))


def test_a_sound_workbook_is_worked_out_once(metric_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = open_workbook(metric_file)
    assert broken(opened) == afresh(opened) == []
    nothing_is_worked_out(monkeypatch)
    assert broken(opened) == []
    promise_memory._SOUND.clear()  # as a new process, with the file on disk alone
    assert broken(open_workbook(metric_file)) == []


def test_other_inputs_need_no_second_look(metric_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = open_workbook(metric_file)
    broken(opened)
    copy = tmp_path / "other.xlsx"
    write_copy(metric_file, copy, {place(opened, "packing_per_lot"): NewInput(77.0)})
    nothing_is_worked_out(monkeypatch)
    assert broken(open_workbook(copy)) == []


def changes(opened: Opened) -> dict[str, tuple[Address, Change]]:
    """One changed cell each."""
    price = place(opened, "unit_price", lot=1)
    return {
        "typed over": (price, NewInput(12.0, over_formula=True)),
        "changed": (price, NewFormula("1+1", 2.0)),
        "emptied": (price, NewInput(None, over_formula=True)),
    }


@pytest.mark.parametrize("which", ["typed over", "changed", "emptied"])
def test_a_changed_formula_is_seen_after_a_sound_workbook(which: str, metric_file: Path, tmp_path: Path) -> None:
    opened = open_workbook(metric_file)
    assert broken(opened) == []
    address, change = changes(opened)[which]
    copy = tmp_path / "changed.xlsx"
    write_copy(metric_file, copy, {address: change})
    found = open_workbook(copy)
    for _ in range(2):
        assert [one.address for one in broken(found)] == [address]
        assert broken(found) == afresh(found)


def test_an_edited_contract_is_never_believed(metric_file: Path, tmp_path: Path) -> None:
    opened = open_workbook(metric_file)
    assert opened.contract is not None
    broken(opened)
    name = next(name for name, placed in opened.contract.fields.items() if name == "unit_price" and placed)
    sheet = next(s for s in opened.snapshot.sheets if any(cell.value == name for cell in s.cells.values()))
    texts = {key: cell.value for key, cell in sheet.cells.items()}
    formula = opened.contract.fields[name].field.formula
    key = next(key for key, value in texts.items() if value == formula)
    copy = tmp_path / "edited.xlsx"
    write_copy(metric_file, copy, {Address(sheet.title, *key): NewInput("1+1")})
    found = open_workbook(copy)
    assert found.contract is not None
    assert not found.contract.intact
    assert {one.field for one in broken(found)} == {"unit_price"}


@pytest.mark.parametrize("content", [b"", b"kept", b"0" * 64 + b"\nkept"])
def test_a_forged_file_is_no_memory(
    content: bytes, metric_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken(open_workbook(metric_file))
    facts = list((tmp_path / "cache").glob("*.fact"))
    assert len(facts) == 1
    facts[0].write_bytes(content)
    promise_memory._SOUND.clear()
    looked: list[object] = []
    monkeypatch.setattr(promise_memory, "broken_promises", lambda *given: looked.append(given) or [])
    assert broken(open_workbook(metric_file)) == []
    assert looked
