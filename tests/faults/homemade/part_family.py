"""One row a part number, all parts of an inquiry on one sheet, order total under the prices."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Inquiry!M17",)


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Inquiry"
    page = Page(sheet)
    page.head("A1:M1", "E5:F5", "G5:I5")
    page.put(A1="Inquiry of spring, 9 parts (invented)", A2="Turn rate", B2=76, C2="Mill rate", D2=90)
    page.put(E2="Stock extra", F2=0.08, G2="Profit", H2=0.22, I2="Small lot adder below", K2=25, L2="adder", M2=40)
    page.put(E5="Setup", G5="Each")
    page.rows(
        "A6",
        [
            (
                "Part no", "Name", "Qty", "Type", "Turn h", "Mill h", "Turn min", "Mill min", "Stock $", "Cost lot",
                "Adder", "Price each", "Order",
            ),
        ],
    )  # fmt: skip
    page.rows(
        "A7",
        [
            ("S-101", "Stud", 200, "T", 1, 0, 2.4, 0, 0.85),
            ("S-102", "Stud long", 200, "T", 1, 0, 3.1, 0, 1.2),
            ("S-110", "Collar", 60, "T", 1.25, 0, 4.5, 0, 2.1),
            ("S-115", "Clevis", 24, "TM", 1, 1.5, 5, 8, 3.4),
            ("S-120", "Bracket", 40, "M", 0, 2, 0, 12.5, 5.6),
            ("S-121", "Bracket wide", 40, "M", 0, 2, 0, 14, 7.1),
            ("S-130", "Pivot", 80, "TM", 1.25, 1, 4, 3.5, 1.9),
            ("S-140", "Knob", 15, "T", 0.75, 0, 6.5, 0, 2.8),
            ("S-150", "Base", 10, "M", 0, 3, 0, 38, 31),
        ],
    )
    page.fill("J7:J15", "=E7*$B$2+F7*$D$2+C7*(G7/60*$B$2+H7/60*$D$2+I7*(1+$F$2))")
    page.fill("K7:K15", "=IF(C7<$K$2,$M$2,0)")
    page.fill("L7:L15", "=ROUND((J7*(1+$H$2)+K7)/C7,2)")
    page.fill("M7:M15", "=L7*C7")
    page.put(A17="ORDER TOTAL", C17="=SUM(C7:C15)", J17="=SUM(J7:J15)", K17="=SUM(K7:K15)", M17="=SUM(M7:M15)")
    page.put(A18="Margin of order", M18="=(M17-J17)/M17")
    page.form(MONEY, "B2", "D2", "M2", "I7:M15", "J17:M17")
    page.form(PERCENT, "F2", "H2", "M18")
