"""A blank workbook filled in as a person does it: in LibreOffice, cell by cell, in the order that Start tells."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from quotebook.flows.demo import examples_folder
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import Job, Shop, read_job, read_shop, to_data
from quotebook.pricing import price_job
from quotebook.values import Address
from tests.libreoffice import needs_libreoffice
from tests.made import place, stored
from tests.office_bridge import drive

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]


def typed_text(value: Any, kind: str) -> str:
    """Return what a person types for a value: yes for a logical, 15% for a share, a date as year-month-day."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.date):
        return value.isoformat()
    if kind == "share":
        return f"{value * 100:.12g}%"
    return repr(value) if isinstance(value, float) else str(value)


def values_to_type(opened: Opened, data: Mapping[str, Any]) -> dict[Address, str]:
    """Return the text for every input cell that the job and the shop have something for."""
    assert opened.located is not None
    found: dict[Address, str] = {}
    for name, placed in opened.located.fields.items():
        if not placed.field.is_input:
            continue
        bind = placed.field.bind
        if placed.shape == "scalar":
            rows = [at(data, bind)]
        else:
            rows = [row if bind == "." else row.get(bind) for row in at(data, placed.table_bind) or []]
        for index, value in enumerate(rows):
            if value not in (None, ""):
                found[place(opened, name, index)] = typed_text(value, placed.field.type)
    return found


def at(data: Any, path: str) -> Any:
    for step in path.split("."):
        data = data.get(step) if isinstance(data, Mapping) else None
    return data


def order_of_start(opened: Opened) -> list[str]:
    """Return the sheets in the order in which the numbered lines of Start name them."""
    titles = [sheet.title for sheet in opened.snapshot.sheets]
    start = opened.snapshot.sheet("Start")
    assert start is not None
    lines = [str(cell.value) for _, cell in sorted(start.cells.items()) if re.match(r"[1-9]  ", str(cell.value))]
    assert len(lines) >= 7
    order: list[str] = []
    for line in lines:
        words = [(match.start(), title) for title in titles for match in re.finditer(rf"\b{title}\b", line)]
        order += [title for _, title in sorted(words) if title not in order]
    return order


@dataclass(frozen=True)
class Session:
    """What was typed, what the office answered, and the file that was saved."""

    shop: Shop
    job: Job
    blank: Opened
    typed: list[Address]
    answers: list[dict[str, Any]]
    before: dict[str, Any]
    moved: dict[str, Any]
    back: dict[str, Any]
    saved: Path


#: Between the low and the high cycle of that operation in the example, so that nothing is out of order.
NEW_CYCLE = 6.5


@pytest.fixture(scope="module")
def session(blank_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Session:
    folder = examples_folder()
    shop, job = read_shop(folder / "shop.toml"), read_job(folder / "sensor-spigot" / "job.toml")
    blank = open_workbook(blank_file)
    texts = values_to_type(blank, {"shop": to_data(shop), "job": to_data(job)})
    order = order_of_start(blank)
    assert {cell.sheet for cell in texts} <= set(order), "Start names no order for a sheet with inputs"
    typed = sorted(texts, key=lambda cell: (order.index(cell.sheet), cell.row, cell.column))
    price, cycle = place(blank, "unit_price", lot=1), cycle_cell(blank, job)
    steps = [
        *({"do": "type", **plain(cell), "text": texts[cell]} for cell in typed),
        {"do": "read", **plain(price)},
        {"do": "type", **plain(cycle), "text": str(NEW_CYCLE)},
        {"do": "read", **plain(price)},
        {"do": "type", **plain(cycle), "text": texts.get(cycle, "")},
        {"do": "read", **plain(price)},
    ]
    saved = tmp_path_factory.mktemp("keyboard") / "filled.xlsx"
    answers = drive(blank_file, steps, saved)
    before, _, moved, _, back = answers[len(typed) :]
    return Session(shop, job, blank, typed, answers[: len(typed)], before, moved, back, saved)


def plain(cell: Address) -> dict[str, Any]:
    return {"sheet": cell.sheet, "row": cell.row, "column": cell.column}


def cycle_cell(blank: Opened, job: Job) -> Address:
    """The number that is typed to move the price."""
    return place(blank, "cycle_minutes", row_with_cycle(job))


def row_with_cycle(job: Job) -> int:
    return next(index for index, step in enumerate(job.operations) if step.cycle_minutes is not None)


def test_every_cell_that_a_person_fills_is_unlocked_and_the_price_is_not(session: Session) -> None:
    assert len(session.typed) > 200
    assert [str(cell) for cell, answer in zip(session.typed, session.answers, strict=True) if answer["locked"]] == []
    assert session.before["locked"]
    assert session.before["formula"].startswith("=")


def test_what_was_typed_is_the_job_and_the_shop(session: Session) -> None:
    opened = open_workbook(session.saved)
    assert opened.problems == ()
    assert opened.job == session.job
    assert opened.shop == session.shop


def test_start_shows_nothing_missing_and_the_price_is_the_reference_price(session: Session) -> None:
    """The results are those that LibreOffice computed while typing; nothing was recalculated as a whole."""
    opened = open_workbook(session.saved)
    price = price_job(session.job, session.shop)
    names = {name.name: name.text for name in opened.snapshot.names}
    row = int(names["missing_price"].rsplit("$", 1)[1])
    assert opened.snapshot.cell(Address("Start", row, 2)).value == 0.0  # type: ignore[union-attr]
    assert "missing for the price" not in str(stored(opened, "sheet_status"))
    assert [stored(opened, "unit_price", lot=number + 1) for number in range(len(price.lots))] == pytest.approx(
        [lot.unit_price for lot in price.lots], rel=1e-12
    )
    assert len(price.lots) >= 3


def test_recompute_agrees_with_what_libreoffice_computed(session: Session) -> None:
    result = recompute(session.saved)
    assert result.disagreements == []
    assert result.unknown == []
    assert result.agree is True
    assert result.compared_stored > 3000
    assert result.compared_reference > 150


def test_typing_a_number_moves_the_price_to_the_new_reference_price(session: Session) -> None:
    longer = list(session.job.operations)
    row = row_with_cycle(session.job)
    assert longer[row].cycle_minutes not in (None, NEW_CYCLE)
    longer[row] = longer[row].model_copy(update={"cycle_minutes": NEW_CYCLE})
    old = price_job(session.job, session.shop).lots[0].unit_price
    new = price_job(session.job.model_copy(update={"operations": tuple(longer)}), session.shop).lots[0].unit_price
    assert old is not None
    assert new is not None
    assert new > old
    shown = [answer["value"] for answer in (session.before, session.moved, session.back)]
    assert shown == pytest.approx([old, new, old], rel=1e-12)
