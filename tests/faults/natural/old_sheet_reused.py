"""An older quote typed over: lines were added under the old list, one old figure was left."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Q!E32", "Q!F32", "Q!G32")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Q"
    page = Page(sheet)
    page.head("A1:G1")
    page.rows("A1", [("CLAMP BAR (was: guide bar)",), (None,), ("", "", "", "qty", 15, 50, 150)])
    page.put(D4="make")
    page.fill("E4:G4", "=ROUNDUP(E3*1.03,0)")
    page.rows("A6", [("op", "setup h", "min", "rate")])
    page.rows(
        "A7",
        [
            ("saw", None, 2, 50),
            ("mill 1", 1.5, 12, 90),
            ("mill 2", 1, 8, 90),
            ("drill", 0.5, 5, 70),
            ("deburr", None, 4, 55),
            ("inspect", 0.5, 1, 55),
        ],
    )
    page.fill("E7:G10", "=$B7*$D7+$C7*E$4/60*$D7")
    page.fill("E11:G12", "=$B11*$D11+$C11*E$4/60*$D11")
    page.put(A14="shop time")
    page.fill("E14:G14", "=SUM(E7:E10)")
    page.rows(
        "A16",
        [
            ("bar per pc", None, None, 7.47),
            ("heat treat per lb", None, None, 0.6),
            ("oxide", None, None, 1.5),
            ("freight", None, None, 45),
            ("bought",),
            ("markup", None, None, 0.15),
            ("cost",),
        ],
    )
    page.fill("E16:G16", "=E$4*$D16")
    page.fill("E17:G17", "=MAX(125,E$4*2.95*$D$17)")
    page.fill("E18:G18", "=MAX(60,E$4*$D18)")
    page.fill("E19:G19", "=$D19")
    page.fill("E20:G20", "=SUM(E16:E19)")
    page.fill("E21:G21", "=E20*$D$21")
    page.fill("E22:G22", "=E14+E20+E21")
    page.rows("A25", [("program", 3, 80, None, "=B25*C25"), ("fixture", None, None, None, 240)])
    page.put(A30="price", A32="each", D30=0.25)
    page.fill("E30:G30", "=E22/(1-$D$30)")
    page.fill("E32:G32", "=ROUND(E30/E3,2)")
    page.form(MONEY, "E7:G22", "D16:D19", "E25:E26", "E30:G32")
    page.form(PERCENT, "D21", "D30")
