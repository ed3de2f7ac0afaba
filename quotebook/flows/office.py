"""LibreOffice, where it is installed: a workbook printed to PDF or saved again, in a profile of its own."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

SECONDS = 120


def pdf_of(content: bytes) -> tuple[bytes | None, str]:
    """Return the PDF of a workbook and "", or None and why there is none.

    The program sees a file of a neutral name in a temporary folder, so that neither name nor path gets into the PDF.
    """
    return _converted(content, "pdf:calc_pdf_Export", "quotation.pdf")


def saved_again(content: bytes) -> tuple[bytes | None, str]:
    """Return a workbook as LibreOffice saves it and "", or None and why not."""
    return _converted(content, "xlsx:Calc MS Excel 2007 XML", "saved/quotation.xlsx")


def _converted(content: bytes, kind: str, made: str) -> tuple[bytes | None, str]:
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        return None, "LibreOffice is not installed; do it by hand from your spreadsheet program"
    with tempfile.TemporaryDirectory(prefix="quotebook-", ignore_cleanup_errors=True) as scratch:
        folder = Path(scratch)
        source, target = folder / "quotation.xlsx", folder / made
        source.write_bytes(content)
        command = [program, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--norestore"]
        command += ["--convert-to", kind, "--outdir", str(target.parent), str(source)]
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            return None, f"LibreOffice did not answer ({type(error).__name__}); try again, or do it by hand"
        if done.returncode != 0 or not target.is_file():
            return None, f"LibreOffice wrote none ({done.stderr.strip()[:200] or 'no reason given'})"
        return target.read_bytes(), ""
