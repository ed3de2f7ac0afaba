"""Recompute and compare: what the spreadsheet program shows, quotebook's own evaluation, the reference price."""

from __future__ import annotations

from typing import Any

from quotebook.addin.talk import Answer, Listing, Request
from quotebook.flows.findings_sheet import RECOMPUTED_HEADINGS, RECOMPUTED_TITLE, RECOMPUTED_WIDTHS
from quotebook.flows.recompute import Recomputed, recompute
from quotebook.workbook.areas import split_place

#: Lots whose price the box tells.
MOST_LOTS = 6


def answer(request: Request) -> Answer:
    """Recompute the workbook; differences and unknowns become a list with links."""
    result = recompute(request.workbook)
    rows = [[number, *row] for number, row in enumerate(_rows(result), start=1)]
    listing = Listing(RECOMPUTED_TITLE, [list(RECOMPUTED_HEADINGS), *rows], RECOMPUTED_WIDTHS) if rows else None
    return Answer(
        "\n\n".join(_box(request, result)),
        "warning" if result.disagreements else "info",
        listing=listing,
        gone=() if rows else (RECOMPUTED_TITLE,),
    )


def _rows(result: Recomputed) -> list[list[Any]]:
    rows = [
        [one.between, _link(one.cell), one.field, _shown(one.stored), _shown(one.recomputed),
         _shown(one.reference) if one.reference is not None else "", one.reason]
        for one in result.disagreements
    ]  # fmt: skip
    return rows + [["unknown", _link(one.cell), one.field, "", "", "", one.reason] for one in result.unknown]


def _link(cell: str) -> Any:
    sheet, place = split_place(cell)
    return {"text": f"{sheet} {place}", "sheet": sheet, "cell": place} if sheet else cell


def _shown(value: object) -> str:
    if value is None:
        return "nothing"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _box(request: Request, result: Recomputed) -> list[str]:
    counted = f"{result.evaluated} of {result.formulas} formulas were recomputed"
    if result.disagreements:
        told = f"{request.name}: {len(result.disagreements)} differences; {counted}."
    elif result.unknown:
        told = f"{request.name}: what could be judged agrees, {len(result.unknown)} cells are unknown; {counted}."
    else:
        told = f"{request.name}: all agree; {counted}, {result.compared_reference} reference figures compared."
    prices = [
        f"{row.quantity:g} pieces: {_money(result, row.unit_price)} each, {_money(result, row.extended_price)} in all"
        for row in result.prices[:MOST_LOTS]
        if row.quantity is not None
    ]
    lines = [told, "\n".join(prices), *result.notes]
    if result.disagreements or result.unknown:
        lines.append(f'The last sheet, "{RECOMPUTED_TITLE}", lists them; each row leads to its cell.')
    return [line for line in lines if line]


def _money(result: Recomputed, value: float | None) -> str:
    if value is None:
        return "unknown"
    decimals = result.decimals if round(value, result.decimals) == value else max(result.decimals, 4)
    return f"{result.currency}{value:,.{decimals}f}"
