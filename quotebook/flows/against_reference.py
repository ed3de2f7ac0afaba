"""The recomputed figures of a workbook against the reference pricing of its inputs."""

from __future__ import annotations

from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Evaluation
from quotebook.flows.against_contract import against_contract
from quotebook.flows.elements import TOTALS, Key, reference_values
from quotebook.flows.field_view import FieldView
from quotebook.flows.opening import Opened
from quotebook.flows.recomputed import Disagreement, PriceRow, Recomputed, Unknown
from quotebook.flows.trade_elements import rows_of, trade_values
from quotebook.template.plan import Placed
from quotebook.values import Address, Value
from quotebook.workbook.aligned import home_of, home_positions
from quotebook.workbook.promise_memory import broken_cells
from quotebook.workbook.promises import Broken


def against_reference(opened: Opened, evaluation: Evaluation, out: Recomputed) -> None:
    """Compare every figure that both sides know, fill in the price table, and say what the reference cannot price."""
    assert opened.contract is not None
    assert opened.located is not None
    if not opened.contract.intact:
        out.notes.append("the contract sheet was edited: what it promises cannot be trusted")
    for name, text in opened.located.lost.items():
        reason = f"its defined name is missing or broken (it says {text!r})" if text else "its defined name is missing"
        out.unknown.append(Unknown("", name, "", reason))
    broken = broken_cells(opened.contract, opened.located, opened.snapshot, opened.book)
    against_contract(opened, broken, out)
    seen = FieldView(opened, evaluation)
    price_table(seen, out)
    if opened.job is None or opened.shop is None:
        for problem in opened.problems:
            out.unknown.append(Unknown("", "reference price", "", problem))
        return
    from quotebook.pricing import fit_check, price_job
    from quotebook.pricing.usual import usual_stock_price

    out.notes.extend(opened.problems)
    usual = usual_stock_price(opened.job, opened.shop)
    if usual is not None:
        symbol = opened.shop.money.currency_symbol
        out.notes.append(
            f"the stock is priced at the shop's usual {symbol}{usual[0]:,.2f} {usual[1]}, not a supplier's"
        )
    price = price_job(opened.job, opened.shop)
    for reason in price.all_missing:
        out.unknown.append(Unknown("", "reference price", "", reason))
    rows = rows_of(opened)
    values = dict(reference_values(price, fit_check(opened.job, opened.shop), rows.breaks, rows.operations))
    values.update(trade_values(opened.job, opened.shop, price, rows))
    places = _Places(opened)
    for key, reference in values.items():
        placed = opened.located.fields.get(key[0])
        if placed is None:
            continue
        address = places.of(placed, key)
        if address is None:
            continue
        known, recomputed = seen.value(address)
        if not known or not _comparable(key[0], reference, recomputed, bool(price.all_missing)):
            continue
        out.compared_reference += 1
        if reference is not None and compare(recomputed, reference).verdict is Verdict.AGREES:
            continue
        out.disagreements.append(
            Disagreement(
                "recomputed and reference", str(address), key[0], seen.stored(address), recomputed, reference,
                _wrong_reason(broken, address),
            )
        )  # fmt: skip


def _comparable(name: str, reference: Value, recomputed: Value, incomplete: bool) -> bool:
    """Tell whether the two can be judged.

    What the reference does not know is judged only for totals: a number there is too much. While something is missing
    the workbook may say so in more places than the reference does.
    """
    if reference is None:
        return name in TOTALS and isinstance(recomputed, float)
    return not (incomplete and recomputed == "incomplete")


def _wrong_reason(broken: list[Broken], address: Address) -> str:
    if not broken:
        return "all formulas are as made; the template and the reference pricing read the inputs differently"
    # A cell changed is a likelier reason than an emptied one: those are mostly rows inserted and left blank.
    likely = next((one for one in broken if one.found), broken[0])
    here = next((one for one in broken if one.address == address), likely)
    more = f"; {len(broken) - 1} more changed cells" if len(broken) > 1 else ""
    return f"{here.address} ({here.field}) holds {here.found or 'nothing'!r}, expected {here.expected!r}{more}"


class _Places:
    """The cells of the figures that both sides know."""

    def __init__(self, opened: Opened) -> None:
        self.opened = opened
        self._positions: dict[str, list[int] | None] = {}

    def of(self, placed: Placed, key: Key) -> Address | None:
        """Return the cell of a key; its row counts in the home table, and a row inserted there has none elsewhere."""
        _, lot, row = key
        positions = None if row is None else self._at_home(placed)
        if row is not None and positions is not None:
            if row not in positions:
                return None
            row = positions.index(row)
        return Address(placed.sheet, placed.row + (row or 0), placed.column + (lot or 0))

    def _at_home(self, placed: Placed) -> list[int] | None:
        """Return for each row of a column its position in the home table; None where it is in its own table."""
        name, located = placed.field.name, self.opened.located
        assert located is not None
        if name not in self._positions:
            home = home_of(placed, located.fields)
            self._positions[name] = None if home is None else home_positions(self.opened.snapshot, placed, home)
        return self._positions[name]


def price_table(seen: FieldView, out: Recomputed) -> None:
    """Fill in part, currency and prices as the workbook's own formulas give them."""
    part, revision = seen.text("part_number"), seen.text("part_revision")
    out.part = f"{part} rev {revision}" if part and revision else part
    out.currency = seen.text("currency_symbol")
    decimals = seen.number("money_decimals")
    out.decimals = int(decimals) if decimals is not None else 2
    placed = seen.opened.located.fields.get("lot_size") if seen.opened.located else None
    for lot in range(1, placed.columns if placed else 0):
        quantity = seen.number("lot_size", lot)
        if not quantity:
            continue
        row = [
            seen.number(name, lot)
            for name in ("unit_price", "extended_price", "nonrecurring_due", "lot_cost", "lot_margin")
        ]
        out.prices.append(PriceRow(quantity, *row))
        repeat = {"quantity": quantity, "unit_price": seen.number("repeat_unit_price", lot)}
        out.repeat_order.append({**repeat, "extended_price": seen.number("repeat_extended", lot)})
    out.first_piece = seen.number("first_piece_total")
    out.next_piece = seen.number("next_piece_price")
