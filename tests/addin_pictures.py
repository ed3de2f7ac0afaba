"""Pictures of the add-in in a real window on a virtual screen: ``python -m tests.addin_pictures FOLDER``.

Needs LibreOffice, Xvfb, xdotool, ImageMagick and a window manager (openbox): menus of a window that nobody manages do
not open. Three pictures: the menu, a checked workbook with its marks, the list of findings.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from quotebook.addin.install import install
from tests.addin.conftest import fresh_office, write_engine
from tests.addin.office_session import Session
from tests.addin.seeded import FAULTS, place_of, seed
from tests.audit.contract_base import write_base

SIZE = "1280x800"
DISPLAY = ":97"
#: Seconds for the window to draw itself.
DRAWN = 4.0


@contextmanager
def screen() -> Iterator[dict[str, str]]:
    """A virtual screen with a window manager; gives the environment of programs that draw on it."""
    environment = {"DISPLAY": DISPLAY, "SAL_USE_VCLPLUGIN": "gen", "PATH": "/usr/bin:/bin"}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    started = [subprocess.Popen(["Xvfb", DISPLAY, "-screen", "0", f"{SIZE}x24"], **quiet)]  # type: ignore[call-overload]
    try:
        time.sleep(1.5)
        started.append(subprocess.Popen(["openbox"], env={**os.environ, **environment}, **quiet))  # type: ignore[call-overload]
        yield environment
    finally:
        for one in reversed(started):
            one.terminate()
            one.wait(timeout=20)


def press(environment: dict[str, str], *words: str) -> None:
    """Press keys or move the pointer in the window that has the focus."""
    subprocess.run(["xdotool", *words], env={**os.environ, **environment}, check=True, timeout=30)
    time.sleep(DRAWN)


def picture(environment: dict[str, str], target: Path) -> None:
    """Take a picture of the whole screen, with few colours so that it is small."""
    line = ["import", "-window", "root", "-dither", "None", "-colors", "64", f"PNG8:{target}"]
    subprocess.run(line, env={**os.environ, **environment}, check=True, timeout=60)


def main(out: Path) -> None:
    """Make the pictures."""
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="quotebook-", ignore_cleanup_errors=True) as name, screen() as environment:
        folder = Path(name)
        office = fresh_office(folder)
        install(office, [str(write_engine(folder))])
        base = write_base(folder)
        assert office.profile is not None
        session = Session(office.profile, environment, window=True)
        try:
            _take(session, environment, base, seed(base, folder / "pin.xlsx"), out)
        finally:
            session.end()


def _take(session: Session, environment: dict[str, str], base: Path, workbook: Path, out: Path) -> None:
    number = session.open(path=str(workbook))
    cell = place_of(base, next(iter(FAULTS.values()))[0])
    place = f"$'{cell.sheet}'.${chr(64 + cell.column)}${cell.row}"
    session.goto(document=number, cell=place)
    time.sleep(DRAWN)
    press(environment, "key", "alt+q")
    picture(environment, out / "menu.png")
    press(environment, "key", "Escape")
    press(environment, "key", "Escape")
    session.command(document=number, name="check")
    session.show_note(document=number, sheet=cell.sheet, row=cell.row, column=cell.column)
    time.sleep(DRAWN)
    picture(environment, out / "marked.png")
    session.goto(document=number, cell="$'Audit findings'.$A$1")
    time.sleep(DRAWN)
    picture(environment, out / "findings.png")
    session.close(document=number)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
