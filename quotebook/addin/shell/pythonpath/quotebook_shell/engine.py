"""Finding the installed quotebook and asking it: a process, JSON in, JSON out. Nothing here needs the program."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

SCHEMA = 1
VARIABLE = "QUOTEBOOK_COMMAND"
SECONDS = 300
#: Set inside the spreadsheet program for its own Python; another Python would stumble over them.
_OWN = ("PYTHON", "LD_LIBRARY", "UNO_", "URE_", "DYLD_")
NOT_FOUND = (
    "The quotebook program was not found, so nothing was done.\n\n"
    "Looked for: {looked}.\n\n"
    "What to do: open a terminal and run\n    quotebook addin install\n"
    "and start the spreadsheet program again. If quotebook itself is missing, install it first. "
    "Or set the variable QUOTEBOOK_COMMAND to the full path of the program."
)


class EngineTrouble(Exception):
    """Why there is no answer, in words for a box."""


def settings() -> dict[str, Any]:
    """Return what was written into the extension when it was built: where quotebook is, titles of lists, the tag."""
    data: dict[str, Any] = json.loads((Path(__file__).parent / "settings.json").read_text(encoding="utf-8"))
    return data


def command(recorded: list[str], environment: Mapping[str, str]) -> list[str]:
    """Return the words that start quotebook. Errors: EngineTrouble says where it was looked for and what to do."""
    told = environment.get(VARIABLE, "").strip()
    if told:
        words = [told] if Path(told).is_file() else shlex.split(told, posix=os.name != "nt")
        if words and shutil.which(words[0]):
            return words
        raise EngineTrouble(NOT_FOUND.format(looked=f"{told} (from the variable {VARIABLE})"))
    if recorded and shutil.which(recorded[0]):
        return list(recorded)
    names = ["quotebook"] if os.name != "nt" else ["quotebook.exe", "quotebook"]
    places = [shutil.which(name, path=environment.get("PATH")) for name in names]
    places += [str(Path.home() / ".local" / "bin" / name) for name in names]
    found = next((place for place in places if place and os.access(place, os.X_OK)), None)
    if found is None:
        looked = [*([recorded[0]] if recorded else []), "quotebook on the PATH", "quotebook in ~/.local/bin"]
        raise EngineTrouble(NOT_FOUND.format(looked=", ".join(looked)))
    return [found]


def answer(words: list[str], request: Mapping[str, Any], environment: Mapping[str, str]) -> dict[str, Any]:
    """Send one request and return the answer. Errors: EngineTrouble when it stops, says nothing, or is too old."""
    clean = {name: value for name, value in environment.items() if not name.startswith(_OWN)}
    clean["PYTHONIOENCODING"] = "utf-8"
    hidden: dict[str, Any] = {"creationflags": 0x08000000} if sys.platform == "win32" else {}
    line = [*words, "addin", "answer"]
    try:
        done = subprocess.run(
            line,
            input=json.dumps({"schema": SCHEMA, **request}).encode("utf-8"),
            capture_output=True,
            env=clean,
            timeout=SECONDS,
            check=False,
            **hidden,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise EngineTrouble(f"quotebook could not be run: {error}\n\nTried: {' '.join(line)}") from error
    try:
        told = json.loads(done.stdout.decode("utf-8"))
    except ValueError as error:
        said = done.stderr.decode("utf-8", "replace").strip()[-800:] or "nothing"
        what = "It may be older than this add-in: install quotebook anew, then run quotebook addin install."
        raise EngineTrouble(f"quotebook stopped without an answer.\n\nIt said: {said}\n\n{what}") from error
    if not isinstance(told, dict) or told.get("schema") != SCHEMA:
        raise EngineTrouble("quotebook and this add-in do not fit together.\n\nRun: quotebook addin install")
    return told
