"""Operations down, machines across, hours in the grid; rates in a row on top and sums both ways."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import HOURS, MONEY, PERCENT, Page

PRICE = ("Grid!H31", "Grid!H32")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Grid"
    page = Page(sheet)
    page.head("A1:H1", "A3", "A24:F24")
    page.put(A1="Gear housing, 12 off: hours by machine for the lot")
    page.rows("A3", [("Rate $/h", 90, 105, 88, 70, 54)])
    page.rows("A4", [("Operation", "Mill 3x", "Mill 5x", "Lathe", "Grind", "Bench", "Hours", "Cost")])
    page.rows(
        "A5",
        [
            ("Rough faces", 6),
            ("Rough bores", None, 9.5),
            ("Stress relief prep", None, None, None, None, 1),
            ("Finish faces", 5.5),
            ("Finish bores", None, 12),
            ("Turn cover", None, None, 4.5),
            ("Face cover", 2, None, 1.5),
            ("Drill pattern", 4, 1),
            ("Tap holes", 2.5, None, None, None, 1.5),
            ("Grind joint face", None, None, None, 5),
            ("Deburr", None, None, None, None, 6),
            ("Trial fit", None, None, None, None, 3.5),
            ("Measure", None, None, None, None, 4),
        ],
    )
    page.fill("G5:G17", "=SUM(B5:F5)")
    page.fill("H5:H17", "=SUMPRODUCT(B5:F5,$B$3:$F$3)")
    page.put(A18="Total hours")
    page.fill("B18:G18", "=SUM(B5:B17)")
    page.put(A19="Total cost", H19="=SUM(H5:H17)")
    page.fill("B19:F19", "=B18*B3")
    page.put(G20="cross check", H20="=SUM(B19:F19)-H19")
    page.rows("A24", [("Other things for the lot",)])
    page.rows(
        "A25",
        [
            ("Castings", 12, 140, None, None, None, None, "=B25*C25"),
            ("Stress relief", 12, 22, None, None, None, None, "=B26*C26"),
            ("Fasteners", 96, 0.65, None, None, None, None, "=B27*C27"),
            ("Machine time", None, None, None, None, None, None, "=H19"),
            ("Cost", None, None, None, None, None, None, "=SUM(H25:H28)"),
            ("Overhead and profit", None, None, None, None, None, 0.32, "=H29*G30"),
            ("LOT PRICE", None, None, None, None, None, None, "=H29+H30"),
            ("EACH", None, None, None, None, None, None, "=ROUND(H31/12,2)"),
        ],
    )
    page.form(MONEY, "B3:F3", "H5:H19", "B19:F19", "H20", "C25:C27", "H25:H32")
    page.form(HOURS, "B5:G18")
    page.form(PERCENT, "G30")
