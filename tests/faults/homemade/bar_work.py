"""Bar work in millimetres: pieces from a bar, whole bars bought, a plating minimum, prices for four lots."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import EURO, HOURS, PERCENT, Page

PRICE = ("Bar!D30", "Bar!E30", "Bar!F30", "Bar!G30")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Bar"
    page = Page(sheet)
    page.head("A1:G1", "A3:B3", "A12:C12")
    page.put(A1="Threaded pin M12, bar automatic", A3="One piece")
    page.rows(
        "A4",
        [
            ("length mm", 62),
            ("part-off mm", 3),
            ("bar mm", 3000),
            ("bar end mm", 120),
            ("pieces per bar", "=ROUNDDOWN((B6-B7)/(B4+B5),0)"),
            ("price per bar", 19.8),
            ("cycle s", 95),
        ],
    )
    page.rows("A12", [("Lot", None, None, 100, 500, 1000, 5000)])
    page.rows(
        "A13",
        [
            ("setup h", 3),
            ("machine per h", 58),
            ("operator per h", 38),
            ("operator share", 0.3),
            ("measure every", 25),
            ("measure min", 2),
            (None,),
            ("bars",),
            ("material",),
            ("setup",),
            ("machine run",),
            ("operator run",),
            ("measuring",),
            ("plating per 100", 6.5),
            ("plating minimum", 75),
            ("lot cost",),
            ("profit on cost", 0.2),
            ("PRICE PER 100",),
        ],
    )
    page.fill("D20:G20", "=ROUNDUP(D$12/$B$8,0)")
    page.fill("D21:G21", "=D20*$B$9")
    page.fill("D22:G22", "=$B$13*($B$14+$B$15)")
    page.fill("D23:G23", "=D$12*$B$10/3600*$B$14")
    page.fill("D24:G24", "=D$12*$B$10/3600*$B$15*$B$16")
    page.fill("D25:G25", "=ROUNDUP(D$12/$B$17,0)*$B$18/60*$B$15")
    page.fill("D26:G26", "=IF(D$12/100*$B$26>$B$27,D$12/100*$B$26,$B$27)")
    page.fill("D28:G28", "=SUM(D21:D26)")
    page.fill("D29:G29", "=D28*$B$29")
    page.fill("D30:G30", "=ROUND((D28+D29)/D$12*100,2)")
    page.form(EURO, "B9", "B14:B15", "B26:B27", "D21:G26", "D28:G30")
    page.form(HOURS, "B13")
    page.form(PERCENT, "B16", "B29")
