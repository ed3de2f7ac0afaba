"""Short forms in which the foreign checks tell a finding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from quotebook.audit.finding import Check, Evidence, Finding, Mended, Proof, Severity
from quotebook.audit.grid import Span, a1
from quotebook.values import Address

Place = Address | Span | None


def told(
    check: Check,
    place: Place,
    found: str,
    expected: str,
    mend: str,
    *evidence: Evidence,
    severity: Severity | None = None,
    put_right: Mapping[Address, Mended] | None = None,
    if_harmless: Severity | None = None,
    alike: str = "",
    explained_by: Iterable[Address] = (),
) -> Finding:
    """Return a finding on one cell, on a stretch of cells, or on the workbook as a whole."""
    sheet = place.sheet if place is not None else ""
    cells = a1(place) if isinstance(place, Address) else str(place) if place is not None else ""
    return Finding(
        check=check.name,
        severity=severity or check.severity,
        sheet=sheet,
        cells=cells,
        found=found,
        expected=expected,
        mend=mend,
        evidence=evidence,
        put_right=put_right or {},
        if_harmless=if_harmless,
        alike=alike,
        explained_by=frozenset(explained_by),
    )


def shape(text: str) -> Evidence:
    """Return evidence from how formulas, constants and blanks stand beside each other."""
    return Evidence(Proof.SHAPE, text)


def value(text: str) -> Evidence:
    """Return evidence from figures."""
    return Evidence(Proof.VALUE, text)


def label(text: str) -> Evidence:
    """Return evidence from labels and formats."""
    return Evidence(Proof.LABEL, text)


def effect(text: str) -> Evidence:
    """Return evidence from the response of the price."""
    return Evidence(Proof.EFFECT, text)


def fact(text: str) -> Evidence:
    """Return evidence that is certain by itself."""
    return Evidence(Proof.FACT, text)


def on(cell: Address, here: str) -> str:
    """Return an address, with its sheet only where that is another one."""
    return a1(cell) if cell.sheet == here else str(cell)
