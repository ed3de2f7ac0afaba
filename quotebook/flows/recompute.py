"""Recomputing a workbook: stored results, evaluator and reference pricing side by side, and where they differ.

Three answers to "what is the price?" that do not borrow from each other: the results that the spreadsheet program
stored in the file, the evaluator's own results of the file's formulas, and the reference pricing of the inputs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from quotebook.engine import evaluate
from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Evaluation, Status
from quotebook.errors import BookError
from quotebook.flows.elements import TOTALS, Key, reference_values
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.trade_elements import Rows, rows_of, trade_values
from quotebook.template.plan import Placed
from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewResult
from quotebook.workbook.patch import write_copy
from quotebook.workbook.promises import Broken, broken_promises

SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two of the answers differ. ``between`` says which two; values are None where nothing was stored or known."""

    between: Literal["stored and recomputed", "recomputed and reference", "recomputed and witness"]
    cell: str
    field: str
    stored: Value
    recomputed: Value
    reference: Value
    reason: str


@dataclass(frozen=True, slots=True)
class Unknown:
    """A cell or a field whose value could not be told, and why."""

    cell: str
    field: str
    formula: str
    reason: str


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One line of the price table as recomputed; None is unknown."""

    quantity: float | None
    unit_price: float | None
    extended_price: float | None
    nonrecurring: float | None
    cost: float | None
    margin: float | None


@dataclass(slots=True)
class Recomputed:
    """The result for one file. ``error`` is set, and everything else empty, when it could not be read."""

    file: str
    error: str | None = None
    has_contract: bool = False
    formulas: int = 0
    evaluated: int = 0
    compared_stored: int = 0
    compared_reference: int = 0
    prices: list[PriceRow] = field(default_factory=list)
    first_piece: float | None = None
    next_piece: float | None = None
    repeat_order: list[dict[str, float | None]] = field(default_factory=list)
    disagreements: list[Disagreement] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    part: str = ""
    currency: str = ""
    decimals: int = 2

    @property
    def agree(self) -> bool | None:
        """True when everything that could be judged agrees and nothing is unknown; None when something is unknown."""
        if self.error is not None:
            return None
        if self.disagreements:
            return False
        return None if self.unknown else True


def recompute(
    path: Path, *, witness: str | None = None, save_as: Path | None = None, force: bool = False
) -> Recomputed:
    """Recompute one workbook.

    ``witness``: "formulas" or "ironcalc" asks that library as well. ``save_as``: writes a copy with fresh stored
    results and nothing else changed.
    Errors: BookError for an unreadable file or a target that may not be written.
    """
    opened = open_workbook(path)
    evaluation = evaluate(opened.book)
    result = Recomputed(str(path), formulas=len(evaluation.results), evaluated=evaluation.evaluated)
    result.unknown.extend(_not_evaluated(opened, evaluation))
    result.disagreements.extend(_against_stored(opened, evaluation, result))
    if opened.contract is None:
        result.notes.append("carries no contract of quotebook, so there is no reference price to compare with")
    else:
        result.has_contract = True
        _against_reference(opened, evaluation, result)
    if witness is not None:
        result.disagreements.extend(_against_witness(opened, evaluation, witness, result))
    if save_as is not None:
        write_copy(path, save_as, fresh_results(opened, evaluation), force=force)
        result.notes.append(f"copy with fresh stored results: {save_as}")
    return result


def fresh_results(opened: Opened, evaluation: Evaluation) -> Mapping[Address, Change]:
    """Return the stored results that have to be replaced, so that every one known is the recomputed one."""
    changes: dict[Address, Change] = {}
    for address, result in evaluation.results.items():
        cell = opened.snapshot.cell(address)
        if cell is None or result.status is not Status.EVALUATED:
            continue
        if not _same_stored(cell.value, result.value):
            changes[address] = NewResult(result.value)
    return changes


def _same_stored(stored: Value, fresh: Value) -> bool:
    return type(stored) is type(fresh) and stored == fresh


# -- stored against recomputed ------------------------------------------------------------------


def _not_evaluated(opened: Opened, evaluation: Evaluation) -> Iterator[Unknown]:
    fields = _field_names(opened)
    for address, result in evaluation.results.items():
        if result.status is not Status.EVALUATED:
            formula = "=" + opened.book.formulas.get(address, "")
            yield Unknown(str(address), fields.get(address, ""), formula, result.reason)


def _against_stored(opened: Opened, evaluation: Evaluation, out: Recomputed) -> Iterator[Disagreement]:
    fields: Mapping[Address, str] | None = None
    nothing_stored = other_errors = 0
    for address, result in evaluation.results.items():
        if result.status is not Status.EVALUATED:
            continue
        cell = opened.snapshot.cell(address)
        stored = cell.value if cell is not None else None
        if stored is None and result.value not in (None, ""):
            nothing_stored += 1
            continue
        out.compared_stored += 1
        agreement = compare(_text_for_blank(stored), _text_for_blank(result.value))
        if agreement.verdict is Verdict.AGREES or result.volatile:
            continue
        if agreement.kind == "another error":
            other_errors += 1
            continue
        if fields is None:
            fields = _field_names(opened)
        yield Disagreement(
            "stored and recomputed", str(address), fields.get(address, ""), stored, result.value, None,
            _stale_reason(opened),
        )  # fmt: skip
    if other_errors:
        out.notes.append(f"{other_errors} cells hold another kind of error than recomputed; programs differ in these")
    if nothing_stored:
        out.notes.append(
            f"{nothing_stored} of {len(evaluation.results)} formulas have no stored result: the file was never "
            "calculated by a spreadsheet program"
        )


def _text_for_blank(value: Value) -> Value:
    """A formula that gives nothing is stored as an empty text, or not at all, depending on the program."""
    return "" if value is None else value


def _stale_reason(opened: Opened) -> str:
    if opened.snapshot.calculation.mode == "manual":
        return "manual calculation is on: the stored result is older than the inputs"
    if not opened.snapshot.calculation.full_precision:
        return "'precision as displayed' is on: stored results are rounded as shown"
    return "the stored result is older than the inputs, or was edited by hand"


def _field_names(opened: Opened) -> Mapping[Address, str]:
    if opened.located is None:
        return {}
    names: dict[Address, str] = {}
    for name, placed in opened.located.fields.items():
        for row in range(placed.rows):
            for column in range(placed.columns):
                names[Address(placed.sheet, placed.row + row, placed.column + column)] = name
    return names


# -- recomputed against the reference pricing ---------------------------------------------------


def _against_reference(opened: Opened, evaluation: Evaluation, out: Recomputed) -> None:
    assert opened.contract is not None
    assert opened.located is not None
    if not opened.contract.intact:
        out.notes.append("the contract sheet was edited: what it promises cannot be trusted")
    for name, text in opened.located.lost.items():
        reason = f"its defined name is missing or broken (it says {text!r})" if text else "its defined name is missing"
        out.unknown.append(Unknown("", name, "", reason))
    seen = _View(opened, evaluation)
    _price_table(seen, out)
    if opened.job is None or opened.shop is None:
        for problem in opened.problems:
            out.unknown.append(Unknown("", "reference price", "", problem))
        return
    from quotebook.pricing import fit_check, price_job

    price = price_job(opened.job, opened.shop)
    for reason in price.all_missing:
        out.unknown.append(Unknown("", "reference price", "", reason))
    rows = seen.rows()
    values = dict(reference_values(price, fit_check(opened.job, opened.shop), rows.breaks, rows.operations))
    values.update(trade_values(opened.job, opened.shop, price, rows))
    broken: list[Broken] | None = None
    for key, reference in values.items():
        placed = opened.located.fields.get(key[0])
        if placed is None:
            continue
        address = _address(placed, key)
        known, recomputed = seen.value(address)
        if not known or not _comparable(key[0], reference, recomputed, bool(price.all_missing)):
            continue
        out.compared_reference += 1
        if reference is not None and compare(recomputed, reference).verdict is Verdict.AGREES:
            continue
        if broken is None:
            broken = list(broken_promises(opened.contract, opened.located, opened.snapshot))
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


def _address(placed: Placed, key: Key) -> Address:
    _, lot, row = key
    return Address(placed.sheet, placed.row + (row or 0), placed.column + (lot or 0))


class _View:
    """Values of a workbook's fields as recomputed."""

    def __init__(self, opened: Opened, evaluation: Evaluation) -> None:
        self.opened = opened
        self.results = evaluation.results

    def value(self, address: Address) -> tuple[bool, Value]:
        """Return whether the value is known, and the value: the recomputed result, or the constant typed there."""
        result = self.results.get(address)
        if result is not None:
            return result.status is Status.EVALUATED, result.value
        return True, self.opened.book.inputs.get(address)

    def stored(self, address: Address) -> Value:
        cell = self.opened.snapshot.cell(address)
        return cell.value if cell is not None else None

    def number(self, name: str, lot: int = 0) -> float | None:
        placed = self.opened.located.fields.get(name) if self.opened.located else None
        if placed is None:
            return None
        known, value = self.value(Address(placed.sheet, placed.row, placed.column + lot))
        return value if known and isinstance(value, float) else None

    def text(self, name: str) -> str:
        placed = self.opened.located.fields.get(name) if self.opened.located else None
        if placed is None:
            return ""
        known, value = self.value(Address(placed.sheet, placed.row, placed.column))
        return str(value) if known and value is not None else ""

    def rows(self) -> Rows:
        """Return where each list of the job stands in the workbook."""
        return rows_of(self.opened)


