"""The demo's invented suppliers: they fill in a request as people would, cell by cell, and send it back."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from quotebook.flows.identity import read_item
from quotebook.flows.office import saved_again
from quotebook.flows.opening import Opened, open_workbook
from quotebook.model import name_key
from quotebook.values import Address
from quotebook.workbook.atomic import atomic_bytes
from quotebook.workbook.changes import Change, NewInput
from quotebook.workbook.patch import write_copy

_HEAD = {
    "reference": "answer_reference", "date": "answer_date", "currency": "answer_currency",
    "valid_until": "answer_valid_until", "person": "answer_person",
}  # fmt: skip
_ROW = {
    "price": "bid_price", "lot_minimum": "bid_minimum", "pack_size": "bid_pack", "lead_days": "bid_lead_days",
    "valid_until": "bid_valid_until", "currency": "bid_currency", "alternates": "bid_alternates",
    "remarks": "bid_remarks", "declined": "bid_declined", "reason": "bid_reason",
}  # fmt: skip


def read_answers(path: Path) -> dict[str, dict[str, Any]]:
    """Return the answers of the file by supplier."""
    with path.open("rb") as file:
        return {name_key(one["supplier"]): one for one in tomllib.load(file)["answer"]}


def cells_of_answer(opened: Opened, answer: dict[str, Any]) -> dict[Address, Any]:
    """Return what a supplier types into an opened request: cell to value."""
    assert opened.located is not None
    assert opened.inputs is not None
    fields = opened.located.fields
    cells: dict[Address, Any] = {}
    for word, name in _HEAD.items():
        if word in answer:
            cells[Address(fields[name].sheet, fields[name].row, fields[name].column)] = answer[word]
    for index, row in enumerate(opened.inputs.data["request"]["line"]):
        item = read_item(str(row["id"]))
        assert item is not None
        price = _price_for(answer, str(row["line"]), item[1])
        for word, name in _ROW.items():
            if price is not None and word in price:
                cells[Address(fields[name].sheet, fields[name].row + index, fields[name].column)] = price[word]
    return cells


def answer_request(request: Path, target: Path, answer: dict[str, Any]) -> str:
    """Write the filled-in copy of a request; returns a note on how it was saved."""
    cells = cells_of_answer(open_workbook(request), answer)
    changes: dict[Address, Change] = {address: NewInput(value) for address, value in cells.items()}
    write_copy(request, target, changes, force=True)
    if answer.get("saved_by") != "LibreOffice":
        return ""
    saved, why_not = saved_again(target.read_bytes())
    if saved is None:
        return f"not saved by LibreOffice: {why_not}"
    atomic_bytes(target, saved, force=True)
    return "saved by LibreOffice"


def _price_for(answer: dict[str, Any], line: str, quantity: int) -> dict[str, Any] | None:
    fitting = [
        one
        for one in answer.get("price", [])
        if name_key(one["line"]) == name_key(line) and one.get("from", 1) <= quantity
    ]
    return max(fitting, key=lambda one: int(one.get("from", 1))) if fitting else None
