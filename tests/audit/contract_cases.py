"""One case for each check of the contract: what is done to the complete workbook, and where the finding must be.

The faults are those of the checks' own explanations; each place was worked out by hand from the template.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from quotebook.template.layout import lay_out
from quotebook.template.load import load_template
from quotebook.values import Address, column_letters
from tests.audit.contract_base import Spoiled, formula, same_style, swap, swap_pattern, typed

_TEMPLATE = lay_out(load_template())


def _part(title: str) -> str:
    """The part of a sheet, which the generator numbers in the template's order."""
    titles = [sheet.spec.title for sheet in _TEMPLATE.sheets]
    return f"worksheets/sheet{titles.index(title) + 1}.xml"


def _at(field: str, row: int = 0) -> str:
    """The address of a field on its sheet."""
    placed = _TEMPLATE.placed[field]
    return f"{column_letters(placed.column)}{placed.row + row}"


_ROUTING, _JOB, _STOCK, _PRICE = (_part(title) for title in ("Routing", "Job", "Stock", "Price"))
_BOOK = "xl/workbook.xml"


class Case(NamedTuple):
    """``at``: field name and index of the finding's first cell, or None for the workbook as a whole."""

    spoiled: Spoiled
    at: tuple[str, int] | None


CASES: Mapping[str, Case] = {
    "typed-over-formula": Case(Spoiled({("setup_hours", 0): typed(9.0)}), ("setup_hours", 0)),
    "changed-formula": Case(
        Spoiled({("goods_price", 1): formula("ROUND(D9*D8*2,money_decimals)")}), ("goods_price", 1)
    ),
    "emptied-formula": Case(Spoiled({("stock_sell", 1): typed(None)}), ("stock_sell", 1)),
    "missing-sheet": Case(
        Spoiled(
            parts={
                _BOOK: swap_pattern(r'<sheet name="Cutting"[^>]*/>|<definedName name="cutting_[^<]*</definedName>', "")
            }
        ),
        None,
    ),
    "rearranged-sheets": Case(
        Spoiled(parts={_BOOK: swap_pattern(r'(<sheet name="Quote"[^>]*/>)(<sheet name="Actuals"[^>]*/>)', r"\2\1")}),
        None,
    ),
    "wandering-name": Case(
        Spoiled(parts={_BOOK: swap_pattern(r"(name=\"stock_kerf\">Stock!\$B\$)(\d+)", r"\g<1>1")}), ("stock_kerf", 0)
    ),
    "shadowed-name": Case(
        Spoiled(
            parts={
                _BOOK: swap(
                    "<definedNames>",
                    '<definedNames><definedName name="profit_factor" localSheetId="10">Price!$A$1</definedName>',
                )
            }
        ),
        None,
    ),
    "entry-below-table": Case(
        Spoiled(cells={Address("Routing", 13, 2): typed(40.0), Address("Routing", 13, 8): typed(6.0)}), None
    ),
    "sheet-without-protection": Case(Spoiled(parts={_ROUTING: swap_pattern(r"<sheetProtection[^>]*/>", "")}), None),
    "unlocked-formula": Case(
        Spoiled(parts={_ROUTING: same_style(_at("setup_base_hours"), _at("setup_hours"))}), ("setup_hours", 0)
    ),
    "lost-input-rule": Case(
        Spoiled(
            parts={
                _ROUTING: swap_pattern(
                    rf'<dataValidation [^>]*sqref="{_at("scrap_share")}:{_at("scrap_share", 3)}".*?</dataValidation>',
                    "",
                )
            }
        ),
        ("scrap_share", 0),
    ),
    "entry-outside-limits": Case(Spoiled({("scrap_share", 0): typed(1.5)}), ("scrap_share", 0)),
    "silenced-alarm": Case(
        Spoiled(parts={_ROUTING: swap_pattern(r"<conditionalFormatting .*?</conditionalFormatting>", "")}),
        ("operation_problem", 0),
    ),
    "broken-cross-foot": Case(Spoiled({("total_shown", 1): typed(1.0)}), ("total_shown", 1)),
    "altered-contract": Case(Spoiled(parts={"docProps/custom.xml": swap_pattern(r"[0-9a-f]{64}", "0" * 64)}), None),
    "changed-label": Case(Spoiled(cells={Address("Stock", 15, 1): typed("Feed")}), None),
    "wrong-kind-of-entry": Case(Spoiled({("load_minutes", 0): typed("0,5")}), ("load_minutes", 0)),
    "private-rate": Case(Spoiled({("work_center_sell_rate", 0): typed(7.5)}), ("work_center_sell_rate", 0)),
    "merged-inputs": Case(
        Spoiled(
            parts={
                _JOB: swap("</sheetData>", '</sheetData><mergeCells count="1"><mergeCell ref="B7:B8"/></mergeCells>')
            }
        ),
        None,
    ),
    "stale-result": Case(Spoiled({("cycle_minutes", 1): typed(9.0)}, stale=True), None),
    "result-not-from-formula": Case(
        Spoiled(
            parts={_PRICE: swap_pattern(r'(<c r="D9"[^>]*><f>[^<]*</f><v>)[^<]*', r"\g<1>1.5")},
            stale=True,
        ),
        ("unit_price", 1),
    ),
    "results-never-calculated": Case(
        Spoiled(parts={_PRICE: swap_pattern("(</f>)<v>[^<]*</v>", r"\1")}, stale=True), None
    ),
    "day-dependent-price": Case(Spoiled({("stock_freight", 0): formula("15+0*TODAY()")}), ("stock_freight", 0)),
    "manual-calculation": Case(Spoiled(parts={_BOOK: swap("<calcPr ", '<calcPr calcMode="manual" ')}), None),
    "operation-without-setup": Case(Spoiled({("setup_base_hours", 0): typed(0.0)}), ("setup_base_hours", 0)),
    "setup-without-run": Case(
        Spoiled({("cycle_minutes", 1): typed(0.0), ("load_minutes", 1): typed(0.0)}), ("cycle_minutes", 1)
    ),
    "time-in-another-unit": Case(Spoiled({("setup_base_hours", 0): typed(90.0)}), ("setup_base_hours", 0)),
    "rising-unit-price": Case(Spoiled({("supplier_price", 3): typed(90.0)}), None),
    "quantity-times-price": Case(Spoiled({("quote_unit_price", 0): formula("Price!D9+1")}), None),
    "lot-under-cost": Case(Spoiled({("discount_share", 0): typed(0.6)}), ("extended_price", 1)),
    "margin-too-good": Case(
        Spoiled({("job_order_minimum", 0): typed(None), ("work_center_sell_rate", 0): typed(900.0)}), ("lot_margin", 1)
    ),
    "stock-smaller-than-part": Case(Spoiled({("part_length", 0): typed(60.0)}), ("stock_size_a", 0)),
    "weight-against-size": Case(Spoiled({("stock_density", 0): typed(2.7)}), ("stock_density", 0)),
    "high-scrap": Case(Spoiled({("scrap_share", 0): typed(0.5)}), ("scrap_share", 0)),
    "pieces-that-do-not-fit": Case(Spoiled({("stock_pieces_per_unit", 0): typed(70.0)}), ("stock_pieces_per_unit", 0)),
    "price-without-offer": Case(
        Spoiled({("buyout_price", 0): typed(3.0), **{("supplier_line", row): typed("Stock") for row in (2, 3)}}),
        ("buyout_price", 0),
    ),
    "expired-offer": Case(Spoiled({("supplier_valid_until", 1): typed(43900.0)}), ("supplier_valid_until", 1)),
    "foreign-currency": Case(Spoiled({("supplier_currency", 1): typed("USD")}), ("supplier_currency", 1)),
    "dates-out-of-order": Case(Spoiled({("due_date", 0): typed(43900.0)}), ("due_date", 0)),
    "placeholder-entry": Case(Spoiled({("customer_name", 0): typed("TBA")}), ("customer_name", 0)),
    "nonrecurring-spread-thin": Case(
        Spoiled({("job_nonrecurring_charging", 0): typed("spread"), ("spread_quantity", 0): typed(5000.0)}),
        ("spread_quantity", 0),
    ),
    "line-typed-twice": Case(
        Spoiled(
            {
                ("nonrecurring_description", 1): typed("Programming"),
                ("nonrecurring_hours", 1): typed(2.0),
                ("nonrecurring_rate", 1): typed("Bench"),
            }
        ),
        ("nonrecurring_description", 1),
    ),
    "odd-attendance": Case(Spoiled({("attendance_share", 0): typed(2.0)}), ("attendance_share", 0)),
    "changed-after-quotation": Case(
        Spoiled(
            {("cycle_minutes", 1): typed(9.0)},
            parts={
                "docProps/core.xml": swap(
                    "2000-01-01T00:00:00Z</dcterms:modified>", "2020-06-01T00:00:00Z</dcterms:modified>"
                )
            },
            stale=True,
        ),
        ("quote_date", 0),
    ),
    "price-not-by-the-rules": Case(Spoiled({("lot_cost", 1): typed(1.0)}), ("lot_cost", 1)),
    "unsound-key": Case(Spoiled({("operation_number", 1): typed(10.0)}), ("operation_number", 1)),
    "share-too-small": Case(Spoiled({("scrap_share", 0): typed(0.0004)}), ("scrap_share", 0)),
    "contrary-response": Case(
        Spoiled(
            {
                ("setup_sell", 1): formula(
                    "(SUMPRODUCT(setup_hours,machine_sell_rate)+SUMPRODUCT(setup_hours,labor_sell_rate))/D8"
                )
            }
        ),
        None,
    ),
    "cycle-outside-range": Case(
        Spoiled({("low_cycle_minutes", 1): typed(1.8), ("high_cycle_minutes", 1): typed(1.9)}), ("cycle_minutes", 1)
    ),
    "time-unlike-others": Case(
        Spoiled({("setup_base_hours", row): typed(hours) for row, hours in enumerate((6.0, 0.5, 0.7, 0.4))}),
        ("setup_base_hours", 0),
    ),
    "loading-out-of-proportion": Case(Spoiled({("pieces_per_load", 1): typed(80.0)}), ("pieces_per_load", 1)),
    "quantity-out-of-pattern": Case(Spoiled({("break_quantity", 1): typed(5.0)}), ("break_quantity", 0)),
    "supplier-price-out-of-line": Case(Spoiled({("supplier_price", 2): typed(38.0)}), ("supplier_price", 2)),
    "stock-size-in-another-unit": Case(Spoiled({("stock_bar_length", 0): typed(120.0)}), ("stock_bar_length", 0)),
    "charge-out-of-proportion": Case(Spoiled({("freight_per_lot", 0): typed(2200.0)}), ("freight_per_lot", 0)),
    "crowded-setup": Case(Spoiled({("touch_offs", 0): typed(40.0)}), ("touch_offs", 0)),
    "fraction-of-a-cent": Case(Spoiled({("freight_per_lot", 0): typed(3.071)}), ("freight_per_lot", 0)),
}
