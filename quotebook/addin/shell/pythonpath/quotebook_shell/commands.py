"""One command from the menu: a copy of what is on the screen, the question to quotebook, its answer carried out."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
import traceback
from pathlib import Path
from typing import Any

import uno

from quotebook_shell import engine, lists, marks
from quotebook_shell.talking import Talk

PROTOCOL = "vnd.quotebook.shell:"
#: The filter by which the copy is written.
FILTER = "Calc MS Excel 2007 XML"
MOST_QUESTIONS = 8


def run(context: Any, frame: Any, command: str, arguments: dict[str, Any]) -> None:
    """Carry out a command on the document of a window; whatever goes wrong ends in a box.

    ``arguments``: ``Record``, a file to which boxes are written instead of shown, and ``Answers``, JSON of what would
    be asked; for macros and tests.
    """
    talk = Talk(context, frame, arguments)
    try:
        document = frame.Controller.Model if frame is not None and frame.Controller is not None else None
        if document is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            talk.box("Open a workbook first; this command works on the workbook of the window.", "error")
        elif command == "clear":
            _clear(document, talk)
        else:
            _ask(context, document, command, talk)
    except engine.EngineTrouble as trouble:
        talk.box(str(trouble), "error")
    except Exception:  # nothing that is raised here would reach the person
        talk.box("The add-in stopped. Nothing was saved.\n\n" + traceback.format_exc()[-1500:], "error")
    finally:
        talk.write()


def _clear(document: Any, talk: Talk) -> None:
    with marks.one_step(document, "Clear Quotebook's marks"):
        count = marks.clear(document)
        listed = lists.remove(document, list(lists.known()))
    if not count and not listed:
        talk.box("There are no marks to clear.")
        return
    left = marks.tagged(document)
    told = f"{count} marks cleared."
    talk.box(told if not left else f"{told} {left} are left on sheets protected with a password.")


def _ask(context: Any, document: Any, command: str, talk: Talk) -> None:
    words = engine.command(engine.settings()["engine"], os.environ)
    folder = tempfile.mkdtemp(prefix="quotebook-")
    try:
        began = time.monotonic()
        copy = _copy(document, folder)
        talk.timing("save", time.monotonic() - began)
        answers: dict[str, Any] = dict(talk.answers)
        request = {"command": command, "workbook": copy, "document": _path(document), "answers": answers}
        for _ in range(MOST_QUESTIONS):
            began = time.monotonic()
            with talk.busy():
                told = engine.answer(words, request, os.environ)
            talk.timing("engine", time.monotonic() - began)
            question = told["ask"]
            if question is None:
                break
            given = talk.ask(question)
            if given is None and not question["optional"]:
                return
            answers[question["key"]] = given
        began = time.monotonic()
        _carry_out(context, document, told, talk)
        talk.timing("marking", time.monotonic() - began)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    text = talk.with_remarks(told["text"])
    if text and told["listing"]:
        if talk.offer(text, told["tone"]):
            lists.show(document, told["listing"]["title"])
    elif text:
        talk.box(text, told["tone"])


def _carry_out(context: Any, document: Any, told: dict[str, Any], talk: Talk) -> None:
    if told["replace_marks"] or told["listing"] or told["gone"]:
        was_modified, had_marks = document.isModified(), bool(marks.tagged(document) or lists.there(document))
        if had_marks or told["marks"] or told["listing"]:  # else nothing is touched, and what was undone can be redone
            with marks.one_step(document, "Quotebook's marks"):
                if told["replace_marks"]:
                    marks.clear(document)
                    talk.remarks += marks.put(document, told["marks"])
                lists.remove(document, told["gone"])
                if told["listing"]:
                    lists.write(document, told["listing"])
            if not was_modified and not had_marks:
                document.setModified(False)  # the person changed nothing; closing must not ask
    for path in told["open"]:
        desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        desktop.loadComponentFromURL(uno.systemPathToFileUrl(path), "_blank", 0, ())


def _copy(document: Any, folder: str) -> str:
    """Write what is on the screen to a file of its own; the document keeps its name, its state and its history."""
    path = _path(document)
    target = Path(folder) / f"{Path(path).stem if path else 'workbook'}.xlsx"
    wanted = uno.createUnoStruct("com.sun.star.beans.PropertyValue")
    wanted.Name, wanted.Value = "FilterName", FILTER
    document.storeToURL(uno.systemPathToFileUrl(str(target)), (wanted,))
    return str(target)


def _path(document: Any) -> str:
    url = document.getURL()
    return str(uno.fileUrlToSystemPath(url)) if url.startswith("file:") else ""
