"""Costs on one tab, prices on another; programming ended up in both places."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Price!E4", "Price!E5", "Price!E6")


def build(book: Workbook) -> None:
    front = book.active
    front.title = "Price"
    costs = Page(book.create_sheet("Costs"))
    costs.rows("A1", [("Clamp bar costs", None, None, None), ("What", "Fixed per lot", "Per piece", "Note")])
    costs.rows(
        "A3",
        [
            ("Bar", 0, "=3.83*1.95*1.15", "incl 15%"),
            ("Saw", 0, "=2/60*50"),
            ("Mill side 1", "=1.5*90", "=12/60*90"),
            ("Mill side 2", "=1*90", "=8/60*70"),
            ("Drill", "=0.5*70", "=5/60*70"),
            ("Deburr", 0, "=4/60*55"),
            ("Inspect", "=0.5*55", "=1/60*55"),
            ("Freight", 45, 0),
            ("Programming", "=3*80", 0, "once"),
            ("Sum", "=SUM(B3:B11)", "=SUM(C3:C11)"),
            ("Heat treat", 125, "=3.83*0.6"),
            ("Oxide", 60, 1.5),
        ],
    )
    costs.form(MONEY, "B3:C14")
    page = Page(front)
    page.rows("A1", [("Clamp bar",), ("Keep of the price", 0.25, "Overrun", 0.03)])
    page.rows("A3", [("Qty", "Make", "Cost", "Lot price", "EACH")])
    page.rows("A4", [(15,), (50,), (150,)])
    page.fill("B4:B6", "=ROUNDUP(A4*(1+$D$2),0)")
    page.fill(
        "C4:C6",
        "=Costs!$B$12+B4*Costs!$C$12+MAX(Costs!$B$13,B4*Costs!$C$13)*1.15+MAX(Costs!$B$14,B4*Costs!$C$14)*1.15",
    )
    page.fill("D4:D6", "=C4/(1-$B$2)")
    page.fill("E4:E6", "=ROUND(D4/B4,2)")
    page.rows("A9", [("Programming", 240), ("Fixture", 240), ("One time", "=B9+B10")])
    page.form(MONEY, "C4:E6", "B9:B11")
    page.form(PERCENT, "B2", "D2")
