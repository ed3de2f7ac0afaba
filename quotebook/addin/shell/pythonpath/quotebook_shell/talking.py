"""Boxes and questions; recorded into a file instead, where the caller asked for that."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import uno

TITLE = "Quotebook"
_TONES = {"info": "INFOBOX", "warning": "WARNINGBOX", "error": "ERRORBOX", "question": "QUERYBOX"}
_OK, _YES_NO, _YES = 1, 3, 2
_SAVE_WITH_ENDING, _CHOSEN = 10, 1
#: Longest text of a box, so that it fits the screen.
LONGEST = 1800


class Talk:
    """One command's talk with the person.

    ``answers``: what needs not be asked. ``remarks``: sentences to be added to the last box.
    """

    def __init__(self, context: Any, frame: Any, arguments: dict[str, Any]) -> None:
        self.answers: dict[str, Any] = json.loads(arguments.get("Answers") or "{}")
        self.remarks: list[str] = []
        self._record: str = arguments.get("Record") or ""
        self._told: dict[str, Any] = {"boxes": [], "asked": [], "seconds": {}}
        self._context, self._frame = context, frame

    def box(self, text: str, tone: str = "info") -> None:
        """Show one box and wait until it is read."""
        self._told["boxes"].append({"tone": tone, "text": text})
        if not self._record:
            self._message(text, tone, _OK)

    def offer(self, text: str, tone: str) -> bool:
        """Show one box that asks whether to go to the list, and return whether the person wants that."""
        self._told["boxes"].append({"tone": tone, "text": text})
        if self._record:
            return bool(self.answers.get("show"))
        return self._message(f"{text}\n\nGo to the list now?", tone, _YES_NO) == _YES

    def with_remarks(self, text: str) -> str:
        """Return a text with the remarks behind it."""
        return "\n\n".join(filter(None, [text, *self.remarks]))

    def timing(self, name: str, seconds: float) -> None:
        """Keep how long a part took; parts of one name are added up."""
        self._told["seconds"][name] = self._told["seconds"].get(name, 0.0) + seconds

    def ask(self, question: dict[str, Any]) -> Any:
        """Return what the person chose: a path, True or False, or None for a dialog that was closed."""
        self._told["asked"].append(question)
        if self._record:
            return None
        if question["kind"] == "yes-no":
            return self._message(question["text"], "question", _YES_NO) == _YES
        return self._folder(question) if question["kind"] == "folder" else self._save(question)

    def write(self) -> None:
        """Write down what was said, where that was asked for."""
        if self._record:
            Path(self._record).write_text(json.dumps(self._told), encoding="utf-8")

    @contextmanager
    def busy(self) -> Iterator[None]:
        """Show in the status bar that quotebook is at work."""
        indicator = self._frame.createStatusIndicator()
        indicator.start("Quotebook is at work...", 2)
        indicator.setValue(1)
        try:
            yield
        finally:
            indicator.end()

    def _message(self, text: str, tone: str, buttons: int) -> int:
        toolkit = self._service("com.sun.star.awt.Toolkit")
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", _TONES[tone])
        short = text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
        box = toolkit.createMessageBox(self._frame.ContainerWindow, kind, buttons, TITLE, short)
        answer: int = box.execute()
        box.dispose()
        return answer

    def _folder(self, question: dict[str, Any]) -> str | None:
        picker = self._service("com.sun.star.ui.dialogs.FolderPicker")
        picker.setTitle(question["text"])
        if question["suggest"]:
            picker.setDisplayDirectory(uno.systemPathToFileUrl(question["suggest"]))
        return str(uno.fileUrlToSystemPath(picker.getDirectory())) if picker.execute() == _CHOSEN else None

    def _save(self, question: dict[str, Any]) -> str | None:
        picker = self._service("com.sun.star.ui.dialogs.FilePicker")
        picker.initialize((_SAVE_WITH_ENDING,))
        picker.setTitle(question["text"])
        picker.appendFilter("Workbook (.xlsx)", "*.xlsx")
        suggested = Path(question["suggest"])
        picker.setDefaultName(suggested.name)
        if suggested.is_absolute():
            picker.setDisplayDirectory(uno.systemPathToFileUrl(str(suggested.parent)))
        if picker.execute() != _CHOSEN:
            return None
        path = str(uno.fileUrlToSystemPath(picker.getSelectedFiles()[0]))
        return path if Path(path).suffix else path + ".xlsx"

    def _service(self, name: str) -> Any:
        return self._context.ServiceManager.createInstanceWithContext(name, self._context)
