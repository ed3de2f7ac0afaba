"""Quantities down the page, one line a quantity; costs per piece, setup spread over the quantity of the line."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Sheet1!H16", "Sheet1!H17", "Sheet1!H18", "Sheet1!H19", "Sheet1!H20")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Sheet1"
    page = Page(sheet)
    page.head("B2:H2", "B14:I14")
    page.put(B2="Cover plate 6 holes - prices by quantity")
    page.rows(
        "B4",
        [
            ("setup hrs", 3.5, None, "shop rate /hr", 85),
            ("cycle min", 7.25, None, "stock price /lb", 4.1),
            ("handling min", 1.25, None, "weight lb", 1.85),
            ("plating each", 2.6, None, "plating lot charge", 95),
            ("program hrs, once", 4, None, "margin", 0.3),
        ],
    )
    page.put(B10="run cost each", C10="=(C5+C6)/60*F4", B11="stock each", C11="=F5*F6")
    page.put(B12="programming, billed apart", C12="=C8*F4")
    page.rows("B14", [("what it comes to",)])
    page.rows("B15", [("qty", "setup ea", "run ea", "stock ea", "plating ea", "cost ea", "PRICE EA", "lot price")])
    for row, quantity in enumerate((1, 5, 10, 50, 250), start=16):
        page.put(**{f"B{row}": quantity})
    page.fill("C16:C20", "=$C$4*$F$4/B16")
    page.fill("D16:D20", "=$C$10")
    page.fill("E16:E20", "=$C$11")
    page.fill("F16:F20", "=$C$7+$F$7/B16")
    page.fill("G16:G20", "=SUM(C16:F16)")
    page.fill("H16:H20", "=ROUNDUP(G16/(1-$F$8),1)")
    page.fill("I16:I20", "=H16*B16")
    page.form(MONEY, "C7", "F4:F5", "F7", "C10:C12", "C16:I20")
    page.form(PERCENT, "F8")
