"""Cut lengths with a second operation: section weights by name, steps by weight, tests for what is charged."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from tests.faults.homemade.page import EURO, PERCENT, Page

PRICE = ("Offer!H24", "Offer!H27")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Offer"
    data = Page(book.create_sheet("Data"))
    data.rows(
        "A1",
        [
            ("Section", "kg per m", "EUR per kg", "Min per cut", None, "From kg", "Delivery EUR"),
            ("Flat 50x10", 3.93, 1.42, 1.2, None, 0, 35),
            ("Flat 80x15", 9.42, 1.4, 2.1, None, 100, 60),
            ("Square 40", 12.56, 1.45, 2.4, None, 300, 95),
            ("Round 60", 22.2, 1.55, 3.6, None, 1000, 160),
            ("Angle 50x5", 3.77, 1.38, 1, None, 3000, 320),
            ("Channel 100", 10.6, 1.5, 2.2),
        ],
    )
    for name, text in {
        "Sections": "Data!$A$2:$A$7", "KgPerM": "Data!$B$2:$B$7", "PricePerKg": "Data!$C$2:$C$7",
        "CutMin": "Data!$D$2:$D$7", "SawHour": "Offer!$B$3", "DrillHour": "Offer!$B$4", "Gain": "Offer!$B$5",
    }.items():  # fmt: skip
        book.defined_names[name] = DefinedName(name, attr_text=text)
    page = Page(sheet)
    page.head("A1:I1")
    page.rows("A1", [("Offer: cut and drilled lengths",), (None,), ("Saw per hour", 48), ("Drill per hour", 56)])
    page.put(A5="Gain on cost", B5=0.24)
    page.rows(
        "A8",
        [
            ("Section", "mm", "pcs", "holes each", "kg", "material", "sawing", "drilling", "line cost"),
            ("Flat 50x10", 420, 60, 4),
            ("Flat 50x10", 260, 60, 2),
            ("Flat 80x15", 600, 20, 6),
            ("Square 40", 150, 16, 1),
            ("Round 60", 95, 40, 0),
            ("Angle 50x5", 1250, 24, 8),
            ("Channel 100", 2100, 6, 10),
        ],
    )
    page.fill("E9:E15", "=B9/1000*C9*INDEX(KgPerM,MATCH(A9,Sections,0))")
    page.fill("F9:F15", "=E9*INDEX(PricePerKg,MATCH(A9,Sections,0))")
    page.fill("G9:G15", "=C9*INDEX(CutMin,MATCH(A9,Sections,0))/60*SawHour")
    page.fill("H9:H15", "=IF(D9>0,(10+C9*D9*0.75)/60*DrillHour,0)")
    page.fill("I9:I15", "=SUM(F9:H9)")
    page.put(D17="sum")
    page.fill("E17:I17", "=SUM(E9:E15)")
    page.rows(
        "F20",
        [
            ("Lines", None, "=I17"),
            ("Certificate", None, 25),
            ("Delivery", None, "=VLOOKUP(E17,Data!F2:G6,2,TRUE)"),
            ("Gain", None, "=(H20+H21)*Gain"),
            ("TOTAL", None, "=SUM(H20:H23)"),
            ("Discount over 5000", None, "=IF(H24>5000,H24*0.03,0)"),
            (None,),
            ("TO PAY", None, "=H24-H25"),
        ],
    )
    page.form(EURO, "B3:B4", "F9:I15", "F17:I17", "H20:H27")
    page.form(PERCENT, "B5")
