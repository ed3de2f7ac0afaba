"""The price does not answer to an input as it must.

What it finds
    Each input on the way to the price is raised a little, and the workbook's own formulas say what each lot then costs.
    Reported are inputs whose cost lowers the price, costs per lot that are not the same in every lot, costs per piece
    that do not follow the pieces, and hours at a rate above zero that the price does not hear.

Why it costs money
    A setup that is divided by the wrong quantity, or a cost that is subtracted, looks right on the sheet and is wrong
    in every quotation.

Faulty
    setup hours up by 1 %: lot of 5 up by 1.43, lot of 100 up by 28.60

Sound
    setup hours up by 1 %: every lot up by 1.43

How to mend
    Follow the input from cell to cell to the first formula that uses it wrongly; a changed formula that this audit
    names is the first place to look.

False alarms
    Steps (bars, packs, minimums) hide small answers; inputs that go through such steps are only held to "never down".
    An input that another cell overrules (the setup computed, by the setup typed) is not expected to be heard.

Source
    Catalogue rows F36, F37 and V10; the expected answers are a table of what each line of cost scales with.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.entries import Entry, entries
from quotebook.audit.expected_responses import Expected, expected_responses
from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Proof, Severity, When
from quotebook.audit.nudge import Response, nudge
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check(
    "contrary-response",
    Severity.PROBABLY_WRONG,
    (Need.CONTRACT, Need.PRICE),
    When.WRONG_NOW,
    Kind.REASONING,
    ("F36", "F37", "V10"),
)
#: Differences below this share are float noise.
NOISE = 1e-6


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per input."""
    prices = [cell for lot in view.lots if (cell := view.field_cell("lot_price", lot)) is not None]
    sizes = [view.field_number("lot_size", lot) or 0.0 for lot in view.lots]
    if len(prices) != len(sizes) or not prices:
        return
    wanted, nudged = expected_responses(), _nudged(view)
    for address, response in nudge(view, nudged, prices).items():
        entry = nudged[address]
        found = _wrong(view, entry, response, wanted[entry.name], sizes)
        if found:
            moves = ", ".join("unknown" if move is None else f"{move:+.4g}" for move in response.moves)
            way = view.links.descendants([address]) & view.links.ancestors(prices)
            yield tell(
                view, CHECK, address, found, _rule(wanted[entry.name]), "Follow the input to the first wrong formula.",
                Evidence(Proof.EFFECT, f"raised by {shown(response.step)}, the lots move by {moves}"),
                by_contract(f"what {entry.name} scales with"),
                explained_by=way | frozenset(promised(view).broken_at),
            )  # fmt: skip


def _nudged(view: BookView) -> dict[Address, Entry]:
    """Return the inputs to be nudged: one row of each column where all rows hold the promised formulas, else all."""
    whole = not promised(view).broken
    chosen: dict[Address, Entry] = {}
    seen: set[str] = set()
    for entry in entries(view):
        if entry.name in expected_responses() and entry.value and not (whole and entry.name in seen):
            seen.add(entry.name)
            chosen[entry.address] = entry
    return chosen


def _rule(expected: Expected) -> str:
    if expected.per == "lot":
        return "the same rise in every lot"
    return "a rise in proportion to the pieces" if expected.per == "piece" else "a price that does not fall"


def _wrong(view: BookView, entry: Entry, response: Response, expected: Expected, sizes: list[float]) -> str:
    """Return what is wrong with a response in a few words, "" for nothing or for what cannot be told."""
    moves = [move for move in response.moves if move is not None]
    if len(moves) != len(sizes):
        return ""
    noise = _noise(response)
    if min(moves) < -noise:
        return "the price falls"
    if expected.per == "lot" and max(moves) - min(moves) > NOISE * max(moves) + noise:
        return "the lots move by different amounts"
    each = [move / size for move, size in zip(moves, sizes, strict=True)]
    if expected.per == "piece" and max(each) - min(each) > NOISE * max(each) + noise:
        return "the lots do not move with their pieces"
    heard = any(moves) or not expected.rates
    # An hour at a rate must be heard, unless it is too small beside the price; minutes are 60 times less.
    least = max((view.field_number(rate, entry.row) or 0.0 for rate in expected.rates), default=0.0)
    overruled = any(view.field_value(name, entry.row) not in (None, "") for name in expected.unless)
    deaf = not heard and not overruled and least * response.step / 60 > noise
    return "the price does not hear it" if deaf and _costs(view) else ""


def _noise(response: Response) -> float:
    """Return what subtracting two large figures may leave, or a nudge may lose: a small share of the price."""
    return 4e-9 * max((abs(price) for price in response.before if price is not None), default=0.0)


def _costs(view: BookView) -> bool:
    """Tell whether the price is made from cost rates, so that a cost rate above zero must be heard."""
    return view.field_value("basis_in_force") == "cost plus"
