"""Clean quote sheets as small shops make them at home: no names, merged heads, totals in odd places.

Everything is invented. Each is free of the faults that the audit looks for: a strong finding on one is a false alarm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill
from openpyxl.utils import get_column_letter

from quotebook.flows.recompute import recompute

MONEY = "#,##0.00"
PERCENT = "0%"


def put(sheet: Any, corner: str, rows: Sequence[Sequence[Any]], formats: Sequence[str] = ()) -> None:
    """Write rows from a corner on; None leaves a cell empty. ``formats`` are number formats by column."""
    first = sheet[corner]
    for down, row in enumerate(rows):
        for across, value in enumerate(row):
            if value is None:
                continue
            cell = sheet.cell(first.row + down, first.column + across, value)
            if across < len(formats) and formats[across] and not (isinstance(value, str) and value[:1] != "="):
                cell.number_format = formats[across]


def heading(sheet: Any, area: str, text: str) -> None:
    """Write a merged, coloured heading."""
    sheet.merge_cells(area)
    cell = sheet[area.split(":")[0]]
    cell.value, cell.font = text, Font(bold=True)
    cell.fill = PatternFill("solid", fgColor="DDDDDD")


def hours_down() -> Workbook:
    """One sheet, operations down, rates typed beside each, markup at the foot."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Quote"
    heading(sheet, "A1:G1", "QUOTATION (invented example)")
    put(sheet, "A2", [["Customer", "Example A"], ["Part no.", "P-1001"], ["Quantity", 25]])
    put(sheet, "A6", [["Op", "Work", "Setup hrs", "Run hrs/pc", "Rate/hr", "Hours total", "Amount"]])
    ops = [
        (10, "Saw", 0.25, 0.05, 45),
        (20, "Turn first side", 1.5, 0.2, 72),
        (30, "Turn second side", 1, 0.15, 72),
        (40, "Mill flats", 2, 0.25, 85),
        (50, "Deburr", 0, 0.08, 40),
        (60, "Inspect", 0.5, 0.05, 60),
    ]
    rows = [[*op, f"=C{r}+D{r}*$B$4", f"=F{r}*E{r}"] for r, op in enumerate(ops, 7)]
    put(sheet, "A7", rows, ["0", "", "0.00", "0.00", MONEY, "0.00", MONEY])
    put(
        sheet,
        "E14",
        [
            ["Labour", None, "=SUM(G7:G12)"],
            ["Material", None, "=B17*B18*$B$4"],
            ["Outside", None, "=B20"],
            ["Cost", None, "=SUM(G14:G16)"],
            ["Markup", 0.25, "=G17*F18"],
            ["Total price", None, "=G17+G18"],
            ["Price each", None, "=G19/B4"],
        ],
        ["", PERCENT, MONEY],
    )
    put(sheet, "A17", [["Weight kg", 1.2], ["Price per kg", 4.8], ["Plating", "lot charge"], ["Amount", 120]])
    return book


