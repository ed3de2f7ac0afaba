"""Traces of other files' customers in a workbook: their names, mail addresses, quotation numbers and prices."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from quotebook.audit.all_texts import CELL, KEPT, NOTE, RESULT, Said, all_texts
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Span
from quotebook.audit.view import BookView, cells_of
from quotebook.audit.whose import (
    LONGEST_NAME,
    Whose,
    are_telling_prices,
    core,
    folded,
    is_same,
    is_telling,
    is_telling_number,
)
from quotebook.clock import tick
from quotebook.values import Address
from quotebook.workbook.file_kinds import SUMMARY_MARK

#: Prices in a row that must agree.
_RUN = 3
#: Labels of the customer's name; and words that may stand before anything, the shop's own name too.
_OWN_LABEL = re.compile(
    r"\s*(?:(?P<sure>customer|client|bill to|sold to|quot(?:e|ation) (?:for|to)|prepared for)"
    r"|company|ship to|for|to|attention|attn)(?: name)?\s*(?::\s*(?P<name>.*))?", re.IGNORECASE | re.DOTALL
)  # fmt: skip
_NOT_A_CUSTOMER = re.compile(
    r"supplier|vendor|subcontract|outside|material|machine|work cent|bought|purchased|make|brand"
)
_FARTHEST_OWN = 4
_SHORT = 200
_SHOWN = 80


class Trace(NamedTuple):
    """One place that tells of another file's customer.

    ``place``: the cell or run of cells, None where it is on none; ``what`` and ``where``: in words. ``is_strong``: a
    name, a mail address or prices, not a quotation number alone.
    """

    whose: Whose
    kind: int
    place: Address | Span | None
    what: str
    where: str
    is_strong: bool


class _Wanted(NamedTuple):
    """A phrase to look for: ``words`` folded, ``exact`` (small letters) where signs count too; "" where not."""

    whose: Whose
    words: str
    exact: str
    what: str
    is_strong: bool
    is_one_word: bool


class Own(NamedTuple):
    """Names that are a workbook's own; ``is_sure``: whether they say whose it is, not only that they belong there."""

    names: tuple[str, ...]
    is_sure: bool


def own_names(view: BookView) -> Own:
    """Return the names of those whom a workbook is for: by its contract, else by labels.

    A request to a supplier is for no customer at all; its names are those of the supplier and of the shop.
    """
    if view.contract is None:
        labelled = sorted(set(_labelled(view)))
        customers = [one.customer for one in view.others]
        is_sure = any(
            is_telling(name) and (sure or any(is_same(name, other) for other in customers)) for name, sure in labelled
        )
        return Own(tuple(dict.fromkeys(name for name, _ in labelled)), is_sure)
    fields = ("customer_name",) if "customer_name" in view.contract.fields else ("request_to", "request_from")
    names = tuple(one for one in (_typed_text(view, name) for name in fields) if 0 < len(one) <= LONGEST_NAME)
    return Own(names, bool(names))


def _typed_text(view: BookView, field: str) -> str:
    cell = view.field_cell(field)
    value = view.stored(cell) if cell is not None else None
    return value if isinstance(value, str) else ""


def _labelled(view: BookView) -> Iterator[tuple[str, bool]]:
    """Yield the text beside or below each label, and whether the label is one of a customer's name."""
    for sheet in view.snapshot.sheets:
        for (row, column), cell in sheet.cells.items():
            if not isinstance(cell.value, str) or len(cell.value) > LONGEST_NAME:
                continue
            label = _OWN_LABEL.fullmatch(cell.value)
            if label is None:
                continue
            beside = [(row, column + step) for step in range(1, _FARTHEST_OWN)]
            texts = [label["name"] or "", *(sheet.cells[key].value for key in beside if key in sheet.cells)]
            below = sheet.cells.get((row + 1, column))
            texts = [one for one in texts if isinstance(one, str) and one.strip()] or [below.value if below else ""]
            if isinstance(texts[0], str) and 0 < len(texts[0].strip()) <= LONGEST_NAME:
                yield texts[0].strip(), label["sure"] is not None


