"""More clean home-made quote sheets: spare rows, two-line heads, totals on top, minimum charges, hidden rates.

Everything is invented; see ``homemade``.
"""

from __future__ import annotations

from collections.abc import Callable

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName

from tests.audit.homemade import MONEY, PERCENT, heading, put


def spare_rows() -> Workbook:
    """Ten operation rows of which four are in use; empty ones show nothing; minimum charge on the lot."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Quotation"
    heading(sheet, "A1:H1", "Job costing (invented)")
    put(sheet, "A3", [["Customer", "Example B", None, "Lot size", 80], ["Drawing", "D-77", "rev", "B", None]])
    put(sheet, "A5", [["Op", "Machine", "Set-up", "Cycle", "", "Hourly", "Line", "Note"]])
    put(sheet, "A6", [["no.", "", "min", "min/pc", "", "rate", "cost", ""]])
    ops = [
        (10, "Saw", 15, 1.5, 42),
        (20, "CNC lathe", 75, 6.2, 74),
        (30, "CNC mill", 60, 4.1, 82),
        (40, "Wash", 0, 0.5, 30),
    ]
    for r in range(7, 17):
        if r - 7 < len(ops):
            no, machine, setup, cycle, rate = ops[r - 7]
            put(sheet, f"A{r}", [[no, machine, setup, cycle, None, rate]])
        put(sheet, f"G{r}", [[f'=IF(B{r}="",0,(C{r}+D{r}*$E$3)/60*F{r})']], [MONEY])
    sheet["H8"] = "two chucks"
    put(
        sheet,
        "A18",
        [["Bar dia mm", 45, None, None, None, "Machining", "=SUM(G7:G16)"]],
        ["", "", "", "", "", "", MONEY],
    )
    put(sheet, "A19", [["Bar length mm", 120, None, None, None, "Material", "=B22*B23*E3"]])
    put(sheet, "A20", [["Saw cut mm", 3, None, None, None, "Heat treatment", "=MAX(B24,B25*B22*E3)"]])
    put(sheet, "A21", [["Density g/cm3", 7.85, None, None, None, "Total cost", "=SUM(G18:G20)"]])
    put(sheet, "A22", [["Weight kg", "=PI()*(B18/2)^2*(B19+B20)*B21/1000000", None, None, None, "Profit", "=G21*B26"]])
    put(sheet, "A23", [["Steel per kg", 2.35, None, None, None, "Lot price", "=MAX(G21+G22,B27)"]])
    put(sheet, "A24", [["HT minimum", 90, None, None, None, "Price per piece", "=ROUND(G23/E3,2)"]])
    put(sheet, "A25", [["HT per kg", 1.9], ["Profit rate", 0.18], ["Minimum order", 150]])
    sheet["B26"].number_format = PERCENT
    return book


def totals_on_top() -> Workbook:
    """The answer in a box at the top; blocks below with their own sums at their head; two currencies of hours."""
    book = Workbook()
    sheet = book.active
    put(sheet, "A1", [["OFFER PRICE", "=B3+B4+B5+B6", None, "Pieces", 24], ["each", "=B1/E1"]], ["", MONEY])
    put(sheet, "A3", [["Labour", "=D9"], ["Material", "=D18"], ["Subcontract", "=D25"], ["Overhead", "=(B3+B4)*E2"]])
    put(sheet, "D2", [["Overhead rate", 0.2]])
    sheet["D2"], sheet["E2"] = "Overhead rate", 0.2
    sheet["E2"].number_format = PERCENT
    put(sheet, "A9", [["LABOUR", None, None, "=SUM(D10:D15)"]], ["", "", "", MONEY])
    steps = [("Programming", 3, 65), ("Set up mill", 2.5, 60), ("Milling", 14, 60), ("Set up lathe", 1, 58)]
    steps += [("Turning", 9, 58), ("Assembly", 4, 44)]
    put(sheet, "A10", [[*step, f"=B{r}*C{r}"] for r, step in enumerate(steps, 10)], ["", "0.0", MONEY, MONEY])
    put(sheet, "A18", [["MATERIAL", None, None, "=SUM(D19:D22)"]], ["", "", "", MONEY])
    goods = [("Plate", 6, 31.5), ("Tube", 12, 8.2), ("Bolts", 96, 0.22), ("Seals", 24, 1.15)]
    put(sheet, "A19", [[*item, f"=B{r}*C{r}"] for r, item in enumerate(goods, 19)], ["", "0", MONEY, MONEY])
    put(sheet, "A25", [["SUBCONTRACT", None, None, "=D26+D27"]], ["", "", "", MONEY])
    put(sheet, "A26", [["Powder coat", 24, 6.5, "=B26*C26"], ["Delivery", None, None, 75]], ["", "0", MONEY, MONEY])
    return book


def two_line_breaks() -> Workbook:
    """Price breaks across with a two-line head, learning by lookup, named rates, hidden rate sheet."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Breaks"
    rates = book.create_sheet("Rates")
    put(rates, "A1", [["Shop rate", 88], ["Scrap", 0.04], ["Margin", 0.28]])
    rates["B2"].number_format = rates["B3"].number_format = PERCENT
    rates.sheet_state = "hidden"
    for name, cell in (("ShopRate", "$B$1"), ("ScrapShare", "$B$2"), ("MarginShare", "$B$3")):
        book.defined_names[name] = DefinedName(name, attr_text=f"Rates!{cell}")
    put(rates, "D1", [["From", "Time factor"], [1, 1.3], [10, 1.1], [50, 1], [200, 0.94]])
    put(sheet, "A1", [["Setup hours", 2.75], ["Minutes per piece", 11], ["Material each", 6.85], ["Tooling once", 240]])
    heading(sheet, "B6:F6", "Quantity break")
    put(sheet, "A7", [["pieces", 1, 10, 50, 200, 1000]])
    names = ["Time factor", "Setup", "Run", "Material", "Cost each", "Price each", "Total", "Total with tooling"]
    put(sheet, "A8", [[name] for name in names])
    for number in range(2, 7):
        c = get_column_letter(number)
        lines = [
            f"=VLOOKUP({c}$7,Rates!$D$2:$E$5,2,TRUE)",
            f"=$B$1*ShopRate/{c}7",
            f"=$B$2*{c}8/60*ShopRate",
            "=$B$3/(1-ScrapShare)",
            f"={c}9+{c}10+{c}11",
            f"=ROUND({c}12/(1-MarginShare),2)",
            f"={c}13*{c}7",
            f"={c}14+$B$4",
        ]
        put(sheet, f"{c}8", [[line] for line in lines], [MONEY])
    return book


