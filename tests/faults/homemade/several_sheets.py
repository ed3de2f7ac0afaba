"""A summary in front, and one sheet each for material, labor and what is sent out."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Summary!C15", "Summary!C16")


def build(book: Workbook) -> None:
    front = book.active
    front.title = "Summary"
    material, labor, outside = (Page(book.create_sheet(name)) for name in ("Material", "Labor", "Outside"))
    _material(material)
    _labor(labor)
    _outside(outside)
    page = Page(front)
    page.head("A1:C1", "A15", "A16")
    page.rows(
        "A1",
        [
            ("Manifold block - summary of quote",),
            (None,),
            ("Order quantity", None, 60),
            (None,),
            ("Material", None, "=Material!F12"),
            ("Labor", None, "=Labor!G14"),
            ("Outside work", None, "=Outside!E9"),
            ("Packing, per piece", 1.2, "=B8*C3"),
            ("Subtotal", None, "=SUM(C5:C8)"),
            ("Contingency", 0.05, "=B10*C9"),
            ("General and office", 0.1, "=B11*C9"),
            ("Total cost", None, "=C9+C10+C11"),
            ("Profit", 0.15, "=B13*C12"),
            (None,),
            ("Quoted total", None, "=C12+C13"),
            ("Quoted each", None, "=ROUND(C15/C3,2)"),
        ],
    )
    page.form(MONEY, "C5:C9", "C10:C16", "B8")
    page.form(PERCENT, "B10:B11", "B13")


def _material(page: Page) -> None:
    page.rows("A1", [("Material list",), ("quantity of parts", "=Summary!C3")])
    page.rows("A4", [("Item", "Per part", "Needed", "Unit price", "Extra %", "Amount")])
    page.rows(
        "A5",
        [
            ("Block 6061, sawn", 1, None, 18.6, 0.05),
            ("Plug 1/8", 6, None, 0.55, 0.1),
            ("Cartridge sleeve", 2, None, 4.25, 0.02),
            ("O-ring", 8, None, 0.18, 0.1),
            ("Label", 1, None, 0.3, 0.1),
            ("Cap", 4, None, 0.22, 0.1),
        ],
    )
    page.fill("C5:C10", "=B5*$B$2*(1+E5)")
    page.fill("F5:F10", "=C5*D5")
    page.put(A12="Total material", F12="=SUM(F5:F11)")
    page.form(MONEY, "D5:D10", "F5:F12")
    page.form(PERCENT, "E5:E10")


def _labor(page: Page) -> None:
    page.rows("A1", [("Labor",), ("parts", "=Summary!C3")])
    page.rows("A4", [("Op", "Description", "Setup hrs", "Hrs per part", "Total hrs", "Rate", "Amount")])
    page.rows(
        "A5",
        [
            (10, "Face and square", 1, 0.15, None, 90),
            (20, "Mill ports", 2.5, 0.4, None, 110),
            (30, "Mill back", 1.5, 0.25, None, 110),
            (40, "Thread", 0.5, 0.2, None, 90),
            (50, "Cross drill", 1, 0.18, None, 90),
            (60, "Deburr", 0, 0.25, None, 60),
            (70, "Pressure test", 0.5, 0.1, None, 75),
            (80, "Final check", 0.5, 0.08, None, 75),
        ],
    )
    page.fill("E5:E12", "=C5+D5*$B$2")
    page.fill("G5:G12", "=E5*F5")
    page.put(A14="Total", C14="=SUM(C5:C12)", E14="=SUM(E5:E12)", G14="=SUM(G5:G12)")
    page.form(MONEY, "F5:G14")


def _outside(page: Page) -> None:
    page.rows("A1", [("Outside work",), ("Supplier", "Each", "Lot charge", "Minimum", "Amount")])
    page.rows("A3", [("Anodize shop (invented)", 4.4, 40, 180), ("Engraver (invented)", 1.1, 15, 60)])
    page.fill("E3:E4", "=MAX(D3,B3*Summary!$C$3+C3)")
    page.rows("A7", [("Sum", None, None, None, "=SUM(E3:E6)"), ("Markup", 0.1, None, None, "=E7*B8")])
    page.put(A9="Outside with markup", E9="=E7+E8")
    page.form(MONEY, "B3:E4", "E7:E9")
    page.form(PERCENT, "B8")
