"""One office with the built add-in for all tests of this folder: profile, engine and files are their own."""

from __future__ import annotations

import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from quotebook.addin.install import Office, install
from tests.addin.office_session import Session
from tests.audit.contract_base import write_base

ROOT = Path(__file__).resolve().parent.parent.parent


def tool() -> tuple[str, ...]:
    """The office's own tool; it refuses to work for root, so root runs it as nobody."""
    found = shutil.which("unopkg")
    assert found is not None, "LibreOffice's tool unopkg is missing"
    if os.geteuid() != 0:
        return (found,)
    home = "HOME=/nonexistent"
    return ("setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups", "env", home, found)


def write_engine(folder: Path) -> Path:
    """Write a program that starts the quotebook under test, whatever is installed elsewhere."""
    script = folder / "quotebook-engine"
    cache = folder / "cache"
    lines = ["#!/bin/sh", f"export PYTHONPATH='{ROOT}' QUOTEBOOK_CACHE= XDG_CACHE_HOME='{cache}'"]
    script.write_text("\n".join([*lines, f"exec '{sys.executable}' -m quotebook \"$@\"\n"]), encoding="utf-8")
    script.chmod(script.stat().st_mode | stat.S_IXUSR | stat.S_IXGRP | stat.S_IXOTH)
    return script


def fresh_office(folder: Path) -> Office:
    """The tool with a profile in the folder that holds nothing yet, and that the tool's user may write."""
    folder.chmod(0o755)
    profile = folder / "profile"
    profile.mkdir()
    if os.geteuid() == 0:
        shutil.chown(profile, "nobody", "nogroup")
    return Office(tool(), profile)


@pytest.fixture(scope="session")
def office() -> Iterator[Office]:
    with tempfile.TemporaryDirectory(prefix="quotebook-profile-", ignore_cleanup_errors=True) as folder:
        yield fresh_office(Path(folder))


@pytest.fixture(scope="session")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_engine(tmp_path_factory.mktemp("engine"))


@pytest.fixture(scope="session")
def session(office: Office, engine: Path) -> Iterator[Session]:
    """The running office; the add-in was told at its installation where the engine is."""
    install(office, [str(engine)])
    assert office.profile is not None
    running = Session(office.profile, {"PATH": "/usr/bin:/bin"})
    yield running
    running.end()


@pytest.fixture(scope="session")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("addin"))
