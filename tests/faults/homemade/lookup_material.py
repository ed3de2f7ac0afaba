"""Material and machine are picked by name; weight comes from the size in inches."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Estimate!B30", "Estimate!B31")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Estimate"
    tables = Page(book.create_sheet("Tables"))
    tables.rows(
        "A1",
        [
            ("Material", "lb per cubic in", "$ per lb", None, "Machine", "$ per hour"),
            ("Steel 1018", 0.284, 1.35, None, "Manual lathe", 60),
            ("Steel 4140", 0.284, 1.9, None, "Turning center", 85),
            ("Stainless 303", 0.29, 4.2, None, "Bridge mill", 65),
            ("Stainless 316", 0.29, 4.9, None, "Vertical mill", 95),
            ("Aluminum 6061", 0.098, 3.6, None, "Horizontal mill", 120),
            ("Aluminum 7075", 0.101, 6.4, None, "Surface grinder", 75),
            ("Brass 360", 0.307, 5.8, None, "Saw", 50),
            ("Bronze 932", 0.318, 9.5, None, "Bench", 52),
        ],
    )
    page = Page(sheet)
    page.head("A1:E1", "A3:B3", "A15:E15")
    page.put(A1="Estimate, one part", A3="Stock")
    page.rows(
        "A4",
        [
            ("Material", "Stainless 303"),
            ("Width in", 2.5),
            ("Thickness in", 1),
            ("Length in", 6.125),
            ("Volume cubic in", "=B5*B6*B7"),
            ("Weight lb", "=B8*VLOOKUP(B4,Tables!$A$2:$C$9,2,FALSE)"),
            ("Price per lb", "=VLOOKUP(B4,Tables!$A$2:$C$9,3,FALSE)"),
            ("Stock each", "=B9*B10"),
            ("Quantity", 30),
        ],
    )
    page.rows("A15", [("Machine time",)])
    page.rows("A16", [("Machine", "Setup hours", "Minutes each", "Rate", "Amount")])
    page.rows(
        "A17",
        [
            ("Saw", 0.2, 2),
            ("Vertical mill", 2, 16),
            ("Vertical mill", 1.5, 9),
            ("Surface grinder", 1, 6),
            ("Bench", 0.25, 5),
        ],
    )
    page.fill("D17:D21", "=INDEX(Tables!$F$2:$F$9,MATCH(A17,Tables!$E$2:$E$9,0))")
    page.fill("E17:E21", "=(B17+C17/60*$B$12)*D17")
    page.put(A22="Machine total", E22="=SUM(E17:E21)")
    page.rows(
        "A24",
        [
            ("Machining", "=E22"),
            ("Stock, with 10% extra", "=B11*B12*1.1"),
            ("Tooling", 85),
            ("Cost", "=SUM(B24:B26)"),
            ("Markup", 0.25),
            (None,),
            ("Lot price", "=B27*(1+B28)"),
            ("Each", "=ROUND(B30/B12,2)"),
        ],
    )
    page.form(MONEY, "B10:B11", "D17:E22", "B24:B27", "B30:B31")
    page.form(PERCENT, "B28")
    tables.form(MONEY, "C2:C9", "F2:F9")
