"""The customer's copy as a file: one page of values, built fresh from what it is handed and from nothing else."""

from __future__ import annotations

import datetime
import io
from collections.abc import Sequence
from dataclasses import dataclass

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook

from quotebook.workbook.looks import ALARM, GROUND_HEADING, INK, QUIET, MoneyLook

FIXED_DATE = datetime.datetime(2000, 1, 1)
#: What stands on a copy that must not be taken for an offer.
DRAFT = "DRAFT: not an offer"


@dataclass(frozen=True, slots=True)
class Offered:
    """One quantity as the customer sees it; a text stands where a price cannot be given."""

    quantity: str
    unit_price: float | str
    supplement: float | str
    extended: float | str
    nonrecurring: float | str
    first_total: float | str
    repeat_unit: float | str


@dataclass(frozen=True, slots=True)
class CustomerCopy:
    """Everything that a customer is told. ``head``: label and text; ``terms``: full sentences."""

    sender: tuple[str, ...]
    head: tuple[tuple[str, str], ...]
    prices: tuple[Offered, ...]
    terms: tuple[str, ...]
    money: MoneyLook
    draft: bool
    paper: int


_HEADINGS = (
    "Good pieces", "Unit price", "Order minimum supplement", "Extended price", "Nonrecurring, once",
    "First order, total", "Repeat order, unit price",
)  # fmt: skip


def customer_copy_bytes(copy: CustomerCopy) -> bytes:
    """Return the workbook; its only properties are a title and a fixed date."""
    buffer = io.BytesIO()
    safe = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, **safe})
    sheet = book.add_worksheet("Quotation")
    sheet.set_column(0, 0, 20)
    sheet.set_column(1, 6, 15)
    row = 0
    if copy.draft:
        sheet.write_string(row, 0, DRAFT, _look(book, bold=True, font_size=20, font_color=ALARM))
        row += 1
    sheet.write_string(row, 0, "Quotation", _look(book, bold=True, font_size=18))
    for line in filter(None, copy.sender):
        row += 1
        sheet.write_string(row, 0, line, _look(book))
    row += 1
    for label, text in copy.head:
        row += 1
        sheet.write_string(row, 0, label, _look(book, font_color=QUIET))
        sheet.merge_range(row, 1, row, 6, "", _look(book, bold=True, text_wrap=True, num_format="@"))
        sheet.write_string(row, 1, text, _look(book, bold=True, text_wrap=True, num_format="@"))
    row = _prices(book, copy, row + 2)
    for sentence in filter(None, copy.terms):
        row += 1
        lines = 1 + len(sentence) // 105 + sentence.count("\n")
        sheet.set_row(row, 13.5 * lines)
        sheet.merge_range(row, 0, row, 6, "", _look(book, text_wrap=True, valign="top", num_format="@"))
        sheet.write_string(row, 0, sentence, _look(book, text_wrap=True, valign="top", num_format="@"))
    sheet.set_paper(copy.paper)
    sheet.fit_to_pages(1, 0)
    sheet.hide_gridlines(2)
    sheet.set_margins(left=0.6, right=0.6, top=1.0, bottom=0.8)
    sheet.set_header(f'&C&"Liberation Sans,Bold"&16{DRAFT}' if copy.draft else "")
    sheet.set_footer((f"&L{DRAFT}" if copy.draft else "") + "&CPage &P of &N")
    book.set_properties({"title": "Quotation", "created": FIXED_DATE})
    book.close()
    return buffer.getvalue()


def _prices(book: Workbook, copy: CustomerCopy, row: int) -> int:
    sheet = book.worksheets()[0]
    for column, heading in enumerate(_HEADINGS):
        align = "right" if column else "left"
        head = _look(book, bold=True, text_wrap=True, bg_color=GROUND_HEADING, bottom=1, align=align, valign="bottom")
        sheet.write_string(row, column, heading, head)
    fine, coarse = _amount(copy.money, copy.money.price_decimals), _amount(copy.money, copy.money.decimals)
    for one in copy.prices:
        row += 1
        sheet.write_string(row, 0, one.quantity, _look(book))
        entries: Sequence[tuple[float | str, str]] = (
            (one.unit_price, fine), (one.supplement, coarse), (one.extended, coarse), (one.nonrecurring, coarse),
            (one.first_total, coarse), (one.repeat_unit, fine),
        )  # fmt: skip
        for column, (amount, shown) in enumerate(entries, start=1):
            if isinstance(amount, str):
                sheet.write_string(row, column, amount, _look(book, align="right"))
            else:
                sheet.write_number(row, column, amount, _look(book, num_format=shown, align="right"))
    return row + 1


def _amount(money: MoneyLook, decimals: int) -> str:
    digits = "#,##0" + ("." + "0" * decimals if decimals else "")
    return f'"{money.symbol}"{digits}'


def _look(book: Workbook, **properties: object) -> Format:
    return book.add_format({"font_name": "Liberation Sans", "font_size": 10, "font_color": INK, **properties})
