"""Three blocks down the page, one for each quantity, the first copied and pasted."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, Page

PRICE = ("Bar!D19", "Bar!D37", "Bar!D55")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Bar"
    page = Page(sheet)
    for top, quantity in ((3, 15), (21, 50), (39, 150)):
        _block(page, top, quantity)
    # The person typed into the second and third block after pasting.
    page.put(A1="4140 clamp bar", B26=8, D41="=B41/60*C41*D39", D31="=MAX(125,B31*B21)", D37="=D35/B3")
    page.form(MONEY, "C4:D57")


def _block(page: Page, top: int, quantity: int) -> None:
    lines = [
        ("pieces", quantity, "with 3%", f"=B{top}*1.03"),
        ("saw", 2, 50, f"=B{top + 1}/60*C{top + 1}*D{top}"),
        ("mill setups", 2.5, 90, f"=B{top + 2}*C{top + 2}"),
        ("mill side 1", 12, 90, f"=B{top + 3}/60*C{top + 3}*D{top}"),
        ("mill side 2", 8, 90, f"=B{top + 4}/60*C{top + 4}*D{top}"),
        ("drill", 5, 70, f"=B{top + 5}/60*C{top + 5}*D{top}"),
        ("drill setup", 0.5, 70, f"=B{top + 6}*C{top + 6}"),
        ("deburr", 4, 55, f"=B{top + 7}/60*C{top + 7}*D{top}"),
        ("inspect", 1, 55, f"=(0.5+B{top + 8}/60*D{top})*C{top + 8}"),
        ("bar", 3.83, 1.95, f"=B{top + 9}*C{top + 9}*D{top}"),
        ("heat treat", 2.298, None, f"=MAX(125,B{top + 10}*D{top})"),
        ("oxide", 1.5, None, f"=MAX(60,B{top + 11}*D{top})"),
        ("freight", None, None, 45),
        ("cost", None, None, f"=SUM(D{top + 1}:D{top + 12})+0.15*SUM(D{top + 9}:D{top + 12})"),
        ("price lot", None, None, f"=D{top + 13}/0.75"),
        (None,),
        ("EACH", None, None, f"=D{top + 14}/B{top}"),
    ]
    page.rows(f"A{top}", lines)
