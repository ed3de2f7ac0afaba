"""Fill in supplier prices: the requests that came back, from a folder, into a copy of the job."""

from __future__ import annotations

from pathlib import Path

from quotebook.addin.talk import Answer, Ask, Request, free_name, target_of
from quotebook.flows.merge import merge_returns
from quotebook.flows.returned_folder import returns_under

#: Rows and files that the box names.
MOST_LINES = 8


def answer(request: Request) -> Answer:
    """Ask for the folder and a name, write the copy, have it opened."""
    folder = request.answers.get("folder")
    if not isinstance(folder, str) or not folder:
        beside = str(request.document.parent) if request.document is not None else ""
        return Answer(ask=Ask("folder", "folder", "Folder with the suppliers' answers", beside))
    target = target_of(request)
    if target is None:
        text = "Save the job with supplier prices as"
        return Answer(ask=Ask("target", "save", text, free_name(request, "priced")))
    own = [request.document] if request.document is not None else []
    found = returns_under(Path(folder), [*own, target])
    merged = merge_returns(request.workbook, found.returned, target)
    chosen = sum(offer.chosen for offer in merged.offers)
    lines = [f"{target.name}: {len(merged.offers)} prices filled in, {chosen} of them chosen; nothing else changed."]
    odd = [f"- {one.line}, {one.returned.supplier}: {one.why}" for one in merged.offers if not one.chosen]
    odd += [f"- {file}: {reason}" for file, reason in (*merged.refused, *found.unread)]
    odd += [f"- {note}" for note in merged.notes]
    lines += ["\n".join([*odd[:MOST_LINES], *([f"- and {len(odd) - MOST_LINES} more"] * (len(odd) > MOST_LINES))])]
    usable = merged.all_usable and not found.unread
    return Answer("\n\n".join(filter(None, lines)), "info" if usable else "warning", open=(str(target),))
