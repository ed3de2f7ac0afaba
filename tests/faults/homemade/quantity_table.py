"""Discount and scrap come from step tables by quantity; the job is priced for one quantity and shown for others."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, PERCENT_1, Page

PRICE = ("Calc!D8", "Calc!D9", "Calc!D10", "Calc!D11")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Calc"
    page = Page(sheet)
    page.head("A1:F1", "A3", "H2:J2", "A14:B14")
    page.put(A1="Spacer ring family quote", A3="Prices to quote")
    page.rows("A7", [("Quantity", "Cost each", "Discount", "Price each", "Lot")])
    for row, quantity in enumerate((20, 100, 300, 1000), start=8):
        page.put(**{f"A{row}": quantity})
    page.fill("B8:B11", "=$B$27/A8+$B$28*(1+VLOOKUP(A8,$H$4:$J$8,3,TRUE))")
    page.fill("C8:C11", "=VLOOKUP(A8,$H$4:$J$8,2,TRUE)")
    page.fill("D8:D11", "=ROUND(B8*(1+$B$29)*(1-C8),2)")
    page.fill("E8:E11", "=D8*A8")
    page.put(H2="Steps")
    page.rows(
        "H3",
        [
            ("From qty", "Discount", "Scrap"),
            (1, 0, 0.1),
            (50, 0.02, 0.06),
            (250, 0.04, 0.04),
            (500, 0.06, 0.03),
            (2000, 0.08, 0.02),
        ],
    )
    page.put(A14="Cost build-up")
    page.rows(
        "A15",
        [
            ("Turn, min", 3.2),
            ("Part off, min", 0.6),
            ("Deburr, min", 0.8),
            ("Minutes each", "=SUM(B15:B17)"),
            ("Rate per hour", 78),
            ("Time cost each", "=B18/60*B19"),
            ("Bar price per ft", 5.9),
            ("Inches used each", 0.875),
            ("Bar cost each", "=B22/12*B21"),
            ("Wash and pack each", 0.35),
            ("Setup hours", 2.25),
            ("First piece check, hours", 0.5),
            ("Lot cost", "=(B25+B26)*B19"),
            ("Piece cost", "=B20+B23+B24"),
            ("Markup", 0.3),
        ],
    )
    page.form(MONEY, "B8:B11", "D8:E11", "B19:B21", "B23:B24", "B27:B28")
    page.form(PERCENT, "C8:C11", "I4:I8", "B29")
    page.form(PERCENT_1, "J4:J8")
