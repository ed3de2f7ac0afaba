"""A metric shop in euro: minutes typed, hours worked out, machine and person priced apart."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import EURO, HOURS, PERCENT, PERCENT_1, Page

PRICE = ("Kalkulation!J31", "Kalkulation!J32")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Kalkulation"
    page = Page(sheet)
    page.head("A1:J1")
    page.put(A1="Pump flange DN 80, quotation")
    page.rows(
        "A3",
        [
            ("Lot size", 120, None, "Diameter mm", 200),
            ("Machine hour turning", 72, None, "Thickness mm", 24),
            ("Machine hour milling", 84, None, "Density kg/dm3", 7.85),
            ("Person per hour", 44, None, "Price per kg", 1.65),
            ("Scrap", 0.025, None, "Weight kg", "=PI()/4*(E3/100)^2*(E4/100)*E5"),
        ],
    )
    page.rows(
        "A10",
        [
            (
                "Step", "Machine", "Setup min", "Cycle min", "Load min", "Attended", "Setup h", "Run h",
                "Machine cost", "Person cost",
            ),
        ],
    )  # fmt: skip
    page.rows(
        "A11",
        [
            ("Turn side 1", 72, 60, 9.5, 1, 1),
            ("Turn side 2", 72, 45, 7, 1, 1),
            ("Drill circle", 84, 40, 5.5, 0.8, 0.5),
            ("Thread", 84, 20, 3, 0.8, 0.5),
            ("Wash", 0, 0, 0.5, 0.2, 1),
            ("Check", 0, 15, 1.5, 0.2, 1),
        ],
    )
    page.put(B11="=$B$4", B12="=$B$4", B13="=$B$5", B14="=$B$5")
    page.fill("G11:G16", "=C11/60")
    page.fill("H11:H16", "=(D11+E11)*$B$3*(1+$B$7)/60")
    page.fill("I11:I16", "=(G11+H11)*B11")
    page.fill("J11:J16", "=(G11+H11*F11)*$B$6")
    page.put(A17="Sum", G17="=SUM(G11:G16)", H17="=SUM(H11:H16)", I17="=SUM(I11:I16)", J17="=SUM(J11:J16)")
    page.rows(
        "H20",
        [
            ("Machines", None, "=I17"),
            ("Persons", None, "=J17"),
            ("Material", None, "=B3*(1+B7)*E7*E6"),
            ("Zinc coating per kg", 0.9, "=MAX(I23*E7*B3,90)"),
            ("Fixture share", None, 260),
            ("Production cost", None, "=J20+J21+J22+J23+J24"),
            ("Administration", 0.08, "=J25*I26"),
            ("Own cost", None, "=J25+J26"),
            ("Profit", 0.12, "=J27*I28"),
            ("Net price", None, "=J27+J28"),
            ("Discount granted", 0.02, "=-J29*I30"),
            ("OFFER", None, "=J29+J30"),
            ("per piece", None, "=J31/B3"),
        ],
    )
    page.form(EURO, "B4:B6", "E6", "I11:J17", "J20:J32", "I23")
    page.form(HOURS, "G11:H17", "E7")
    page.form(PERCENT_1, "B7")
    page.form(PERCENT, "F11:F16", "I26", "I28", "I30")
