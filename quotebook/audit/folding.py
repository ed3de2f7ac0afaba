"""Few, strong findings: one for each situation.

* Findings of one check that are alike and stand beside each other become one, for their whole range.
* A finding whose cells lie within those of an at least equally strong one is folded into it as further evidence.
* That a result is old never swallows why it is: findings of stale results take in only others of their kind.
* A finding that another one explains (it stands on a cell of ``explained_by``) is folded into that one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from quotebook.audit.finding import Evidence, Finding, Kind, Proof
from quotebook.audit.place import area_of, range_name
from quotebook.audit.registry import check_named
from quotebook.values import Address
from quotebook.workbook.areas import Area

#: A finding gives at most so many reasons; the rest is counted.
MOST_EVIDENCE = 6
#: Findings on stored results: explained only by what was changed where they begin.
OLD_RESULTS = frozenset({"stale-result"})


def merged(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings with runs of like ones on neighbouring cells made one, first along columns, then rows."""
    groups: dict[tuple[object, ...], list[tuple[Area, Finding]]] = {}
    whole: list[Finding] = []
    for finding in findings:
        area = area_of(finding.cells)
        if area is None:
            whole.append(finding)
            continue
        alike = finding.alike or f"{finding.found}|{finding.expected}"
        key = (finding.check, finding.severity, finding.sheet, finding.field, alike, finding.if_harmless)
        groups.setdefault(key, []).append((area, finding))
    for group in groups.values():
        joined = _joined(group, upright=True)
        whole.extend(finding for _, finding in _joined(joined, upright=False))
    return whole


def _joined(group: Sequence[tuple[Area, Finding]], upright: bool) -> list[tuple[Area, Finding]]:
    """Join areas of equal width that touch from above (or of equal height that touch from the left)."""
    done: list[tuple[Area, Finding]] = []
    for area, finding in sorted(group, key=lambda one: (one[0][1], one[0][0]) if upright else (one[0][0], one[0][1])):
        if done and _touches(done[-1][0], area, upright):
            before, first = done[-1]
            both = Area(before.first_row, before.first_column, area.last_row, area.last_column)
            done[-1] = (both, _both(first, finding, both))
        else:
            done.append((area, finding))
    return done


def _touches(before: Area, area: Area, upright: bool) -> bool:
    if upright:
        same = before.first_column == area.first_column and before.last_column == area.last_column
        return same and area.first_row <= before.last_row + 1
    same = before.first_row == area.first_row and before.last_row == area.last_row
    return same and area.first_column <= before.last_column + 1


def _both(first: Finding, second: Finding, area: Area) -> Finding:
    known = [each.text for each in first.evidence]
    extra = tuple(each for each in second.evidence if each.text not in known and each.proof is not Proof.SHAPE)
    return replace(
        first,
        cells=range_name(area),
        evidence=first.evidence + extra,
        put_right={**first.put_right, **second.put_right},
        explained_by=first.explained_by | second.explained_by,
    )


def folded(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings that stand by themselves; the others have become evidence of those that explain them.

    The findings must be ranked, the strongest first. Symptoms (findings with ``explained_by``) come after causes, so
    that a symptom never swallows its cause.
    """
    causes: list[Finding] = []
    for finding in (one for one in findings if not one.explained_by):
        _put(causes, finding, [n for n, other in enumerate(causes) if _covers(other, finding)])
    symptoms: list[Finding] = []
    for finding in (one for one in findings if one.explained_by):
        homes = [n for n, other in enumerate(causes) if _is_cause(other, finding)]
        if homes:
            _put(causes, finding, homes)
        else:
            alike = [n for n, other in enumerate(symptoms) if _covers(other, finding) or _explains(other, finding)]
            _put(symptoms, finding, alike)
    return [*causes, *symptoms]


def _put(kept: list[Finding], finding: Finding, homes: Sequence[int]) -> None:
    """Add a finding, or fold it into the first of its homes."""
    if homes:
        kept[homes[0]] = _with(kept[homes[0]], finding)
    else:
        kept.append(finding)


def _is_cause(cause: Finding, symptom: Finding) -> bool:
    """Tell whether a finding explains a symptom: it stands on its way, or it moves the price by itself.

    A cause may be one level weaker than what it leads to, not more.
    """
    if cause.severity.rank > symptom.severity.rank + 1:
        return False
    by_contract = any(each.proof is Proof.CONTRACT for each in cause.evidence)
    # What moves the price in the recomputed workbook does not make its stored results old.
    moves_price = (
        cause.severity.is_grave and cause.effect_on_price != 0 and by_contract and symptom.check not in OLD_RESULTS
    )
    return _covers(cause, symptom) or _explains(cause, symptom) or moves_price


def _is_stale(finding: Finding) -> bool:
    one = check_named(finding.check)
    return one is not None and one.check.kind is Kind.STALE


def _covers(strong: Finding, weak: Finding) -> bool:
    if _is_stale(strong) and not _is_stale(weak):
        return False
    if strong.sheet != weak.sheet or not weak.cells or not strong.cells:
        return False
    outer, inner = area_of(strong.cells), area_of(weak.cells)
    if outer is None or inner is None:
        return False
    return outer.holds(*inner[:2]) and outer.holds(*inner[2:])


def _explains(cause: Finding, symptom: Finding) -> bool:
    area = area_of(cause.cells)
    if area is None or not symptom.explained_by or cause.check == symptom.check or _is_stale(cause):
        return False
    return any(_on(cause.sheet, area, cell) for cell in symptom.explained_by)


def _on(sheet: str, area: Area, cell: Address) -> bool:
    return cell.sheet == sheet and area.holds(cell.row, cell.column)


def _with(finding: Finding, folded_one: Finding) -> Finding:
    if len(finding.evidence) >= MOST_EVIDENCE or folded_one.check == finding.check:
        return finding
    where = f" at {folded_one.sheet}!{folded_one.cells}" if folded_one.cells != finding.cells else ""
    reason = f"also {folded_one.check}{where}: found {folded_one.found or 'nothing'}"
    proofs = [each.proof for each in folded_one.evidence]
    proof = next((each for each in proofs if each is not Proof.FACT), Proof.VALUE)
    return replace(finding, evidence=(*finding.evidence, Evidence(proof, reason)))
