"""Render every example to pictures: ``python -m tests.render_examples``.

Needs LibreOffice and poppler. Pictures are named after the sheet and counted within it.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections import Counter
from pathlib import Path

from quotebook.flows.demo import examples_folder
from quotebook.flows.new import make_workbook, new_file
from quotebook.model import read_job, read_shop, to_data
from quotebook.template.load import load_template

RESOLUTION = 75


def pages_of(workbook: Path, out: Path) -> list[Path]:
    """Return one picture for each printed page of a workbook, named by sheet; the folder is emptied of pictures."""
    titles = [sheet.title for sheet in load_template().sheets]
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        subprocess.run(
            ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", scratch, str(workbook)],
            check=True, capture_output=True, timeout=180,
        )  # fmt: skip
        pdf = folder / f"{workbook.stem}.pdf"
        subprocess.run(["pdftoppm", "-r", str(RESOLUTION), "-png", str(pdf), str(folder / "page")], check=True)
        for old in out.glob("*.png"):
            old.unlink()
        made: list[Path] = []
        counts: Counter[str] = Counter()
        for number, page in enumerate(sorted(folder.glob("page-*.png")), start=1):
            title = _title(pdf, number, titles)
            counts[title] += 1
            target = out / f"{title.lower().replace(' ', '-')}-{counts[title]}.png"
            shutil.move(page, target)
            made.append(target)
        return made


def _title(pdf: Path, page: int, titles: list[str]) -> str:
    """Return the sheet that a page belongs to: its header names it; only the customer's page has no such header."""
    command = ["pdftotext", "-layout", "-f", str(page), "-l", str(page), str(pdf), "-"]
    head = subprocess.run(command, check=True, capture_output=True, text=True).stdout.lstrip().splitlines()[0]
    return next((title for title in titles if f" {title} " in f" {head} "), "Quote")


def main() -> None:
    """Render all examples into their folders."""
    examples = examples_folder()
    shop = to_data(read_shop(examples / "shop.toml"))
    for job in sorted(examples.glob("*/job.toml")):
        with tempfile.TemporaryDirectory() as scratch:
            workbook = Path(scratch) / f"{job.parent.name}.xlsx"
            new_file(workbook, make_workbook(shop, to_data(read_job(job))))
            print(job.parent.name, *(page.stem for page in pages_of(workbook, job.parent)))


if __name__ == "__main__":
    main()
