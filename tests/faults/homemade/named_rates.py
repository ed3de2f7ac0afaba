"""Rates have names; price comes from cost by a margin on the price."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Quote!E24", "Quote!F24", "Quote!G24")
_NAMES = {
    "MillRate": "Rates!$B$3",
    "LatheRate": "Rates!$B$4",
    "GrindRate": "Rates!$B$5",
    "BenchRate": "Rates!$B$6",
    "SetupRate": "Rates!$B$7",
    "Margin": "Rates!$B$9",
    "MatMarkup": "Rates!$B$10",
    "Burden": "Rates!$B$11",
}


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Quote"
    rates = Page(book.create_sheet("Rates"))
    rates.rows(
        "A1",
        [
            ("Shop rates this year",),
            (None,),
            ("Mill per hr", 92),
            ("Lathe per hr", 84),
            ("Grinder per hr", 78),
            ("Bench per hr", 56),
            ("Setup per hr", 70),
            (None,),
            ("Margin on price", 0.28),
            ("Material markup", 0.12),
            ("Burden on labor", 0.06),
        ],
    )
    rates.form(MONEY, "B3:B7")
    rates.form(PERCENT, "B9:B11")
    for name, text in _NAMES.items():
        book.defined_names[name] = DefinedName(name, attr_text=text)
    page = Page(sheet)
    page.head("A1:G1", "A3:C3", "E3:G3")
    page.put(A1="Valve body - quote", A3="Inputs", E3="Lots")
    page.rows("A4", [("Quantity", None, None, None, 20, 60, 200)])
    page.rows(
        "A6",
        [
            ("Setup, hours", 4.5),
            ("Mill, min each", 18),
            ("Lathe, min each", 9),
            ("Grind, min each", 3.5),
            ("Bench, min each", 6),
            ("Casting each", 24.5),
            ("Coating each", 5.25),
        ],
    )
    page.fill("E6:G6", "=$B6*SetupRate")
    page.fill("E7:G7", "=$B7/60*E$4*MillRate")
    page.fill("E8:G8", "=$B8/60*E$4*LatheRate")
    page.fill("E9:G9", "=$B9/60*E$4*GrindRate")
    page.fill("E10:G10", "=$B10/60*E$4*BenchRate")
    page.put(A14="Labor total", A15="Burden", A16="Castings", A17="Coating (350 minimum)", A18="Cost")
    page.fill("E14:G14", "=SUM(E6:E10)")
    page.fill("E15:G15", "=E14*Burden")
    page.fill("E16:G16", "=$B11*E$4*(1+MatMarkup)")
    page.fill("E17:G17", "=IF($B12*E$4<350,350,$B12*E$4)")
    page.fill("E18:G18", "=SUM(E14:E17)")
    page.put(A20="Lot price", A22="Margin in $", A24="PRICE EACH", A25="Check: margin of price")
    page.fill("E20:G20", "=E18/(1-Margin)")
    page.fill("E22:G22", "=E20-E18")
    page.fill("E24:G24", "=ROUND(E20/E4,2)")
    page.fill("E25:G25", "=(E24*E4-E18)/(E24*E4)")
    page.form(MONEY, "B11:B12", "E6:G10", "E14:G18", "E20:G24")
    page.form(PERCENT, "E25:G25")
