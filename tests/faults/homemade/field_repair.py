"""Hours by day for a repair, overtime after eight hours, a minimum charge and tax."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, PERCENT_1, Page

PRICE = ("Offer!C14",)


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Offer"
    log = Page(book.create_sheet("Plan"))
    log.rows("A1", [("Planned hours",), ("Normal hours a day", 8)])
    log.rows("A4", [("Day", "Person 1", "Person 2", "Normal", "Overtime", "Machine h", "Day cost")])
    log.rows(
        "A5",
        [
            ("Mon", 9, 9, None, None, 4),
            ("Tue", 10, 8, None, None, 6),
            ("Wed", 8, 8, None, None, 6.5),
            ("Thu", 11, 10, None, None, 7),
            ("Fri", 6, 6, None, None, 2),
        ],
    )
    log.fill("D5:D9", "=MIN(B5,$B$2)+MIN(C5,$B$2)")
    log.fill("E5:E9", "=MAX(B5-$B$2,0)+MAX(C5-$B$2,0)")
    log.fill("G5:G9", "=D5*Offer!$F$3+E5*Offer!$F$4+F5*Offer!$F$5")
    log.put(A10="Week", D10="=SUM(D5:D9)", E10="=SUM(E5:E9)", F10="=SUM(F5:F9)", G10="=SUM(G5:G9)")
    log.form(MONEY, "G5:G10")
    page = Page(sheet)
    page.head("A1:C1", "A14")
    page.rows(
        "A1",
        [
            ("Offer: line bore on site",),
            (None,),
            ("Hours from plan", None, "=Plan!G10", None, "Normal $/h", 68),
            ("Mileage, miles", 340, "=B4*F6", None, "Overtime $/h", "=F3*1.5"),
            ("Nights for two", 4, "=B5*F7", None, "Bore machine $/h", 85),
            ("Boring bars and inserts", None, 420, None, "Per mile", 0.9),
            ("Weld consumables", None, 310, None, "Per night", 280),
            ("Crane hire", None, 900),
            ("Subtotal", None, "=SUM(C3:C8)"),
            ("Overhead", 0.11, "=C9*B10"),
            ("Profit", 0.15, "=(C9+C10)*B11"),
            ("Before minimum", None, "=C9+C10+C11"),
            ("Minimum charge", None, 2500),
            ("OFFER", None, "=MAX(C12,C13)"),
            ("Sales tax", 0.065, "=ROUND(C14*B15,2)"),
            ("With tax", None, "=C14+C15"),
        ],
    )
    page.form(MONEY, "C3:C16", "F3:F7")
    page.form(PERCENT, "B10:B11")
    page.form(PERCENT_1, "B15")
