"""A form with names: the machine is picked from a list, small orders pay an adder, rush orders pay more."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Form!C33", "Form!C34")
_NAMES = {
    "Qty": "Form!$C$4", "Rush": "Form!$C$5", "RushAdder": "Lists!$F$2", "SmallOrder": "Lists!$F$3",
    "SmallAdder": "Lists!$F$4", "ShopMarkup": "Lists!$F$5", "Machines": "Lists!$A$2:$C$8", "ScrapRate": "Lists!$F$6",
}  # fmt: skip


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Form"
    lists = Page(book.create_sheet("Lists"))
    lists.rows(
        "A1",
        [
            ("Machine", "$/hr run", "$/hr setup", None, "Policy"),
            ("Waterjet", 110, 70, None, "Rush adder", 0.25),
            ("Drill press", 55, 50, None, "Small order below", 300),
            ("Knee mill", 72, 60, None, "Small order adder", 45),
            ("VMC", 98, 75, None, "Markup", 0.28),
            ("CNC lathe", 92, 75, None, "Scrap", 0.04),
            ("Bead blast", 60, 50),
            ("Hand work", 52, 50),
        ],
    )
    lists.form(MONEY, "B2:C8", "F3:F4")
    lists.form(PERCENT, "F2", "F5:F6")
    for name, text in _NAMES.items():
        book.defined_names[name] = DefinedName(name, attr_text=text)
    page = Page(sheet)
    page.head("A1:G1", "A8:G8")
    page.put(A1="Quote form", A3="Part", C3="Hinge leaf (invented)", A4="Quantity", C4=75, A5="Rush? (y/n)", C5="n")
    page.rows("A8", [("Steps",), ("Machine", "What", "Setup min", "Run min", "Setup $", "Run $", "Step $")])
    page.rows(
        "A10",
        [
            ("Waterjet", "Cut profile", 20, 2.2),
            ("VMC", "Pocket and holes", 75, 6.5),
            ("VMC", "Second side", 40, 3.25),
            ("Drill press", "Countersink", 10, 1.1),
            ("Bead blast", "Finish", 10, 0.9),
            ("Hand work", "Deburr and pack", 5, 1.6),
        ],
    )
    page.fill("E10:E15", "=C10/60*VLOOKUP(A10,Machines,3,FALSE)")
    page.fill("F10:F15", "=D10/60*Qty*(1+ScrapRate)*VLOOKUP(A10,Machines,2,FALSE)")
    page.fill("G10:G15", "=E10+F10")
    page.put(A16="Steps total", C16="=SUM(C10:C15)", D16="=SUM(D10:D15)", E16="=SUM(E10:E15)")
    page.put(F16="=SUM(F10:F15)", G16="=SUM(G10:G15)")
    page.rows(
        "A20",
        [
            ("Sheet stock, per piece", None, 3.35),
            ("Stock for order", None, "=C20*Qty*(1+ScrapRate)"),
            ("Powder coat, per piece", None, 2.4),
            ("Powder coat minimum", None, 140),
            ("Powder coat for order", None, "=IF(C22*Qty>=C23,C22*Qty,C23)"),
            ("Steps", None, "=G16"),
            ("Cost", None, "=C21+C24+C25"),
            ("Markup", None, "=C26*ShopMarkup"),
            ("Small order adder", None, "=IF(C26+C27<SmallOrder,SmallAdder,0)"),
            ("Before rush", None, "=SUM(C26:C28)"),
            ("Rush", None, '=IF(Rush="y",C29*RushAdder,0)'),
            (None,),
            (None,),
            ("ORDER PRICE", None, "=C29+C30"),
            ("EACH", None, "=ROUND(C33/Qty,2)"),
        ],
    )
    page.form(MONEY, "E10:G16", "C20:C30", "C33:C34")
