"""Making a workbook: blank, from a job file, or with the inputs of an earlier workbook.

The results of all formulas are computed before the file is written and stored with them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from quotebook import __version__
from quotebook.engine import evaluate
from quotebook.engine.book import FormulaBook, Status
from quotebook.errors import NotAWorkbook, TemplateError
from quotebook.model.extras import FORGOTTEN
from quotebook.template.fill import fill
from quotebook.template.formulas import plan_formulas
from quotebook.template.layout import lay_out
from quotebook.template.load import DEFAULT_TEMPLATE, load_template
from quotebook.template.plan import Plan
from quotebook.values import Address, ErrorValue, Value
from quotebook.workbook.atomic import atomic_bytes
from quotebook.workbook.contract import SHEET, contract_rows
from quotebook.workbook.generate import A4, LETTER, workbook_bytes
from quotebook.workbook.looks import MoneyLook

#: What a blank workbook says where a word must stand; the same defaults as the job and shop files have.
_BLANK: Mapping[str, Mapping[str, Any]] = {
    "job": {
        "job": {"freight_terms": "in the price", "offer": "firm", "expedite": False},
        "inspection": {"plan": "every piece"},
        "extra": [{"item": item} for item in FORGOTTEN],
    },
    "shop": {
        "money": {"currency_symbol": "$", "currency_code": "USD", "decimals": 2},
        "policy": {
            "pricing_basis": "sell rates", "profit_rule": "margin", "profit_share": 0.25,
            "nonrecurring_charging": "own line", "nonrecurring_carries_profit": True, "price_step": 0.01,
            "expedite_share": 0.25, "bar_charging": "whole bars", "pieces_charged": "surviving",
            "touch_off_minutes": 4, "prove_in_minutes": 20, "approach_mm": 2, "bore_minutes": 20, "dowel_minutes": 15,
            "thread_minutes": 8, "groove_minutes": 15, "smallest_lot": 1, "largest_lot": 100000,
            "margin_floor": 0.1, "quotation_valid_days": 30,
        },
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Made:
    """A workbook made: its bytes, how many formulas it holds, and what its state line says (empty: it has none)."""

    content: bytes
    formulas: int
    state: str = ""


def make_workbook(
    shop: Mapping[str, Any] | None = None,
    job: Mapping[str, Any] | None = None,
    *,
    template: str = DEFAULT_TEMPLATE,
    rows: Mapping[str, int] | None = None,
) -> Made:
    """Return a workbook for a shop profile and a job given as plain data (as in their files); None leaves it blank.

    ``rows``: row capacities to change, as {"routing": 40}.
    Errors: TemplateError for a capacity that is unknown, too large, or too small for the data.
    """
    data = {"job": _BLANK["job"] if job is None else job, "shop": _BLANK["shop"] if shop is None else shop}
    paper = LETTER if data["job"].get("job", {}).get("units") == "in" else A4
    return fill_template(template, data, _money(data["shop"]), paper, rows)


def fill_template(
    template: str,
    data: Mapping[str, Any],
    money: MoneyLook,
    paper: int = A4,
    rows: Mapping[str, int] | None = None,
) -> Made:
    """Return a workbook of any template filled with the data that its fields are bound to.

    Errors: TemplateError for a capacity that is unknown, too large, or too small for the data.
    """
    plan = _plan(template, tuple(sorted((rows or {}).items())))
    inputs = fill(plan, data)
    book = plan_formulas(plan, inputs)
    # The file has the contract's sheet too; counted here, the program compiled now serves whoever reads the file.
    book = replace(book, sheets=(*book.sheets, SHEET))
    values = {**inputs, **_results(book)}
    contract = contract_rows(plan, __version__, inputs)
    properties = {
        "quotebook_template": plan.template.name,
        "quotebook_revision": str(plan.template.revision),
        "quotebook_version": __version__,
        "quotebook_digest": contract[1][1],
    }
    content = workbook_bytes(plan, values, contract, properties, money, paper)
    status = plan.placed.get("sheet_status")
    state = "" if status is None else str(values.get(Address(status.sheet, status.row, status.column)) or "")
    return Made(content, len(book.formulas), state)


def _results(book: FormulaBook) -> dict[Address, Value]:
    """Return the result of every formula. Errors: TemplateError for one that no program could compute."""
    results: dict[Address, Value] = {}
    for address, result in evaluate(book).results.items():
        reason = result.reason
        if result.status is Status.EVALUATED:
            if result.value is not ErrorValue.NAME:
                results[address] = result.value
                continue
            # Inputs cannot lead to this error, so a word in a formula is no field and no defined name.
            reason = "it, or a cell that it refers to, uses a name that is not defined"
        raise TemplateError(f"{address}: the template's formula {book.formulas[address]!r}: {reason}")
    return results


def new_file(target: Path, made: Made, *, force: bool = False) -> None:
    """Write a made workbook. Errors: TargetExists unless ``force``; the write is atomic."""
    atomic_bytes(target, made.content, force=force)


def inputs_of_workbook(path: Path) -> tuple[dict[str, Any], dict[str, Any], tuple[str, ...]]:
    """Return shop and job data typed into an earlier workbook, and sentences about what is not valid in them.

    Errors: NotAWorkbook when the file carries no contract, so that its fields cannot be told apart.
    """
    from quotebook.flows.opening import open_workbook

    opened = open_workbook(path)
    if opened.inputs is None or opened.located is None:
        raise NotAWorkbook(f"{path}: carries no contract of quotebook, so its inputs cannot be carried over")
    lost = [
        f"{path.name}: the name {name} is missing or broken; its cells were left behind" for name in opened.located.lost
    ]
    return dict(opened.inputs.shop), dict(opened.inputs.job), (*lost, *opened.problems)


@lru_cache(maxsize=8)
def _plan(template: str, rows: tuple[tuple[str, int], ...]) -> Plan:
    return lay_out(load_template(template, dict(rows)))


def _money(shop: Mapping[str, Any]) -> MoneyLook:
    money, policy = shop.get("money", {}), shop.get("policy", {})
    step = policy.get("price_step", 0.01)
    decimals = money.get("decimals", 2)
    return MoneyLook.of(
        str(money.get("currency_symbol", "$")),
        decimals if isinstance(decimals, int) else 2,
        float(step) if isinstance(step, int | float) and step > 0 else 0.01,
    )
