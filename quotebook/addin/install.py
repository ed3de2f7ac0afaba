"""Installing the extension into the spreadsheet program, and removing it, by the program's own tool (unopkg)."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from quotebook.addin.build import FILE_NAME, extension_bytes
from quotebook.addin.menu import IDENTITY
from quotebook.errors import AddinError

SECONDS = 180
#: Where the tool lies when it is not on the path.
_USUAL = (
    "/usr/lib/libreoffice/program/unopkg", "/usr/lib64/libreoffice/program/unopkg",
    "/opt/libreoffice/program/unopkg", "/Applications/LibreOffice.app/Contents/MacOS/unopkg",
    r"C:\Program Files\LibreOffice\program\unopkg.com",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Office:
    """The spreadsheet program's tool. ``tool``: the words that start it. ``profile``: None for the user's own.

    ``for_all``: for all users of the machine; needs the administrator's rights.
    """

    tool: Sequence[str]
    profile: Path | None = None
    for_all: bool = False

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run the tool. Errors: AddinError when it cannot be started or does not end."""
        line = [*self.tool, words[0]]
        if self.profile is not None:
            line.append(f"-env:UserInstallation={self.profile.resolve().as_uri()}")
        if self.for_all:
            line.append("--shared")
        try:
            return subprocess.run(
                [*line, *words[1:]],
                capture_output=True,
                text=True,
                timeout=SECONDS,
                check=False,
                stdin=subprocess.DEVNULL,
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise AddinError(
                f"{self.tool[0]}: found a tool that cannot be run ({error}), expected LibreOffice's unopkg; "
                "install LibreOffice again"
            ) from error


def find_office(profile: Path | None = None, for_all: bool = False) -> Office:
    """Return the tool. Errors: AddinError when LibreOffice is not there, or would refuse because of who asks."""
    tool = shutil.which("unopkg") or next((place for place in _USUAL if os.access(place, os.X_OK)), None)
    if tool is None:
        raise AddinError(
            "unopkg: found no LibreOffice on this machine, expected one with its tool unopkg; install LibreOffice "
            "(on Debian and Ubuntu: libreoffice-calc and python3-uno), then run quotebook addin install again"
        )
    if hasattr(os, "geteuid") and os.geteuid() == 0 and not for_all:
        raise AddinError(
            "quotebook addin: found the administrator (root), for whom LibreOffice installs no extension of a single "
            "user, expected the person who uses it; run it as that person, or for all users with --for-all"
        )
    return Office((tool,), profile, for_all)


def own_command() -> list[str]:
    """Return the words that start this very quotebook."""
    beside = Path(sys.executable).with_name("quotebook.exe" if os.name == "nt" else "quotebook")
    return [str(beside)] if os.access(beside, os.X_OK) else [sys.executable, "-m", "quotebook"]


def install(office: Office, engine: Sequence[str] | None = None) -> None:
    """Install the extension, over an earlier one. ``engine``: what it calls; this very quotebook by default.

    Errors: AddinError with the tool's own words.
    """
    folder = Path(tempfile.mkdtemp(prefix="quotebook-addin-"))
    try:
        folder.chmod(0o755)
        package = folder / FILE_NAME
        package.write_bytes(extension_bytes(own_command() if engine is None else engine))
        done = office.run("add", "--force", "--suppress-license", str(package))
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    _check(done, "installed")


def remove(office: Office) -> bool:
    """Remove the extension and return whether it was there. Errors: AddinError with the tool's own words."""
    if IDENTITY not in office.run("list").stdout:
        return False
    _check(office.run("remove", IDENTITY), "removed")
    return True


def _check(done: subprocess.CompletedProcess[str], what: str) -> None:
    if done.returncode != 0:
        said = " ".join((done.stderr or done.stdout).split())[-400:] or "nothing"
        raise AddinError(
            f"unopkg: found an extension that was not {what} (it said: {said}), expected an end without error; "
            "close every window of LibreOffice and try again"
        )
