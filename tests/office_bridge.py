"""LibreOffice driven cell by cell over its scripting bridge, as a person at the keyboard would.

``drive`` is for tests. The system's Python, which has the bridge, runs this file as a script: steps come in as JSON,
answers go out as JSON. The office is started with a profile of its own and reached over a pipe of its own.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

SYSTEM_PYTHON = "/usr/bin/python3"


def drive(source: Path, steps: list[dict[str, Any]], save_as: Path | None = None, seconds: float = 240) -> list[Any]:
    """Open a workbook, do the steps in order, save a copy as xlsx if asked, and return one answer for each step.

    Steps: type, read, insert rows, rename, move; see ``_step``. Errors: AssertionError with the driver's own words.
    """
    return drive_all([(source, steps, save_as)], seconds)[0]


def drive_all(orders: list[tuple[Path, list[dict[str, Any]], Path | None]], seconds: float = 240) -> list[list[Any]]:
    """Do several such orders with one office: the same workbook may be changed in several ways."""
    plain = [
        {"source": source.resolve().as_uri(), "steps": steps, "save_as": target and target.resolve().as_uri()}
        for source, steps, target in orders
    ]
    done = subprocess.run(
        [SYSTEM_PYTHON, __file__], input=json.dumps(plain), capture_output=True, text=True, timeout=seconds, check=False
    )
    assert done.returncode == 0, f"the driver failed: {done.stderr}"
    answers: list[list[Any]] = json.loads(done.stdout)
    assert [len(each) for each in answers] == [len(steps) for _, steps, _ in orders]
    return answers


def _step(document: Any, step: dict[str, Any]) -> Any:
    """Do one step. Only what a person can do: typing goes through the office's own reading of typed text."""
    if step["do"] == "recalculate":
        document.calculateAll()
        return None
    if step["do"] == "read everything":  # as many values as a comparison needs, without handing them on
        used = [sheet.createCursor() for sheet in document.Sheets]
        for cursor in used:
            cursor.gotoEndOfUsedArea(True)
        return sum(len(row) for cursor in used for row in cursor.getDataArray())
    sheet = document.Sheets.getByName(step["sheet"])
    if step["do"] in ("type", "read"):
        cell = sheet.getCellByPosition(step["column"] - 1, step["row"] - 1)
        if step["do"] == "type":
            cell.setFormula(step["text"])
        locked = bool(cell.CellProtection.IsLocked) and bool(sheet.isProtected())
        return {"locked": locked, "value": cell.Value, "text": cell.String, "formula": cell.Formula}
    if step["do"] == "insert rows":
        sheet.unprotect("")  # there is no password; a person does it by a menu
        sheet.Rows.insertByIndex(step["row"] - 1, step["count"])
        sheet.protect("")
    elif step["do"] == "rename":
        sheet.setName(step["to"])
    elif step["do"] == "move":
        document.Sheets.moveByName(step["sheet"], step["position"])
    else:
        raise ValueError(f"unknown step {step['do']!r}")
    return None


def _connect(pipe: str) -> tuple[Any, Any]:
    """Return the office's desktop and component context once it answers on the pipe."""
    import uno

    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(1200):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
            return desktop, context
        except Exception:  # the office is not up yet; its exception class exists only inside the bridge
            time.sleep(0.05)
    raise TimeoutError("LibreOffice did not answer within a minute")


def _property(name: str, value: Any) -> Any:
    from com.sun.star.beans import PropertyValue

    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def _do(desktop: Any, order: dict[str, Any]) -> list[Any]:
    document = desktop.loadComponentFromURL(order["source"], "_blank", 0, ())
    answers = [_step(document, step) for step in order["steps"]]
    if order["save_as"]:
        document.storeToURL(order["save_as"], (_property("FilterName", "Calc MS Excel 2007 XML"),))
    document.close(True)
    return answers


@contextmanager
def running_office(profile: Path, headless: bool = True) -> Iterator[tuple[Any, Any]]:
    """Start an office of its own, give its desktop and context, and end it."""
    pipe = f"quotebook-{uuid.uuid4().hex}"
    command = [shutil.which("soffice") or "soffice", f"-env:UserInstallation={profile.as_uri()}"]
    command += ["--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;", *(["--headless"] if headless else [])]
    office = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
    desktop = None
    try:
        desktop, context = _connect(pipe)
        yield desktop, context
    finally:
        if desktop is not None:
            desktop.terminate()
        else:
            office.terminate()
        office.wait(timeout=60)


def _work(orders: list[dict[str, Any]]) -> list[list[Any]]:
    scratch = tempfile.TemporaryDirectory(prefix="quotebook-office-", ignore_cleanup_errors=True)
    with scratch as profile, running_office(Path(profile)) as (desktop, _):
        return [_do(desktop, order) for order in orders]


if __name__ == "__main__":
    json.dump(_work(json.load(sys.stdin)), sys.stdout)
