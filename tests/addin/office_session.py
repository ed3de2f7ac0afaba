"""A headless LibreOffice with the add-in in a profile of its own, driven step by step over its scripting bridge.

``Session`` is for tests. The system's Python, which has the bridge, runs this file as a script: one step a line comes
in as JSON, one answer a line goes out.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from queue import Empty, Queue
from threading import Thread
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
from office_bridge import SYSTEM_PYTHON, _property, _step, running_office

PROTOCOL = "vnd.quotebook.shell:"


#: Seconds that one step may take, the start of the office before the first included, and those of the end.
SECONDS, SECONDS_OF_END = 60.0, 20.0


class Session:
    """An office that runs until ``end``. Every call is one step; see ``_Driver`` for what they do."""

    def __init__(self, profile: Path, environment: dict[str, str], window: bool = False) -> None:
        look = "window" if window else "headless"
        self._driver = subprocess.Popen(
            [SYSTEM_PYTHON, __file__, str(profile), look], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env={**os.environ, **environment}, start_new_session=True,
        )  # fmt: skip
        self._lines: Queue[str] = Queue()
        Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        assert self._driver.stdout is not None
        for line in self._driver.stdout:
            self._lines.put(line)
        self._lines.put("")

    def __getattr__(self, name: str) -> Any:
        """Return a call that does one step; Errors: AssertionError with the driver's own words."""

        def call(**arguments: Any) -> Any:
            assert self._driver.stdin is not None
            assert self._driver.poll() is None, "the office has ended"
            self._driver.stdin.write(json.dumps({"do": name, **arguments}) + "\n")
            self._driver.stdin.flush()
            try:
                answer = json.loads(self._lines.get(timeout=SECONDS) or '{"error": "the driver ended"}')
            except Empty:
                self._kill()
                answer = {"error": f"no answer to {name} within {SECONDS:g} seconds"}
            assert "error" not in answer, answer["error"]
            return answer["value"]

        return call

    def end(self) -> None:
        """Stop the office and the driver; what does not stop is killed, for no test may wait without end."""
        assert self._driver.stdin is not None
        try:
            self._driver.stdin.close()
            self._driver.wait(timeout=SECONDS_OF_END)
        except (OSError, subprocess.TimeoutExpired):
            self._kill()

    def _kill(self) -> None:
        with suppress(ProcessLookupError):
            os.killpg(self._driver.pid, signal.SIGKILL)  # the driver began a group of its own; the office is in it
        self._driver.wait(timeout=SECONDS_OF_END)


