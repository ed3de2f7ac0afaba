"""A long list of bought parts in three sections with subtotals, then assembly time."""

from __future__ import annotations

from openpyxl import Workbook

from tests.faults.homemade.page import MONEY, PERCENT, Page

PRICE = ("BOM!G45", "BOM!G46")
_SECTIONS = {
    5: [
        ("Base plate", 1, 86), ("Side plate left", 1, 41.5), ("Side plate right", 1, 41.5), ("Top bar", 2, 17.25),
        ("Corner block", 4, 9.8), ("Guard", 1, 63),
    ],
    14: [
        ("Linear rail", 2, 78), ("Carriage", 4, 36), ("Screw", 1, 112), ("Nut", 1, 94), ("End bearing", 2, 27.5),
        ("Coupling", 1, 31), ("Stop", 2, 6.4),
    ],
    24: [
        ("Cap screw M5", 36, 0.14), ("Cap screw M6", 24, 0.19), ("Cap screw M8", 12, 0.31), ("Washer", 72, 0.05),
        ("Dowel", 8, 0.85), ("Retaining compound", 1, 7.5), ("Foot", 4, 5.2),
    ],
}  # fmt: skip


def build(book: Workbook) -> None:
    sheet = book.active
    sheet.title = "BOM"
    page = Page(sheet)
    page.head("A1:G1", "A4:G4", "A13:G13", "A23:G23", "A34:G34")
    page.put(A1="Slide unit - bought parts and assembly", A2="Units to build", C2=8)
    page.rows("A3", [("Part", "Supplier", "Per unit", "Total pcs", "Price each", "Scrap/loss", "Amount")])
    page.put(A4="MADE TO DRAWING", A13="MOTION", A23="SMALL PARTS")
    for top, lines in _SECTIONS.items():
        for row, (name, count, price) in enumerate(lines, start=top):
            page.rows(f"A{row}", [(name, "invented", count, None, price, 0.08 if top == 24 else 0.0)])
        last = top + len(lines) - 1
        page.fill(f"D{top}:D{last}", f"=ROUNDUP(C{top}*$C$2*(1+F{top}),0)")
        page.fill(f"G{top}:G{last}", f"=D{top}*E{top}")
        page.put(**{f"A{last + 1}": "Subtotal", f"G{last + 1}": f"=SUM(G{top}:G{last})"})
    page.put(A34="ASSEMBLY AND PRICE")
    page.rows(
        "A35",
        [
            ("Assembly hours per unit", None, 3.25),
            ("Test hours per unit", None, 0.75),
            ("Rate per hour", None, 62),
            ("Assembly", None, None, None, None, None, "=(C35+C36)*C2*C37"),
            ("Bought parts", None, None, None, None, None, "=G11+G21+G31"),
            ("Handling on bought parts", None, None, None, None, 0.1, "=G39*F40"),
            ("Crating", None, 45, None, None, None, "=C41*C2"),
            ("Cost", None, None, None, None, None, "=SUM(G38:G41)"),
            ("Profit", None, None, None, None, 0.18, "=G42*F43"),
            (None,),
            ("Price for all", None, None, None, None, None, "=G42+G43"),
            ("Price per unit", None, None, None, None, None, "=ROUND(G45/C2,0)"),
        ],
    )
    page.form(MONEY, "E5:E30", "G5:G31", "C37", "C41", "G38:G46")
    page.form(PERCENT, "F5:F30", "F40", "F43")
