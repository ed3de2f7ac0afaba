"""Everything per piece, by someone who likes short formulas."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("quote!B29", "quote!C29", "quote!D29")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "quote"
    page = Page(sheet)
    page.rows("A1", [("CLAMP BAR per piece",), ("quantity", 15, 50, 150)])
    page.rows(
        "A3",
        [
            ("material lb", 3.83),
            ("$ per lb", 1.95),
            ("saw min", 2),
            ("mill min", 20),
            ("drill min", 5),
            ("deburr min", 4),
            ("inspect min", 1),
            ("setup mill h", 2.5),
            ("setup drill h", 0.5),
            ("setup inspect h", 0.5),
            ("scrap", 3),
            ("markup", 0.15),
        ],
    )
    page.put(
        A16="material", A17="saw", A18="mill", A19="drill", A20="bench", A21="setup", A22="heat treat", A23="oxide",
        A24="freight", A25="cost", A26="scrap", A27="cost with scrap", A29="price each",
    )  # fmt: skip
    page.fill("B16:D16", "=$B$3*$B$4*(1+$B$14)")
    page.fill("B17:D17", "=$B$5/60*50")
    page.fill("B18:D18", "=$B$6/60*90")
    page.fill("B19:D19", "=$B$7/60*70")
    page.fill("B20:D20", "=($B$8+$B$9)/60*55")
    page.fill("B21:D21", "=($B$10*90+$B$11*70+$B$12*55)/$B$2")
    page.fill("B22:D22", "=MAX(125/B2,$B$3*0.6)*(1+$B$14)")
    page.fill("B23:D23", "=1.5*(1+$B$14)")
    page.fill("B24:D24", "=45/B2")
    page.fill("B25:D25", "=SUM(B16:B24)")
    page.fill("B26:D26", "=B25*$B$13/100")
    page.fill("B27:D27", "=B25+B26")
    page.fill("B29:D29", "=ROUND(B27/(1-25%),2)")
    page.form(MONEY, "B4", "B16:D27", "B29:D29")
    page.form(PERCENT, "B14")