def strangers(view: BookView, own: Sequence[str]) -> list[Whose]:
    """Return the other files' customers that are not the workbook's own, nor the shop, nor among what it buys from."""
    firm = view.snapshot.properties.get("Company", "")
    known = [*own, firm] if len(firm) <= LONGEST_NAME else list(own)
    if view.contract is None:
        known.append(view.path.stem[:LONGEST_NAME])  # people name a file after the customer
    shop = f" {' | '.join(folded(text) for text in _shop_texts(view))} "
    return [
        one
        for one in view.others
        if is_telling(one.customer)
        and not any(is_same(one.customer, name) for name in known)
        and f" {' '.join(core(one.customer))} " not in shop
    ]


def _shop_texts(view: BookView) -> Iterator[str]:
    """Yield what stands in the shop's own tables, where suppliers are named, and on the sheets as they were made."""
    if view.located is None or view.contract is None:
        return
    for placed in view.located.fields.values():
        if _is_shop(placed.table_bind or placed.field.bind) or placed.field.name == "supplier_name":
            for cell, _, _ in cells_of(placed):
                value = view.stored(cell)
                if isinstance(value, str):
                    yield value
    for other in view.contract.others:
        if not other.is_formula:
            yield other.text


def _is_shop(bind: str) -> bool:
    return bind.startswith("shop.")


def traces(view: BookView, others: Sequence[Whose]) -> list[Trace]:
    """Return the places that tell of these customers; stored results and kept texts only where nothing else does."""
    if SUMMARY_MARK in view.snapshot.custom_properties:
        return []  # a summary of many jobs names them all
    found = [*_in_texts(view, others), *_in_prices(view, others)]
    told = {one.whose.customer for one in found if one.kind not in (RESULT, KEPT)}
    shown = {one.whose.customer for one in found if one.kind != KEPT}
    return [
        one
        for one in found
        if (one.kind != RESULT or one.whose.customer not in told)
        and (one.kind != KEPT or one.whose.customer not in shown)
    ]


def _wanted(view: BookView, others: Iterable[Whose]) -> Iterator[_Wanted]:
    own_number, own_contact = (_typed_text(view, name).casefold() for name in ("quote_number", "customer_contact"))
    for one in others:
        words = core(one.customer)
        yield _Wanted(one, " ".join(words), "", f"the customer {one.customer}", True, len(words) == 1)
        for mail in one.mails:
            if mail not in own_contact:
                yield _Wanted(one, folded(mail), mail, f"the mail address {mail}", True, False)
        number = one.quote_number
        if is_telling_number(number) and number.casefold() != own_number:
            yield _Wanted(one, folded(number), number.casefold(), f"the quotation number {number}", False, False)


def _in_texts(view: BookView, others: Sequence[Whose]) -> Iterator[Trace]:
    by_word: dict[str, list[_Wanted]] = defaultdict(list)
    for one in _wanted(view, others):
        if one.words:
            by_word[max(one.words.split(), key=len)].append(one)
    keys = by_word.keys()
    clean: set[str] = set()  # short texts without any of the words: labels and formulas that come again and again
    for said in all_texts(view):
        if said.text in clean:
            continue
        words = folded(said.text).split()
        hit = keys & set(words)
        if not hit and len(said.text) < _SHORT:
            clean.add(said.text)
        for key in sorted(hit):
            line = f" {' '.join(words)} "
            for one in by_word[key]:
                if f" {one.words} " in line and _means(view, one, said):
                    yield Trace(one.whose, said.kind, said.cell, one.what, _shown(said), one.is_strong)


def _shown(said: Said) -> str:
    """Return the place in words, with what stands there where it is a person's text."""
    if said.kind not in (CELL, NOTE, RESULT):
        return said.where
    text = " ".join(said.text.split())
    return f'{said.where} that says "{text if len(text) <= _SHOWN else text[:_SHOWN] + "…"}"'


