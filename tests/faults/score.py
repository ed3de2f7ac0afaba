"""Judging one audited copy: hit, near miss or miss, and what else was reported.

Hit: a finding that is at least to be looked at, not on the untouched twin, naming the faulty cell, its run or the
nearest total fed by it, from a check whose family can explain such a fault. Near miss: such a finding elsewhere on the
way to the price. In copies with old results left, that results are old explains nothing but a stale price.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quotebook.audit.finding import Finding, Severity
from quotebook.audit.registry import all_checks
from quotebook.values import Address
from quotebook.workbook.areas import parse_area
from tests.faults.ground import Ground
from tests.faults.plant import Planted

HIT, NEAR, MISS = "hit", "near miss", "miss"
#: The unit of comparison: a cent, and room for the rounding of binary fractions.
CENT = 0.005 + 1e-9


@dataclass(frozen=True)
class Judged:
    """The outcome for one copy.

    ``grave_right`` and ``grave_wrong``: findings of the two highest levels, new against the twin, that name the fault
    or do not; of the latter ``consequences`` stand on cells that depend on the faulty ones. ``effect``: what the hit
    says; ``true_effect``: price before minus price after; None where it is no number.
    """

    outcome: str
    grave_hit: bool
    grave_right: int
    grave_wrong: int
    consequences: int
    effect: float | None
    true_effect: float | None
    texts: tuple[str, ...]


def judge(ground: Ground, planted: Planted, findings: Iterable[Finding], twin: frozenset[str], stale: bool) -> Judged:
    """Judge the findings of one copy; ``twin``: keys of the findings of the untouched base."""
    new = [finding for finding in findings if key_of(finding) not in twin]
    hits = [finding for finding in new if is_hit(planted, finding, stale)]
    near = [f for f in new if f not in hits and f.severity.rank <= 2 and _on_chain(ground, f)]
    grave = [f for f in new if f.severity.is_grave and not (stale and families_of(f.check) <= set("T"))]
    wrong = [f for f in grave if f not in hits and not _names(planted, f)]
    downstream = _downstream(ground, planted)
    return Judged(
        outcome=HIT if hits else NEAR if near else MISS,
        grave_hit=any(f.severity.is_grave for f in hits),
        grave_right=len(grave) - len(wrong),
        grave_wrong=len(wrong),
        consequences=sum(bool(downstream & set(cells_of(f))) for f in wrong),
        effect=next((f.effect_on_price for f in hits if f.effect_on_price is not None), None),
        true_effect=true_effect(planted),
        texts=tuple(text_of(f) for f in new),
    )


def is_hit(planted: Planted, finding: Finding, stale: bool) -> bool:
    """Tell whether a finding tells of the planted fault."""
    if finding.severity.rank > Severity.LOOK_AT_IT.rank or not _names(planted, finding):
        return False
    allowed = set(planted.kind.families)
    if stale and planted.kind.number != 25:
        allowed.discard("T")  # that results are old is true of every such copy and explains none of the faults
    return bool(families_of(finding.check) & allowed)


def families_of(check: str) -> set[str]:
    """Return the first letters of the catalogue rows that a check covers; empty for no check of the registry."""
    return {row[0] for one in all_checks() if one.check.name == check for row in one.check.rows}


def cells_of(finding: Finding) -> list[Address]:
    """Return the cells that a finding names."""
    area = parse_area(finding.cells) if finding.cells else None
    if area is None:
        return []
    rows, columns = range(area.first_row, area.last_row + 1), range(area.first_column, area.last_column + 1)
    return [Address(finding.sheet, row, column) for row in rows for column in columns]


def key_of(finding: Finding) -> str:
    """Return what makes a finding the same on the twin: check, place and what was found."""
    return f"{finding.check} {finding.sheet}!{finding.cells}"


def text_of(finding: Finding) -> str:
    """Return a finding on one line."""
    where = f"{finding.sheet}!{finding.cells}" if finding.cells else "workbook"
    return f"[{finding.severity.value}] {finding.check} at {where}: {finding.found} / expected {finding.expected}"


def true_effect(planted: Planted) -> float | None:
    """Return what putting the fault right does to the first price that it moves; None where a price is no number."""
    sign = -1 if planted.fault.stale_only else 1
    if planted.fault.left_out is not None:
        return None
    for before, after in zip(planted.before, planted.after, strict=True):
        if not isinstance(before, float) or not isinstance(after, float):
            if before != after:
                return None
            continue
        if abs(before - after) > 1e-9 * max(1.0, abs(before)):
            return sign * (before - after)
    return 0.0


def _names(planted: Planted, finding: Finding) -> bool:
    name = planted.fault.name
    if name and (finding.field.casefold() == name.casefold() or name.casefold() in finding.found.casefold()):
        return True
    return any(cell in planted.right for cell in cells_of(finding))


def _on_chain(ground: Ground, finding: Finding) -> bool:
    return any(cell in ground.chain for cell in cells_of(finding))


def _downstream(ground: Ground, planted: Planted) -> set[Address]:
    found = set(planted.fault.cells)
    waiting = list(found)
    while waiting:
        for reader in ground.dependants(waiting.pop()):
            if reader not in found:
                found.add(reader)
                waiting.append(reader)
    return found