class _Driver:
    """What a person sees and does. Rows and columns from 1; ``document``: the number that ``open`` gave."""

    def __init__(self, desktop: Any, context: Any) -> None:
        self.desktop, self.context = desktop, context
        self.documents: list[Any] = []

    def open(self, path: str) -> int:
        self.documents.append(self.desktop.loadComponentFromURL(Path(path).as_uri(), "_blank", 0, ()))
        return len(self.documents) - 1

    def step(self, document: int, step: dict[str, Any]) -> Any:
        return _step(self.documents[document], step)

    def command(self, document: int, name: str, answers: dict[str, Any] | None = None) -> Any:
        """Dispatch a command of the menu; boxes and questions are recorded and returned."""
        record = tempfile.mktemp(prefix="quotebook-record-")
        given = (_property("Record", record), _property("Answers", json.dumps(answers or {})))
        self.dispatch(document, PROTOCOL + name, given)
        told = json.loads(Path(record).read_text(encoding="utf-8"))
        os.unlink(record)
        return told

    def dispatch(self, document: int, url: str, given: Any = ()) -> None:
        helper = self.context.ServiceManager.createInstanceWithContext(
            "com.sun.star.frame.DispatchHelper", self.context
        )
        helper.executeDispatch(self.documents[document].CurrentController.Frame, url, "", 0, tuple(given))

    def type(self, document: int, cell: str, text: str) -> None:
        """Type into a cell through the commands of the user interface, so that it can be undone as typing is."""
        self.goto(document, cell)
        self.dispatch(document, ".uno:EnterString", [_property("StringName", text)])

    def goto(self, document: int, cell: str) -> None:
        self.dispatch(document, ".uno:GoToCell", [_property("ToPoint", cell)])

    def show_note(self, document: int, sheet: str, row: int, column: int) -> None:
        """Show the note of a cell all the time, as its context menu does."""
        place = self.documents[document].Sheets.getByName(sheet)
        place.unprotect("")
        place.getCellByPosition(column - 1, row - 1).Annotation.setIsVisible(True)
        place.protect("")

    def note_unlocked(self, document: int, sheet: str, row: int, column: int, text: str) -> None:
        """Put a note of the person's own on a cell that may be filled in."""
        place = self.documents[document].Sheets.getByName(sheet)
        place.Annotations.insertNew(place.getCellByPosition(column - 1, row - 1).CellAddress, text)

    def protect(self, document: int, sheet: str, password: str) -> None:
        place = self.documents[document].Sheets.getByName(sheet)
        place.unprotect("")
        place.protect(password)

    def undo(self, document: int) -> None:
        self.documents[document].UndoManager.undo()

    def redo(self, document: int) -> None:
        self.documents[document].UndoManager.redo()

    def state(self, document: int) -> Any:
        """Return what is there to see: sheets, notes, lists with their links, history, selection."""
        book = self.documents[document]
        sheets = [book.Sheets.getByIndex(number) for number in range(book.Sheets.Count)]
        history, controller = book.UndoManager, book.CurrentController
        selection = controller.Selection
        return {
            "sheets": [sheet.Name for sheet in sheets],
            "notes": [note for sheet in sheets for note in self._notes(sheet)],
            "lists": {sheet.Name: self._rows(sheet) for sheet in sheets if sheet.Name.startswith("Audit findings")},
            "recomputed": {sheet.Name: self._rows(sheet) for sheet in sheets if sheet.Name.startswith("Recomputed")},
            "protected": [sheet.Name for sheet in sheets if sheet.isProtected()],
            "undo": list(history.getAllUndoActionTitles()),
            "redo": list(history.getAllRedoActionTitles()),
            "modified": bool(book.isModified()),
            "url": book.getURL(),
            "active": controller.ActiveSheet.Name,
            "selection": selection.AbsoluteName if hasattr(selection, "AbsoluteName") else "",
        }

    def follow(self, document: int, url: str) -> Any:
        """Follow a link as a click does and return the cell that is then selected."""
        self.dispatch(document, ".uno:JumpToMark", [_property("Bookmark", url.removeprefix("#"))])
        return self.documents[document].CurrentController.Selection.AbsoluteName

    def mend(self, document: int, sheet: str, row: int, column: int, formula: str) -> None:
        """Put something into a cell, a locked one too, as a person does: protection off, typed, protection on.

        The bridge wants semicolons between arguments; the formulas here have no comma in a text.
        """
        formula = formula.replace(",", ";") if formula.startswith("=") else formula
        place = self.documents[document].Sheets.getByName(sheet)
        protected = place.isProtected()
        place.unprotect("")
        place.getCellByPosition(column - 1, row - 1).setFormula(formula)
        if protected:
            place.protect("")

    def grounds(self, document: int, cells: list[list[Any]]) -> Any:
        sheets = self.documents[document].Sheets
        return [sheets.getByName(s).getCellByPosition(c - 1, r - 1).CellBackColor for s, r, c in cells]

    def store(self, document: int, path: str, filter_name: str = "Calc MS Excel 2007 XML") -> None:
        wanted = (_property("FilterName", filter_name),)
        self.documents[document].storeToURL(Path(path).as_uri(), wanted)

    def save(self, document: int) -> None:
        """Save the document into its own file, in its own format, as the menu does."""
        self.documents[document].store()

    def opened(self) -> Any:
        """Return the addresses of all documents that are open now."""
        each, found = self.desktop.Components.createEnumeration(), []
        while each.hasMoreElements():
            one = each.nextElement()
            found.append(one.getURL() if hasattr(one, "getURL") else "")
        return found

    def close(self, document: int) -> None:
        self.documents[document].setModified(False)
        self.documents[document].close(True)

    def close_file(self, url: str) -> None:
        each = self.desktop.Components.createEnumeration()
        while each.hasMoreElements():
            one = each.nextElement()
            if hasattr(one, "getURL") and one.getURL() == url:
                one.close(True)

    @staticmethod
    def _notes(sheet: Any) -> list[Any]:
        notes = [sheet.Annotations.getByIndex(number) for number in range(sheet.Annotations.Count)]
        return [
            {"sheet": sheet.Name, "row": one.Position.Row + 1, "column": one.Position.Column + 1, "text": one.String}
            for one in notes
        ]

    @staticmethod
    def _rows(sheet: Any) -> list[list[Any]]:
        cursor = sheet.createCursor()
        cursor.gotoEndOfUsedArea(True)
        end = cursor.RangeAddress
        rows = []
        for row in range(end.EndRow + 1):
            cells = []
            for column in range(end.EndColumn + 1):
                cell = sheet.getCellByPosition(column, row)
                fields = cell.TextFields
                if fields.Count:
                    cells.append({"text": cell.String, "url": fields.getByIndex(0).URL})
                else:
                    cells.append(cell.Value if cell.Type.value == "VALUE" else cell.Formula)
            rows.append(cells)
        return rows


def _serve(profile: str, look: str) -> None:
    with running_office(Path(profile), look == "headless") as (desktop, context):
        driver = _Driver(desktop, context)
        for line in sys.stdin:
            order = json.loads(line)
            try:
                told = {"value": getattr(driver, order.pop("do"))(**order)}
            except Exception as error:
                told = {"error": f"{type(error).__name__}: {error}"}
            print(json.dumps(told), flush=True)


if __name__ == "__main__":
    _serve(*sys.argv[1:])
