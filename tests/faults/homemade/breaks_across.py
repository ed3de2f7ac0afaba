"""Quantities across the page, cost lines down; unit price near the bottom."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, PERCENT_1, Page

PRICE = ("Shaft!C31", "Shaft!D31", "Shaft!E31", "Shaft!F31")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Shaft"
    page = Page(sheet)
    page.head("A1:F1", "A12:B12")
    page.put(A1="Quote worksheet - turned shaft", A2="All dollars per lot unless it says each")
    page.rows(
        "A4",
        [
            ("Lathe rate, per hour", 88),
            ("Mill rate, per hour", 96),
            ("Bench rate, per hour", 58),
            ("Setup lathe, hours", 2.5),
            ("Setup mill, hours", 1.25),
            ("Scrap allowance", 0.03),
            ("Material each", 7.4),
        ],
    )
    page.put(A12="Quantity", C12=10, D12=25, E12=50, F12=100)
    page.rows(
        "A13",
        [
            ("Lathe minutes per piece", 14),
            ("Mill minutes per piece", 6.5),
            ("Bench minutes per piece", 4),
            ("Pieces to start",),
            ("Lathe setup",),
            ("Mill setup",),
            ("Lathe run",),
            ("Mill run",),
            ("Bench",),
            ("Material",),
            ("Heat treat (lot minimum 120)", 2.2),
            ("Freight in", 35),
            ("Cost of lot",),
            ("Overhead", 0.12),
            ("Cost with overhead",),
            ("Profit", 0.18),
            ("Price of lot",),
            (None,),
            ("PRICE EACH",),
        ],
    )
    page.fill("C16:F16", "=ROUNDUP(C$12*(1+$B$9),0)")
    page.fill("C17:F17", "=$B$7*$B$4")
    page.fill("C18:F18", "=$B$8*$B$5")
    page.fill("C19:F19", "=C16*$B$13/60*$B$4")
    page.fill("C20:F20", "=C16*$B$14/60*$B$5")
    page.fill("C21:F21", "=C16*$B$15/60*$B$6")
    page.fill("C22:F22", "=C16*$B$10")
    page.fill("C23:F23", "=MAX(120,C16*$B$23)")
    page.fill("C24:F24", "=$B$24")
    page.fill("C25:F25", "=SUM(C17:C24)")
    page.fill("C26:F26", "=C25*$B$26")
    page.fill("C27:F27", "=C25+C26")
    page.fill("C28:F28", "=C27*$B$28")
    page.fill("C29:F29", "=C27+C28")
    page.fill("C31:F31", "=ROUND(C29/C12,2)")
    page.form(MONEY, "B4:B6", "B10", "C17:F29", "C31:F31", "B23:B24")
    page.form(PERCENT_1, "B9")
    page.form(PERCENT, "B26", "B28")
