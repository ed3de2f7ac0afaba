"""Close out: whether the job made money, in the box; the report as a workbook, where the person wants one."""

from __future__ import annotations

from dataclasses import replace

from quotebook.addin.talk import Answer, Ask, Request, free_name, target_of
from quotebook.flows.closeout import close_folder
from quotebook.flows.closeout_report import closeout_workbook, sentences
from quotebook.workbook.atomic import atomic_bytes


def answer(request: Request) -> Answer:
    """Close the job out, ask for a name of the report, have it opened."""
    folder = close_folder([request.workbook])
    one = folder.jobs[0]
    if one.closeout is None:
        return Answer(one.error.replace(str(request.workbook), request.name), "error")
    if "target" not in request.answers:
        text = "Save the close-out report as (or cancel: only the answer is shown)"
        return Answer(ask=Ask("target", "save", text, free_name(request, "closeout"), optional=True))
    told = replace(one, file=request.name)
    text = "\n\n".join([f"{one.part}: {one.closeout.verdict}", *sentences(told)[1:]])
    target = target_of(request)
    if target is not None:
        folder.jobs[0] = told
        atomic_bytes(target, closeout_workbook(folder))
    worrying = bool(one.closeout.missing) or (one.closeout.profit or 0) < 0
    return Answer(text, "warning" if worrying else "info", open=(str(target),) if target is not None else ())
