"""An operation list with cost for one quantity, copied twice to the right for the others."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, Page

PRICE = ("Sheet1!F27", "Sheet1!G27", "Sheet1!H27")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Sheet1"
    page = Page(sheet)
    page.rows("A1", [("clamp bar quote",), ("overrun", 0.03, None, None, "pcs", 15, 50, 150)])
    page.put(E3="with overrun")
    page.fill("F3:H3", "=F2*(1+$B$2)")
    page.rows("A5", [("operation", "rate", "setup", "min", None, "cost 15", "cost 50", "cost 150")])
    page.rows(
        "A6",
        [
            ("saw", 50, 0, 2),
            ("mill 1", 90, 1.5, 12),
            ("mill 2", 90, 1, 8),
            ("drill", 70, 0.5, 5),
            ("deburr", 55, 0, 4),
            ("inspect", 55, 0.5, 1),
        ],
    )
    page.fill("F6:H11", "=($C6+$D6/60*F$3)*$B6")
    page.put(H8=1998, A13="labor")
    page.fill("F13:H13", "=SUM(F6:F11)")
    page.rows("A15", [("bar 4140", "=3.83*1.95"), ("heat treat", "=3.83*0.6"), ("oxide", 1.5), ("freight", "45 ")])
    page.fill("F15:H15", "=F3*B15")
    page.fill("F16:H16", "=MAX(125,F$3*$B16)")
    page.fill("F17:H17", "=MAX(60,F$3*$B17)")
    page.fill("F18:H18", "=$B$18")
    page.put(A19="bought plus 15", A20="total cost")
    page.fill("F19:H19", "=SUM(F15:F18)*1.15")
    page.fill("F20:H20", "=F13+F19")
    page.rows(
        "A22", [("program 3 hrs", 80, 3, "=B22*C22"), ("fixture", None, None, 240), (None, "once", None, "=D22+D23")]
    )
    page.put(A26="price lot", A27="PRICE EACH")
    page.fill("F26:H26", "=F20/0.75")
    page.fill("F27:H27", "=F26/F$2")
    page.form(MONEY, "F6:H27", "B15:B17", "D22:D24")
