"""Two lists side by side, the total between them, percents typed as whole numbers."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, Page

PRICE = ("Job 1!F22",)


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Job 1"
    page = Page(sheet)
    page.head("A1:K1", "A3:D3", "H3:K3", "E20")
    page.put(A1="weldment - repair and remachine", A3="WORK", H3="PARTS AND STOCK")
    page.rows("A4", [("what", "hours", "$/hr", "$")])
    page.rows(
        "A5",
        [
            ("strip down", 2, 60),
            ("weld up bore", 3.5, 80),
            ("stress relieve load", 0.5, 60),
            ("bore to size", 4, 92),
            ("face flange", 1.5, 92),
            ("drill and tap 8", 1.25, 75),
            ("new keyway", 1, 75),
            ("fit bushes", 1.5, 60),
            ("paint", 1, 45),
            ("travel", 2, 45),
        ],
    )
    page.fill("D5:D14", "=B5*C5")
    page.put(C15="work", D15="=SUM(D5:D14)")
    page.rows("H4", [("item", "no.", "each", "$")])
    page.rows(
        "H5",
        [
            ("bronze bush", 4, 38.5),
            ("weld wire", 2, 29),
            ("stud M16", 8, 3.4),
            ("key steel", 1, 12),
            ("gasket", 2, 9.75),
            ("primer", 1, 22),
            ("crate", 1, 65),
        ],
    )
    page.fill("K5:K11", "=I5*J5")
    page.put(J12="parts", K12="=SUM(K5:K11)", H14="markup on parts %", K14=20, J15="parts out", K15="=K12*(1+K14/100)")
    page.rows(
        "E16",
        [
            ("work", "=D15"),
            ("parts", "=K15"),
            ("furnace (outside)", 210),
            ("crane", 150),
            ("TOTAL BEFORE PROFIT", "=F16+F17+F18+F19"),
            ("profit %", 15),
            ("PRICE", "=F20*(1+F21/100)"),
        ],
    )
    page.form(MONEY, "C5:D15", "J5:K12", "K15", "F16:F20", "F22")