def _means(view: BookView, one: _Wanted, said: Said) -> bool:
    """Tell whether a text in which the words stand means the customer by them."""
    if one.exact and not re.search(rf"(?<![\w-]){re.escape(one.exact)}(?![\w-])", said.text.casefold()):
        return False
    if one.is_one_word and not _is_name_in(one.words, said.text):
        return False
    if said.kind == CELL and said.cell is not None and view.contract is None:
        return _NOT_A_CUSTOMER.search(foreign(view).labels.of(said.cell).words) is None
    return True


def _is_name_in(word: str, text: str) -> bool:
    """Tell whether one word is meant as a name: it is the whole text, or has a capital within a sentence."""
    if core(text[:LONGEST_NAME]) == (word,):
        return True
    parts = text.split()
    return any(
        folded(part) == word and not part.strip("\"'([").islower() and not before.endswith((".", "!", "?", ":"))
        for before, part in pairwise(parts)
    )


def _in_prices(view: BookView, others: Sequence[Whose]) -> Iterator[Trace]:
    """Yield, for each other file, the longest row or column of typed figures that are its unit prices in order."""
    wanted = {window[0] for one in others for window in _windows(one.prices).values()}
    if not wanted:
        return
    starts = _typed(view, wanted)
    own = set(_windows(_own_prices(view)).values())
    for one in others:
        prices = [round(price, 6) for price in one.prices]
        runs = [
            run
            for start, window in _windows(one.prices).items()
            if window not in own
            for cell in starts.get(window[0], ())
            for run in (_run(view, cell, prices[start:], 1, 0), _run(view, cell, prices[start:], 0, 1))
            if run.size >= _RUN
        ]
        if runs:
            run = max(sorted(runs), key=lambda run: run.size)
            figures = ", ".join(f"{view.book.inputs[cell]:.10g}" for cell in run.cells())
            yield Trace(one, CELL, run, f"unit prices of {one.customer}", f"cells that say {figures}", True)


def _run(view: BookView, first: Address, prices: Sequence[float], down: int, right: int) -> Span:
    """Return how far typed figures from a cell on, downwards or to the right, are the prices."""
    tick()
    length = 1
    while length < len(prices):
        cell = first._replace(row=first.row + down * length, column=first.column + right * length)
        if _figure(view, cell) != prices[length]:
            break
        length += 1
    return Span(*first, first.row + down * (length - 1), first.column + right * (length - 1))


def _windows(prices: Sequence[float]) -> dict[int, tuple[float, ...]]:
    """Return the telling stretches of three prices by where they begin."""
    rounded = [round(price, 6) for price in prices]
    windows = {n: tuple(rounded[n : n + _RUN]) for n in range(len(rounded) - _RUN + 1)}
    return {n: window for n, window in windows.items() if are_telling_prices(window)}


def _own_prices(view: BookView) -> list[float]:
    placed = view.field("unit_price")
    if placed is None:
        return []
    cells = (Address(placed.sheet, placed.row, placed.column + lot) for lot in range(1, placed.columns))
    return [value for value in map(view.stored, cells) if isinstance(value, float)]


def _figure(view: BookView, cell: Address) -> float | None:
    value = view.book.inputs.get(cell)
    return round(value, 6) if isinstance(value, float) else None


def _typed(view: BookView, wanted: set[float]) -> Mapping[float, list[Address]]:
    """Return where the wanted figures are typed, outside of the shop's own tables."""
    found: dict[float, list[Address]] = defaultdict(list)
    for cell, value in view.book.inputs.items():
        if isinstance(value, float) and round(value, 6) in wanted:
            place = view.fields_at.get(cell)
            if place is None or not _is_shop(place.placed.table_bind or place.placed.field.bind):
                found[round(value, 6)].append(cell)
    return found