def per_line_markup() -> Workbook:
    """Each line has its own markup and quantity; typed prices among calculated ones; a cross-footed hours table."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Offer"
    put(sheet, "A1", [["Line", "Description", "Qty", "Cost each", "Markup", "Price each", "Line price"]])
    lines = [
        ("Frame", 2, 310.5, 0.2),
        ("Guard", 2, 84, 0.25),
        ("Motor (bought)", 1, 420, 0.1),
        ("Control (bought)", 1, 655, 0.1),
        ("Cable set", 4, 22.4, 0.3),
        ("Test run", 1, 160, 0),
    ]
    for r, (text, qty, cost, markup) in enumerate(lines, 2):
        line = [r - 1, text, qty, cost, markup, f"=D{r}*(1+E{r})", f"=F{r}*C{r}"]
        put(sheet, f"A{r}", [line], ["", "", "0", MONEY, PERCENT, MONEY, MONEY])
    put(
        sheet,
        "F9",
        [["Goods", "=SUM(G2:G7)"], ["Packing", 35], ["Freight", 120], ["Net price", "=SUM(G9:G11)"]],
        ["", MONEY],
    )
    put(sheet, "A14", [["Hours", "Design", "Shop", "Site", "Sum"]])
    hours = [("Week 1", 12, 0, 0), ("Week 2", 6, 30, 0), ("Week 3", 0, 38, 4), ("Week 4", 0, 10, 16)]
    put(sheet, "A15", [[*week, f"=SUM(B{r}:D{r})"] for r, week in enumerate(hours, 15)])
    put(sheet, "A19", [["Sum", "=SUM(B15:B18)", "=SUM(C15:C18)", "=SUM(D15:D18)", "=SUM(E15:E18)"]])
    put(sheet, "A21", [["Check", "=SUM(B19:D19)-E19"], ["Offer valid until", "2026-12-31"]])
    return book


def different_kinds_of_lines() -> Workbook:
    """Operations that are honestly worked out in different ways: per piece, per lot, sampled, by weight."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Kalk"
    put(
        sheet,
        "A1",
        [["Pieces", 120], ["Sample share", 0.1], ["Part weight kg", 0.85], ["Rate workshop", 64], ["Rate CNC", 91]],
    )
    sheet["B2"].number_format = PERCENT
    put(sheet, "A8", [["Process", "h per piece", "h per lot", "Cost of lot"]])
    put(
        sheet,
        "A9",
        [
            ["Sawing", 0.02, 0.3, "=(B9*$B$1+C9)*$B$4"],
            ["Turning", 0.11, 1.2, "=(B10*$B$1+C10)*$B$5"],
            ["Milling", 0.19, 1.8, "=(B11*$B$1+C11)*$B$5"],
            ["Deburring", 0.04, 0, "=(B12*$B$1+C12)*$B$4"],
            ["Measuring (sample)", 0.15, 0.4, "=(B13*$B$1*$B$2+C13)*$B$4"],
            ["Hardening (by kg)", None, None, "=MAX(80,$B$3*$B$1*1.6)"],
            ["Total", None, None, "=SUM(D9:D14)"],
        ],
        ["", "0.00", "0.0", MONEY],
    )
    put(
        sheet,
        "A17",
        [["Bar stock", 7.4, None, "=B17*B1"], ["Total cost", None, None, "=D15+D17"]],
        ["", MONEY, "", MONEY],
    )
    put(sheet, "A19", [["Profit", 0.15, None, "=D18*B19"], ["Offer", None, None, "=D18+D19"]], ["", PERCENT, "", MONEY])
    put(
        sheet,
        "A21",
        [["per piece", None, None, "=D20/B1"], ["rounded", None, None, "=ROUND(D21,1)"]],
        ["", "", "", MONEY],
    )
    return book


MORE: dict[str, Callable[[], Workbook]] = {
    make.__name__: make
    for make in (spare_rows, totals_on_top, two_line_breaks, per_line_markup, different_kinds_of_lines)
}
