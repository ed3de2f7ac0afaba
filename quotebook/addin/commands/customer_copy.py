"""Customer copy: the quotation alone; where something speaks against it, the person is asked about a draft."""

from __future__ import annotations

from quotebook.addin.talk import Answer, Ask, Request, free_name, target_of
from quotebook.flows.quote import Quoted, quote

#: Reasons that the question tells; the check lists all.
MOST_REASONS = 6


def answer(request: Request) -> Answer:
    """Ask for a name, make the copy, have it opened."""
    target = target_of(request)
    if target is None:
        return Answer(ask=Ask("target", "save", "Save the customer copy as", free_name(request, "quotation")))
    made = quote(request.workbook, target, anyway=bool(request.answers.get("anyway")), pdf=False)
    if made.files:
        mark = " It is marked DRAFT on every page, because something speaks against sending it." if made.draft else ""
        notes = "".join(f"\n\n{note}" for note in made.notes)
        return Answer(
            f"{target.name} holds the quotation and nothing of costs, hours or rates.{mark}{notes}",
            "warning" if made.draft else "info",
            open=tuple(map(str, made.files)),
        )
    if "anyway" in request.answers:
        return Answer(f"No customer copy was made.\n\n{_reasons(made)}", "warning")
    question = "Make it in spite of that, marked DRAFT on every page?"
    return Answer(ask=Ask("anyway", "yes-no", f"{_reasons(made)}\n\n{question}", optional=True))


def _reasons(made: Quoted) -> str:
    told = [f"- {one.sentence}" for one in made.refusals[:MOST_REASONS]]
    left = len(made.refusals) - len(told)
    more = [f"- and {left} more: check this workbook"] if left > 0 else []
    return "\n".join([f"{len(made.refusals)} reasons not to send this quotation:", *told, *more, *made.notes])
