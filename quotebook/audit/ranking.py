"""The level that a finding deserves, and the order of findings: the worst first, then the largest effect on price."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from quotebook.audit.finding import Evidence, Finding, Proof, Severity
from quotebook.audit.view import BookView


def with_effect(view: BookView, finding: Finding) -> Finding:
    """Return the finding with its effect on the price, worked out from the cells to be put right."""
    if finding.effect_on_price is None and (finding.put_right or finding.put_right_names):
        moved = view.price_move(finding.put_right, finding.put_right_names)
        if moved is not None:
            cell, effect = moved
            finding = replace(finding, effect_on_price=effect)
            if effect and cell != view.price_cells[0]:
                told = Evidence(Proof.EFFECT, f"the price that moves is {cell.what} ({cell.address})")
                finding = replace(finding, evidence=(*finding.evidence, told))
        elif view.price_cells and view.price is None:
            finding = _with_price_after(view, finding)
    if finding.effect_on_price == 0 and finding.if_harmless is not None:
        return replace(finding, severity=finding.if_harmless)
    return finding


def _with_price_after(view: BookView, finding: Finding) -> Finding:
    """Say what the price is once the cells are put right, where there is no price as found to compare with."""
    cell = view.price_cells[0]
    after = view.what_if.results(finding.put_right, [cell.address], finding.put_right_names)[0].value
    if not isinstance(after, float):
        return finding
    told = Evidence(Proof.EFFECT, f"put right, {cell.what} is {after:,.2f}; as found there is no price")
    return replace(finding, evidence=(*finding.evidence, told))


def backed(view: BookView, finding: Finding) -> Finding:
    """Return the finding at the level that its evidence bears.

    Without a contract the two highest levels need a fact or two kinds of evidence; an effect on price is one.
    """
    if view.contract is not None or not finding.severity.is_grave:
        return finding
    proofs = {each.proof for each in finding.evidence}
    if finding.effect_on_price:
        proofs.add(Proof.EFFECT)
    if Proof.FACT in proofs or Proof.CONTRACT in proofs or len(proofs) >= 2:
        return finding
    return replace(finding, severity=Severity.LOOK_AT_IT)


def ranked(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings in the order of reports; an unknown effect stands before none."""

    def key(finding: Finding) -> tuple[object, ...]:
        effect = finding.effect_on_price
        size = 0.001 if effect is None else abs(effect)
        return finding.severity.rank, -size, finding.sheet, finding.cells, finding.check

    return sorted(findings, key=key)
