"""New job: a blank workbook with the rates of the workbook on the screen, where that one has any."""

from __future__ import annotations

from typing import Any

from quotebook.addin.talk import Answer, Ask, Request, target_of
from quotebook.errors import BookError
from quotebook.flows.new import inputs_of_workbook, make_workbook, new_file
from quotebook.workbook.atomic import refuse_existing


def answer(request: Request) -> Answer:
    """Ask for a name, make the workbook, have it opened."""
    target = target_of(request)
    if target is None:
        beside = request.document.with_name("new-job.xlsx") if request.document is not None else None
        return Answer(ask=Ask("target", "save", "Save the new job as", str(beside) if beside else "new-job.xlsx"))
    refuse_existing(target, force=False)
    shop: dict[str, Any] | None = None
    told = f"{target.name} is a blank job with the shop's rates of {request.name.removesuffix('.xlsx')}."
    try:
        shop = inputs_of_workbook(request.workbook)[0]
    except BookError:
        told = f"{target.name} is a blank job. {request.name} holds no rates of a shop, so fill in its Rates sheet."
    new_file(target, make_workbook(shop))
    return Answer(f"{told} Begin on its Start sheet.", open=(str(target),))
