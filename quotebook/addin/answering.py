"""Answering the shell: one request, one answer, whatever happens."""

from __future__ import annotations

import importlib
from typing import Any

from quotebook.addin.talk import SCHEMA, Answer, request_of
from quotebook.errors import QuotebookError

#: Which module of ``quotebook.addin.commands`` answers a command; it is imported when it is asked for.
MODULES = {
    "check": "check",
    "recompute": "recompute",
    "new": "new_job",
    "prices": "prices",
    "quote": "customer_copy",
    "closeout": "close_out",
}


def answered(data: object) -> dict[str, Any]:
    """Return the answer to a request as plain data; what quotebook refuses becomes the text of the box."""
    try:
        request = request_of(data)
        module = MODULES.get(request.command)
        if module is None:
            text = f"found the command {request.command!r}, which is not known here; run quotebook addin install"
            return plain(Answer(text, "error"))
        answer: Answer = importlib.import_module(f"quotebook.addin.commands.{module}").answer(request)
    except QuotebookError as error:
        answer = Answer(str(error), "error")
    return plain(answer)


def plain(answer: Answer) -> dict[str, Any]:
    """Return an answer as the JSON document that the shell reads."""
    from dataclasses import asdict

    return {"schema": SCHEMA, **asdict(answer)}
