"""A short form in which the checks of the contract tell a finding: on cells, with their field's name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from quotebook.audit.finding import Check, Evidence, Finding, Mended, NameKey, Proof, Severity
from quotebook.audit.place import cells_name
from quotebook.audit.view import BookView
from quotebook.values import Address

Cells = Address | Iterable[Address] | None


def tell(
    view: BookView,
    check: Check,
    cells: Cells,
    found: str,
    expected: str,
    mend: str,
    *evidence: Evidence,
    severity: Severity | None = None,
    put_right: Mapping[Address, Mended] | None = None,
    put_right_names: Mapping[NameKey, str | None] | None = None,
    effect: float | None = None,
    if_harmless: Severity | None = None,
    alike: str = "",
    field: str = "",
    explained_by: Iterable[Address] = (),
) -> Finding:
    """Return a finding on a cell, on cells of one sheet, or (None) on the workbook as a whole."""
    listed = [cells] if isinstance(cells, Address) else list(cells or ())
    return Finding(
        check=check.name,
        severity=severity or check.severity,
        sheet=listed[0].sheet if listed else "",
        cells=cells_name(listed) if listed else "",
        found=found,
        expected=expected,
        mend=mend,
        field=field or (view.field_name(listed[0]) if listed else ""),
        effect_on_price=effect,
        evidence=evidence,
        put_right=put_right or {},
        put_right_names=put_right_names or {},
        if_harmless=if_harmless,
        alike=alike,
        explained_by=frozenset(explained_by),
    )


def by_contract(text: str) -> Evidence:
    """Return evidence from what the contract promises."""
    return Evidence(Proof.CONTRACT, text)


def by_value(text: str) -> Evidence:
    """Return evidence from figures."""
    return Evidence(Proof.VALUE, text)


def fact(text: str) -> Evidence:
    """Return evidence that needs no second."""
    return Evidence(Proof.FACT, text)