def breaks_across() -> Workbook:
    """Costs once, price breaks across five columns."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Sheet1"
    heading(sheet, "B1:G1", "Price breaks (invented)")
    put(sheet, "A3", [["Setup cost per lot", 310], ["Run minutes per piece", 7.5], ["Machine rate per hour", 78]])
    put(sheet, "A6", [["Material per piece", 11.4], ["Scrap allowance", 0.03], ["Profit", 0.2]])
    sheet["B7"].number_format = sheet["B8"].number_format = PERCENT
    put(sheet, "B10", [["Lot size", 1, 10, 25, 50, 100]])
    labels = ["Setup per piece", "Run per piece", "Material per piece", "Cost per piece", "Unit price", "Lot price"]
    put(sheet, "B11", [[label] for label in labels])
    for column in range(3, 8):
        c = get_column_letter(column)
        formulas = [
            f"=$B$3/{c}$10",
            "=$B$4/60*$B$5",
            "=$B$6*(1+$B$7)",
            f"=SUM({c}11:{c}13)",
            f"=ROUND({c}14*(1+$B$8),2)",
            f"={c}15*{c}10",
        ]
        put(sheet, f"{c}11", [[f] for f in formulas], [MONEY])
    return book


def rates_sheet() -> Workbook:
    """Two sheets: rates looked up exactly by machine, operations on the quote."""
    book = Workbook()
    quote = book.active
    quote.title = "Quote"
    rates = book.create_sheet("Rates")
    put(rates, "A1", [["Machine", "Rate per hour", "Operator"], ["Lathe", 70, 1], ["Mill 3 axis", 82, 1]])
    put(rates, "A4", [["Mill 5 axis", 115, 1], ["Grinder", 66, 1], ["Bench", 42, 1], ["CMM", 75, 1]])
    put(quote, "A1", [["Quote for", "Bracket"], ["Qty", 40], ["Material", "6082 plate"]])
    put(quote, "A4", [["Thickness mm", 20], ["Width mm", 120], ["Length mm", 205], ["Density kg/dm3", 2.7]])
    put(quote, "A8", [["Weight kg", "=B4*B5*B6*B7/1000000"], ["Material price per kg", 6.1]])
    heading(quote, "A11:H11", "Operations")
    put(quote, "A12", [["No", "Machine", "Setup min", "Cycle min", "Rate", "Setup cost", "Run cost", "Total"]])
    ops = [(10, "Mill 3 axis", 60, 9), (20, "Mill 5 axis", 90, 14), (30, "Bench", 0, 4), (40, "CMM", 30, 2)]
    for r, op in enumerate(ops, 13):
        look = f"=VLOOKUP(B{r},Rates!$A$2:$C$7,2,FALSE)"
        line = [*op, look, f"=C{r}/60*E{r}", f"=D{r}/60*E{r}*$B$2", f"=F{r}+G{r}"]
        put(quote, f"A{r}", [line], ["0", "", "0", "0.0", MONEY, MONEY, MONEY, MONEY])
    put(quote, "E18", [["Sum", "=SUM(F13:F16)", "=SUM(G13:G16)", "=SUM(H13:H16)"]], ["", MONEY, MONEY, MONEY])
    put(quote, "A20", [["Material", "=B8*B9*B2"], ["Machining", "=H18"], ["Anodise", 95], ["Freight", 40]], ["", MONEY])
    put(quote, "A24", [["Total cost", "=SUM(B20:B23)"], ["Margin", 0.3], ["Quote price", "=B24/(1-B25)"]], ["", MONEY])
    quote["B25"].number_format = PERCENT
    put(quote, "A27", [["Each", "=ROUND(B26/B2,2)"]], ["", MONEY])
    return book


def operations_across() -> Workbook:
    """Operations across, lines down, the total at the right end and at the top."""
    book = Workbook()
    sheet = book.active
    put(sheet, "A1", [["Job", "Shaft", None, "PRICE PER PIECE", "=G16"]])
    put(sheet, "A3", [["Pieces", 60]])
    put(sheet, "A5", [["", "Saw", "Turn", "Mill", "Grind", "Inspect", "Total"]])
    put(sheet, "A6", [["Setup (h)", 0.2, 1.5, 2, 1, 0.5], ["Run (h/pc)", 0.03, 0.22, 0.3, 0.18, 0.04]])
    put(sheet, "A8", [["Rate ($/h)", 40, 70, 85, 78, 60]])
    letters = "BCDEF"
    put(sheet, "A9", [["Hours per lot", *[f"={c}6+{c}7*$B$3" for c in letters], "=SUM(B9:F9)"]])
    put(sheet, "A10", [["Cost per lot", *[f"={c}9*{c}8" for c in letters], "=SUM(B10:F10)"]])
    put(
        sheet,
        "E12",
        [
            ["Machining per piece", None, "=G10/$B$3"],
            ["Bar per piece", None, 8.35],
            ["Hardening per piece", None, 3.1],
            ["Overhead 15%", None, "=SUM(G12:G14)*0.15"],
            ["Price per piece", None, "=SUM(G12:G15)*1.1"],
        ],
        ["", "", MONEY],
    )
    return book


def subtotal_blocks() -> Workbook:
    """Three blocks with sub-totals, added up by hand as a chain; times in minutes, rates per hour."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Estimate"
    put(sheet, "A1", [["Estimate no.", 2041], ["Date", "2026-03-02"], ["Qty", 12]])
    heading(sheet, "A5:E5", "1. Material")
    put(sheet, "A6", [["Item", "Qty", "Unit price", "", "Amount"]])
    items = [("Plate 20 mm", 2, 38.5), ("Bar 30 mm", 1.5, 12.2), ("Screws", 24, 0.18)]
    put(sheet, "A7", [[*item, None, f"=B{r}*C{r}"] for r, item in enumerate(items, 7)], ["", "0.0", MONEY, "", MONEY])
    put(sheet, "A10", [["Material total", None, None, None, "=SUM(E7:E9)"]], ["", "", "", "", MONEY])
    heading(sheet, "A12:E12", "2. Machining")
    put(sheet, "A13", [["Operation", "Minutes", "Rate per hour", "", "Amount"]])
    ops = [("Cut", 40, 45), ("Mill", 310, 85), ("Drill and tap", 95, 60), ("Deburr", 60, 40), ("Check", 45, 60)]
    rows = [[*op, None, f"=B{r}/60*C{r}"] for r, op in enumerate(ops, 14)]
    put(sheet, "A14", rows, ["", "0", MONEY, "", MONEY])
    put(sheet, "A19", [["Machining total", None, None, None, "=SUM(E14:E18)"]], ["", "", "", "", MONEY])
    heading(sheet, "A21:E21", "3. Bought out")
    outs = [("Anodise", 1, 140), ("Engrave", 12, 2.5)]
    put(sheet, "A22", [[*item, None, f"=B{r}*C{r}"] for r, item in enumerate(outs, 22)], ["", "0", MONEY, "", MONEY])
    put(sheet, "A24", [["Bought out total", None, None, None, "=SUM(E22:E23)"]], ["", "", "", "", MONEY])
    put(sheet, "A26", [["Cost", None, None, None, "=E10+E19+E24"]], ["", "", "", "", MONEY])
    put(sheet, "A27", [["Overhead", 0.12, None, None, "=E26*B27"]], ["", PERCENT, "", "", MONEY])
    put(sheet, "A28", [["Profit", 0.15, None, None, "=(E26+E27)*B28"]], ["", PERCENT, "", "", MONEY])
    put(sheet, "A29", [["Price", None, None, None, "=SUM(E26:E28)"]], ["", "", "", "", MONEY])
    put(sheet, "A30", [["Price each", None, None, None, "=E29/B3"]], ["", "", "", "", MONEY])
    return book


