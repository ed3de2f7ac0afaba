"""Running the checks over one workbook: every check called, nothing hidden, few findings left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quotebook.audit.finding import Evidence, Finding, Need, Proof, Severity
from quotebook.audit.folding import folded, merged
from quotebook.audit.ranking import backed, ranked, with_effect
from quotebook.audit.registry import Registered, all_checks
from quotebook.audit.view import BookView
from quotebook.clock import AUDIT_SECONDS, OWN_SECONDS, OutOfTime, tick, within
from quotebook.engine.book import Status

#: The finding that stands for a check that crashed.
CHECK_FAILED = "check-failed"


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A check that could not judge this workbook, and why."""

    check: str
    reason: str


@dataclass(frozen=True, slots=True)
class Audited:
    """The findings of one workbook, the worst first, and what could not be judged."""

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]


def audit_view(
    view: BookView,
    checks: Sequence[Registered] | None = None,
    *,
    seconds: float | None = None,
    since: float | None = None,
) -> Audited:
    """Run the checks (all of them by default) over one workbook.

    A check that crashes becomes the finding ``check-failed``; one whose needs are not met, or for which no time was
    left of ``seconds`` (processor time; None: what ``clock`` gives such a workbook), is listed as not judged.
    ``since``: when the file was opened, as ``clock.began`` tells it; None: now.
    """
    if seconds is None:
        seconds = OWN_SECONDS if view.contract is not None and view.contract.intact else AUDIT_SECONDS
    raw: list[Finding] = []
    not_judged: list[NotJudged] = []
    with within(seconds, since):
        for one in all_checks() if checks is None else checks:
            try:
                tick()
                reason = unmet(view, one)
                if reason is None:
                    raw.extend(_run(view, one))
            except OutOfTime:
                reason = f"the {seconds:g} s of computing that one workbook is given were used up"
            if reason:
                not_judged.append(NotJudged(one.check.name, reason))
        judged = [backed(view, _with_effect(view, finding)) for finding in ranked(merged(raw))]
    return Audited(tuple(ranked(folded(ranked(judged)))), tuple(not_judged))


def _with_effect(view: BookView, finding: Finding) -> Finding:
    try:
        tick()
        return with_effect(view, finding)
    except OutOfTime:
        return finding  # its effect stays unknown


def unmet(view: BookView, one: Registered) -> str | None:
    """Return why a check cannot judge a workbook; "" if it is not meant for it; None if it can.

    A check meant for workbooks with a contract is not meant for others, and the other way round.
    """
    needs = one.check.needs
    has_contract = view.contract is not None
    if (Need.CONTRACT in needs and not has_contract) or (Need.NO_CONTRACT in needs and has_contract):
        return ""
    if Need.MODELS in needs and (view.job is None or view.shop is None):
        return "the inputs make no valid job and shop profile: " + "; ".join(view.problems[:3])
    if Need.RECOMPUTED in needs:
        results = view.evaluation.results.values()
        if not any(result.status is Status.EVALUATED for result in results):
            return "no formula could be recomputed"
    if Need.PRICE in needs and view.price is None:
        if view.price_cells:
            return f"the price at {view.price_cells[0].address} is no number now"
        return "no price cell is known; name it with --price"
    return None


def _run(view: BookView, one: Registered) -> list[Finding]:
    try:
        return list(one.find(view))
    except OutOfTime:
        raise
    except Exception as error:  # one bad check must not hide the others
        return [
            Finding(
                check=CHECK_FAILED,
                severity=Severity.LOOK_AT_IT,
                sheet="",
                cells="",
                found=f"{one.check.name} stopped: {type(error).__name__}: {error}",
                expected="a check that runs to its end",
                mend="Report this workbook to the makers of quotebook; what the check would have said is not known.",
                evidence=(Evidence(Proof.FACT, "the other checks are not affected"),),
            )
        ]
