"""A column for each quantity, everything on one page."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Clamp bar!C30", "Clamp bar!D30", "Clamp bar!E30")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Clamp bar"
    page = Page(sheet)
    page.head("A1:E1")
    page.rows("A1", [("Clamp bar",), (None,), ("Qty", None, 15, 50, 150)])
    page.rows(
        "A4",
        [
            ("Scrap", 0.03),
            ("Start qty",),
            ("Bar $/lb", 1.95),
            ("lb each", 3.83),
            ("Markup bought", 0.15),
            ("Saw min", 2),
            ("Mill 1 min", 12),
            ("Mill 2 min", 8),
            ("Drill min", 5),
            ("Deburr min", 4),
            ("Setup hrs mill", 2.5),
            ("Setup hrs drill", 0.5),
            ("Bar",),
            ("Saw",),
            ("Mill 1",),
            ("Mill 2",),
            ("Drill",),
            ("Deburr",),
            ("Setups",),
            ("Heat treat",),
            ("Black oxide",),
            ("Inspect",),
            ("Freight", 45),
            ("Cost",),
            ("Price lot",),
            (None,),
            ("PRICE EA",),
        ],
    )
    page.fill("C5:E5", "=ROUNDUP(C3*(1+$B$4),0)")
    page.fill("C16:E16", "=C5*$B$6*$B$7*(1+$B$8)")
    page.fill("C17:E17", "=C$5*$B9/60*50")
    page.fill("C18:E18", "=C$5*$B10/60*90")
    page.fill("C19:E19", "=C$5*$B11/60*90")
    page.fill("C20:E20", "=C$5*$B12*70")
    page.fill("C21:E21", "=C$5*$B13/60*55")
    page.fill("C22:E22", "=$B$14*90+$B$15*70")
    page.fill("C23:E23", "=MAX(125,C5*$B$7*0.6)*(1+$B$8)")
    page.fill("C24:E24", "=MAX(60,C5*1.5)*(1+$B$8)")
    page.fill("C25:E25", "=(0.5+C5/60)*55")
    page.fill("C26:E26", "=$B$26")
    page.fill("C27:E27", "=SUM(C16:C25)")
    page.fill("C28:E28", "=C27*1.25")
    page.fill("C30:E30", "=C28/C3")
    page.form(MONEY, "B6", "C16:E28", "C30:E30", "B26")
    page.form(PERCENT, "B4", "B8")