def sorted_breaks() -> Workbook:
    """A sorted discount table looked up by range, prices across, a guarded look-up, inches."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Calc"
    put(sheet, "A1", [["Stock dia in", 2.25], ["Length in", 4.125], ["lb per cu in", 0.284], ["$ per lb", 1.95]])
    put(sheet, "A5", [["Blank weight lb", "=PI()*B1^2/4*(B2+0.125)*B3"], ["Material each", "=B5*B4"]], ["", "0.000"])
    put(sheet, "A8", [["Setup hours", 3], ["Cycle min", 6.4], ["Shop rate", 90]])
    put(sheet, "D1", [["From qty", "Discount"], [1, 0], [25, 0.03], [100, 0.06], [500, 0.1]], ["0", PERCENT])
    put(sheet, "A13", [["Finish", "Black oxide"], ["Finish each", "=IFERROR(VLOOKUP(B13,D8:E10,2,FALSE),0)"]])
    put(sheet, "D7", [["Finish", "each"], ["Zinc", 0.9], ["Black oxide", 0.65], ["Nickel", 2.4]])
    put(sheet, "A17", [["Qty", 10, 25, 100, 250, 500]])
    names = ["Setup", "Run", "Material", "Finish", "Each before discount", "Discount", "Unit price", "Extended"]
    put(sheet, "A18", [[name] for name in names])
    for c in "BCDEF":
        formulas = [
            f"=$B$8*$B$10/{c}17",
            "=$B$9/60*$B$10",
            "=$B$6",
            "=$B$14",
            f"=SUM({c}18:{c}21)*1.35",
            f"=VLOOKUP({c}17,$D$2:$E$5,2)",
            f"={c}22*(1-{c}23)",
            f"={c}24*{c}17",
        ]
        put(sheet, f"{c}18", [[f] for f in formulas], [MONEY])
        sheet[f"{c}23"].number_format = PERCENT
    return book


def parts_list() -> Workbook:
    """Many parts, one line each, hours by department, a discount and tax at the foot."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Assembly"
    put(sheet, "A1", [["Assembly quote", None, None, "Turning rate", 68], [None, None, None, "Milling rate", 84]])
    put(sheet, "D3", [["Handling", 0.08]])
    sheet["E3"].number_format = PERCENT
    put(sheet, "A5", [["Pos", "Part", "Qty", "Turn h", "Mill h", "Material", "Work", "Each", "Line total"]])
    parts = [
        ("Base", 1, 0, 2.5, 48), ("Cover", 1, 0, 1.2, 22), ("Shaft", 2, 0.8, 0.2, 14), ("Bush", 4, 0.3, 0, 5.5),
        ("Clamp", 4, 0, 0.4, 3.2), ("Spacer", 6, 0.15, 0, 1.1), ("Knob", 2, 0.2, 0.1, 2.4), ("Pin", 8, 0.05, 0, 0.4),
    ]  # fmt: skip
    for r, part in enumerate(parts, 6):
        line = [r - 5, *part, f"=D{r}*$E$1+E{r}*$E$2", f"=G{r}+F{r}*(1+$E$3)", f"=H{r}*C{r}"]
        put(sheet, f"A{r}", [line], ["0", "", "0", "0.00", "0.00", MONEY, MONEY, MONEY, MONEY])
    put(sheet, "B14", [["Totals", "=SUM(C6:C13)", None, None, None, None, None, "=SUM(I6:I13)"]])
    put(sheet, "H16", [["Assembly", 180], ["Sub total", "=I14+I16"], ["Discount", "=-I17*0.05"]], ["", MONEY])
    put(sheet, "H19", [["Net", "=I17+I18"], ["Tax 19%", "=I19*0.19"], ["To pay", "=I19+I20"]], ["", MONEY])
    return book


