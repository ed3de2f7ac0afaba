"""One page, one quantity; the total stands at the top where the owner looks first."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import HOURS, MONEY, PERCENT, Page

PRICE = ("Quote!G3", "Quote!G4")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Quote"
    page = Page(sheet)
    page.put(A1="JOB QUOTE (invented shop)", A3="Customer", B3="Sample customer", A4="Part", B4="Bracket, left hand")
    page.put(A5="Quantity", B5=40, F3="PRICE EACH", G3="=ROUND(G4/B5,2)", F4="JOB TOTAL", G4="=E33")
    page.head("A1:G1", "F3", "F4", "A7:E7", "A20:E20")
    page.put(A7="LABOR")
    page.rows("A8", [("Operation", "Setup hr", "Min / pc", "Rate $/hr", "Cost")])
    page.rows(
        "A9",
        [
            ("Saw blanks", 0.25, 1.5, 65),
            ("Mill first side", 1.5, 11, 95),
            ("Mill second side", 1, 8.5, 95),
            ("Drill and tap", 0.5, 4, 80),
            ("Deburr", 0, 3, 55),
            ("Wash", 0, 0.75, 55),
            ("Inspect", 0.5, 2, 70),
        ],
    )
    page.fill("E9:E15", "=(B9+C9*$B$5/60)*D9")
    page.put(A16="Total labor", B16="=SUM(B9:B15)", C16="=SUM(C9:C15)", E16="=SUM(E9:E15)")
    page.put(A20="MATERIAL AND OUTSIDE")
    page.rows("A21", [("Item", "Qty", "Price each", "Freight", "Cost")])
    page.rows(
        "A22",
        [
            ("Aluminum plate, cut", 42, 6.85, 38),
            ("Dowel pins", 84, 0.42, 0),
            ("Anodize clear", 40, 3.1, 25),
            ("Boxes", 4, 5.5, 0),
        ],
    )
    page.fill("E22:E25", "=B22*C22+D22")
    page.put(A26="Total bought", E26="=SUM(E22:E25)")
    page.rows(
        "A28",
        [
            ("Markup on bought items", 0.15, None, None, "=E26*B28"),
            ("Labor from above", None, None, None, "=E16"),
            ("Bought items from above", None, None, None, "=E26"),
            ("Shop cost", None, None, None, "=E28+E29+E30"),
            ("Profit on shop cost", 0.2, None, None, "=E31*B32"),
            ("JOB TOTAL", None, None, None, "=E31+E32"),
        ],
    )
    page.form(MONEY, "G3:G4", "D9:E16", "C22:E26", "E28:E33")
    page.form(PERCENT, "B28", "B32")
    page.form(HOURS, "B9:C16")
