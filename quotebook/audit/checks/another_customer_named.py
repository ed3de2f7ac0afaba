"""The workbook tells of a customer that it is not for.

What it finds
    Where several files are audited in one call, and in a watched folder as it stands at that moment: the names of the
    other files' customers, mail addresses of their contacts, their quotation numbers, and three or more of their unit
    prices in a row. Looked for in cells, formulas, stored results, notes, rules, titles of sheets, defined names,
    properties, headers and drawings.

Why it costs money
    Whoever gets the file learns for whom else the shop works and at what price, and bargains from there; the other
    customer may not come back.

Faulty
    workbook for Example Pumps, with a note "as for Sample Conveyors, 5 % less"

Sound
    workbook for Example Pumps, with a note "as last time"

How to mend
    Delete the text. A workbook that was begun as a copy of another one is better begun anew: quotebook new

False alarms
    Companies of one group, who may know of each other: names that begin with the same telling word are told one level
    lower, and a name written a little differently counts as the same customer. A customer whose name is an ordinary
    word, a place or a person; names of one word are told only where they stand alone, or with a capital inside a
    sentence. Not looked for: names under four letters or of common words alone, customers that are this file's supplier
    or stand in the shop's own tables, quotation numbers without letters, part numbers. A file audited alone has nothing
    to be compared with, and nothing is said. Where a home-made workbook does not say by a label whose it is, one
    customer in it is taken for its own.

Source
    Catalogue row P10.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Severity, When
from quotebook.audit.grid import a1
from quotebook.audit.strangers import Own, Trace, own_names, strangers, traces
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.audit.whose import is_kin, is_same
from quotebook.values import Address

CHECK = Check("another-customer-named", Severity.PROBABLY_WRONG, ANY, When.WRONG_NOW, Kind.LEFT_OUT, rows=("P10",))
#: Places that one finding names beside its own.
_MOST_PLACES = 5


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each other customer, at the first place that tells of it."""
    if not view.others:
        return
    own = own_names(view)
    groups = _by_customer(traces(view, strangers(view, own.names)))
    if not own.is_sure and len(groups) < 2:
        return
    for group in groups:
        first = min(group, key=_order)
        customer = first.whose.customer
        is_kindred = any(is_kin(customer, name) for name in own.names)
        is_sure = own.is_sure and any(one.is_strong for one in group) and not is_kindred
        finding = told(
            CHECK,
            first.place,
            f"{first.what} in {first.where}",
            f"nothing of a customer other than {' and '.join(own.names)}"
            if own.is_sure
            else "one customer in one workbook",
            "Delete it; a workbook that was begun as a copy of another one is better begun anew.",
            *_reasons(group, first, own, is_kindred),
            severity=CHECK.severity if is_sure else Severity.LOOK_AT_IT,
        )
        place = first.place if isinstance(first.place, Address) else None
        # A name moves no price.
        yield replace(finding, effect_on_price=0.0, field=view.field_name(place) if place is not None else "")


def _by_customer(found: Sequence[Trace]) -> list[list[Trace]]:
    """Return the traces in groups, one for each customer however its name is written, in order of the names."""
    groups: list[list[Trace]] = []
    for one in sorted(found, key=lambda trace: (trace.whose, _order(trace))):
        home = next((group for group in groups if is_same(group[0].whose.customer, one.whose.customer)), None)
        if home is None:
            groups.append([one])
        else:
            home.append(one)
    return groups


def _order(trace: Trace) -> tuple[object, ...]:
    """Strong traces first, then those on cells, then as people go through a workbook."""
    place = trace.place
    cell = (place.sheet, *place[1:3]) if place is not None else ("", 0, 0)
    return not trace.is_strong, place is None, trace.kind, cell, trace.where, trace.what, trace.whose


def _reasons(group: Sequence[Trace], first: Trace, own: Own, is_kindred: bool) -> Iterator[Evidence]:
    files = sorted({one.whose.file for one in group})
    yield fact(f"{first.whose.customer} is the customer of {', '.join(files[:3])}{_more(len(files) - 3)}")
    if is_kindred:
        yield fact("the names begin alike: the two may be companies of one group")
    if not own.is_sure:
        yield fact("no label says whose the workbook is, and it tells of several customers")
    here = _place(first)
    names = dict.fromkeys(place for place in map(_place, sorted(group, key=_order)) if place != here)
    if names:
        yield fact(f"also {'; '.join([*names][:_MOST_PLACES])}{_more(len(names) - _MOST_PLACES)}")


def _place(trace: Trace) -> str:
    place = trace.place
    if place is None:
        return f"{trace.what} in {trace.where}"
    where = f"{place.sheet}!{a1(place) if isinstance(place, Address) else place}"
    return f"{trace.what} in {trace.where} at {where}"


def _more(count: int) -> str:
    return f" and {count} more" if count > 0 else ""
