"""Remembering which sets of formulas were found to keep every promise of their contract.

Working out three thousand expected formulas takes longer than evaluating them, and a folder of workbooks from one
template holds the same formulas again and again. Which cells are broken follows from the contract, the names, the
sheets and the formulas alone, all of which the key covers. Only "nothing is broken" is remembered: a workbook with a
broken promise is looked at afresh each time.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from quotebook.engine import disk_cache
from quotebook.engine.book import FormulaBook
from quotebook.engine.digest import text_digest
from quotebook.workbook.contract import Contract
from quotebook.workbook.located import Located
from quotebook.workbook.promises import Broken, broken_promises
from quotebook.workbook.snapshot import Snapshot

#: Keys found sound in this process.
_SOUND: set[str] = set()
MOST_SOUND = 1_000
#: Our files that decide what is expected; after a change in one of them nothing old is believed.
_DECIDING = (
    "values.py", "template/references.py", "template/plan.py", "template/spec.py", "workbook/aligned.py",
    "workbook/contract.py", "workbook/located.py", "workbook/promises.py", "workbook/formula_book.py",
)  # fmt: skip


def broken_cells(contract: Contract, located: Located, snapshot: Snapshot, book: FormulaBook) -> list[Broken]:
    """Return what ``broken_promises`` yields. ``book``: the snapshot's formulas as the engine is given them."""
    if not contract.intact:  # its digest says nothing about what it holds
        return list(broken_promises(contract, located, snapshot))
    key = sha256(f"promises {contract.digest} {text_digest(book)} {_deciding_digest()}".encode()).hexdigest()
    if key in _SOUND or disk_cache.remembered(key):
        _remember(key)
        return []
    broken = list(broken_promises(contract, located, snapshot))
    if not broken:
        _remember(key)
        disk_cache.remember(key)
    return broken


def _remember(key: str) -> None:
    if len(_SOUND) >= MOST_SOUND:
        _SOUND.clear()
    _SOUND.add(key)


@lru_cache(maxsize=1)
def _deciding_digest() -> str:
    here = Path(__file__).parent.parent
    return disk_cache.source_digest([here / name for name in _DECIDING])
