"""LibreOffice as a calculator for tests: files in, recalculated copies out.

A test that uses it is marked ``@pytest.mark.libreoffice`` and ``@needs_libreoffice``.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

#: One process stopped silently after 247 files (LibreOffice 7.4); smaller portions were always complete.
FILES_PER_CALL = 100
SECONDS_PER_CALL = 300

_SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
_REQUIRED = os.environ.get("QUOTEBOOK_REQUIRE_LIBREOFFICE") == "1"

#: Without this setting LibreOffice shows stored results of xlsx files instead of computing them.
_ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="ODFRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
</oor:items>
"""

#: Skips where LibreOffice is missing; with QUOTEBOOK_REQUIRE_LIBREOFFICE=1 the test runs, and fails instead.
needs_libreoffice = pytest.mark.skipif(_SOFFICE is None and not _REQUIRED, reason="LibreOffice is not installed")
#: The same for what comes beside it: the reader of PDF files, and the system's Python that drives the office.
needs_pdf_reader = pytest.mark.skipif(
    shutil.which("pdftotext") is None and not _REQUIRED, reason="pdftotext (poppler) is not installed"
)
needs_bridge = pytest.mark.skipif(
    not Path("/usr/bin/python3").exists() and not _REQUIRED,
    reason="the system's Python with the office bridge is missing",
)


def recalculate(paths: list[Path], out_dir: Path) -> dict[Path, Path]:
    """Return a recalculated xlsx copy in ``out_dir`` for each file; file names must differ.

    Errors: AssertionError when LibreOffice is missing or leaves out a file.
    """
    assert _SOFFICE is not None, "LibreOffice is not installed; install it or unset QUOTEBOOK_REQUIRE_LIBREOFFICE"
    names = [path.stem for path in paths]
    assert len(set(names)) == len(names), "copies are named after their files, which must differ"
    out_dir.mkdir(parents=True, exist_ok=True)
    for start in range(0, len(paths), FILES_PER_CALL):
        _convert(paths[start : start + FILES_PER_CALL], out_dir)
    copies = {path: out_dir / f"{path.stem}.xlsx" for path in paths}
    missing = [str(path) for path, copy in copies.items() if not copy.exists()]
    assert not missing, f"LibreOffice wrote no copy of {missing}"
    return copies


def _convert(paths: list[Path], out_dir: Path) -> None:
    with tempfile.TemporaryDirectory(prefix="quotebook-office-") as profile:
        user = Path(profile) / "user"
        user.mkdir()
        (user / "registrymodifications.xcu").write_text(_ALWAYS_RECALCULATE, encoding="utf-8")
        command = [str(_SOFFICE), f"-env:UserInstallation={Path(profile).as_uri()}", "--headless", "--norestore"]
        command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(out_dir), *map(str, paths)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS_PER_CALL, check=False)
        assert done.returncode == 0, f"LibreOffice failed: {done.stderr}"
