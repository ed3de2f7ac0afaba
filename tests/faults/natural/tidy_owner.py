"""A careful owner with inputs on top; two things were left out and one test is the wrong way round."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("Estimate!G26", "Estimate!H26", "Estimate!I26")


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "Estimate"
    page = Page(sheet)
    page.head("A1:I1", "A3:C3", "F3:I3")
    page.put(A1="Estimate - clamp bar - rev A", A3="Inputs", F3="Lots")
    page.rows(
        "A4",
        [
            ("Weight", 3.83, "lb"),
            ("Bar price", 1.95, "per lb"),
            ("Markup on bought", 0.15),
            ("Overrun", 0.03),
            ("Saw", 2, "min"),
            ("Mill side 1", 12, "min"),
            ("Mill side 2", 8, "min"),
            ("Drill", 5, "min"),
            ("Deburr", 4, "min"),
            ("Inspect", 1, "min"),
            ("Mill setup", 2.5, "hr"),
            ("Drill setup", 0.5, "hr"),
            ("Heat treat", 0.6, "per lb"),
            ("Heat treat minimum", 125),
            ("Oxide", 1.5, "each"),
            ("Oxide minimum", 60),
            ("Keep of price", 0.25),
            ("Rate saw", 50),
            ("Rate mill", 90),
            ("Rate drill", 70),
            ("Rate bench", 55),
        ],
    )
    page.rows("F4", [("Quantity", 15, 50, 150)])
    labels = (
        "Start", "Bar", "Saw", "Mill", "Drill", "Bench", "Setup", "Heat treat", "Oxide", "Cost", "Markup", "Total cost",
    )  # fmt: skip
    for row, label in enumerate(labels, start=5):
        page.put(**{f"F{row}": label})
    page.fill("G5:I5", "=ROUNDUP(G4*(1+$B$7),0)")
    page.fill("G6:I6", "=G5*$B$4*$B$5")
    page.fill("G7:I7", "=G$5*$B$8/60*$B$21")
    page.fill("G8:I8", "=G$5*($B$9+$B$10)/60*$B$22")
    page.fill("G9:I9", "=G$5*$B$11/60*$B$23")
    page.fill("G10:I10", "=G$5*($B$12+$B$13)/60*$B$24")
    page.fill("G11:I11", "=$B$14*$B$22+$B$15*$B$23")
    page.fill("G12:I12", "=IF(G5*$B$4*$B$16<$B$17,G5*$B$4*$B$16,$B$17)")
    page.fill("G13:I13", "=IF(G5*$B$18<$B$19,$B$19,G5*$B$18)")
    page.fill("G14:I14", "=SUM(G6:G13)")
    page.fill("G15:I15", "=(G6+G12+G13)*$B$6")
    page.fill("G16:I16", "=G14+G15")
    page.put(F24="Price of lot", F26="PRICE EACH", F28="Programming and fixture, once", G28="=3*80+240")
    page.fill("G24:I24", "=G16/(1-$B$20)")
    page.fill("G26:I26", "=ROUND(G24/G4,2)")
    page.form(MONEY, "B5", "B16:B19", "B21:B24", "G6:I16", "G24:I26", "G28")
    page.form(PERCENT, "B6:B7", "B20")