def _price_table(seen: _View, out: Recomputed) -> None:
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


# -- recomputed against a witness ---------------------------------------------------------------


def _against_witness(opened: Opened, evaluation: Evaluation, name: str, out: Recomputed) -> Iterator[Disagreement]:
    from quotebook.engine.witness import witness_formulas, witness_ironcalc

    answer = (witness_formulas if name == "formulas" else witness_ironcalc)(opened.book)
    fields = _field_names(opened)
    judged = 0
    for address, result in evaluation.results.items():
        other = answer.results.get(address)
        if other is None or other.status is not Status.EVALUATED or result.status is not Status.EVALUATED:
            continue
        judged += 1
        theirs = _text_for_blank(other.value)
        if compare(_text_for_blank(result.value), theirs).verdict is not Verdict.AGREES:
            yield Disagreement(
                "recomputed and witness", str(address), fields.get(address, ""), theirs, result.value, None,
                f"the witness {name} says {theirs!r}; known differences of that library are in DEVELOPERS.md",
            )  # fmt: skip
    out.notes.append(f"witness {name}: judged {judged} of {len(evaluation.results)} formulas")


def recompute_all(
    paths: Sequence[Path], *, witness: str | None = None, save_as: Path | None = None, force: bool = False
) -> list[Recomputed]:
    """Recompute several workbooks; a file that cannot be read is named in its result and never stops the others.

    Errors: BookError only for the target of ``save_as``.
    """
    results: list[Recomputed] = []
    for path in paths:
        try:
            results.append(recompute(path, witness=witness))
        except BookError as error:
            results.append(Recomputed(str(path), error=str(error)))
            continue
        if save_as is not None:
            results[-1] = recompute(path, witness=witness, save_as=save_as, force=force)
    return results