def summary_of_sheets() -> Workbook:
    """A summary in front of two detail sheets; a running total; yes/no switches."""
    book = Workbook()
    front = book.active
    front.title = "Summary"
    for title, ops in (("Housing", (55, 140, 35, 20)), ("Lid", (30, 48, 22, 10))):
        sheet = book.create_sheet(title)
        put(sheet, "A1", [["Part", title], ["Lot", 50], ["Rate", 76]])
        put(sheet, "A5", [["Step", "Minutes each", "Setup min", "Lot hours", "Running hours", "Cost"]])
        for r, minutes in enumerate(ops, 6):
            running = f"=D{r}" if r == 6 else f"=E{r - 1}+D{r}"
            line = [f"Step {r - 5}", minutes / 10, minutes, f"=(C{r}+B{r}*$B$2)/60", running, f"=D{r}*$B$3"]
            put(sheet, f"A{r}", [line], ["", "0.0", "0", "0.00", "0.00", MONEY])
        put(sheet, "A10", [["Total", None, "=SUM(C6:C9)", "=SUM(D6:D9)", None, "=SUM(F6:F9)"]])
        put(sheet, "A12", [["Coating wanted", "yes"], ["Coating cost", '=IF(B12="yes",1.2*B2,0)']])
        put(sheet, "A14", [["Part cost", "=F10+B13"]], ["", MONEY])
    put(front, "A1", [["Summary of quote (invented)"]])
    put(front, "A3", [["Part", "Cost", "Markup", "Price"]])
    put(front, "A4", [["Housing", "=Housing!B14", 0.3, "=B4*(1+C4)"]], ["", MONEY, PERCENT, MONEY])
    put(front, "A5", [["Lid", "=Lid!B14", 0.25, "=B5*(1+C5)"]], ["", MONEY, PERCENT, MONEY])
    put(front, "A6", [["Packing", 60, 0, "=B6*(1+C6)"]], ["", MONEY, PERCENT, MONEY])
    put(front, "A7", [["Total", "=SUM(B4:B6)", None, "=SUM(D4:D6)"]], ["", MONEY, PERCENT, MONEY])
    return book


CLEAN: dict[str, Callable[[], Workbook]] = {
    make.__name__: make
    for make in (
        hours_down,
        breaks_across,
        rates_sheet,
        operations_across,
        subtotal_blocks,
        sorted_breaks,
        parts_list,
        summary_of_sheets,
    )
}


def saved(book: Workbook, path: Path, *, calculated: bool = True) -> Path:
    """Save a workbook, with stored results as a spreadsheet program would leave them unless told otherwise."""
    if not calculated:
        book.save(path)
        return path
    raw = path.with_name(f"raw-{path.name}")
    book.save(raw)
    recompute(raw, save_as=path, force=True)
    raw.unlink()
    return path
