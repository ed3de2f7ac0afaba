"""The workbook is set to calculate only when asked to.

What it finds
    Manual calculation mode in a workbook with formulas.

Why it costs money
    Somebody changes a cycle time, the price stays as it was, and the old price goes out.

Faulty
    Calculation: manual

Sound
    Calculation: automatic

How to mend
    Set calculation back to automatic in the spreadsheet program and save.

False alarms
    Very large workbooks are kept on manual on purpose; an estimate of one part has no need of it.

Source
    Catalogue row T4; a known property of spreadsheet programs: the mode of the first workbook opened is taken over by
    all others.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Proof, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("manual-calculation", Severity.LOOK_AT_IT, ANY, When.WILL_GO_WRONG, Kind.STALE, rows=("T4",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    if view.snapshot.calculation.mode != "manual" or not view.book.formulas:
        return
    stale = view.stale_cells
    on_path = any(view.is_on_price_path(address) for address in stale)
    evidence = [Evidence(Proof.FACT, "the workbook's calculation mode is manual")]
    if stale:
        evidence.append(Evidence(Proof.VALUE, f"{len(stale)} stored results are not what their formulas give"))
    yield Finding(
        check=CHECK.name,
        severity=Severity.PROBABLY_WRONG if on_path else CHECK.severity,
        sheet="",
        cells="",
        found="manual calculation",
        expected="automatic calculation",
        mend="Set calculation to automatic, let the workbook calculate, and save.",
        evidence=tuple(evidence),
    )
