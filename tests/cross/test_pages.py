"""Printed pages of the examples, as LibreOffice lays them out: no hidden figures, no empty page, one page to send."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from quotebook.flows.demo import examples_folder
from quotebook.flows.new import make_workbook
from quotebook.model import read_job, read_shop, to_data
from tests.libreoffice import needs_libreoffice, needs_pdf_reader

EXAMPLES = ["sensor-spigot", "manifold-block", "coupling-flange"]
#: A page on which a table goes on holds at least the boxes of its cells: so much of the paper below the head.
LEAST_INK = 0.001


def printed(name: str, folder: Path) -> list[str]:
    """Return the text of each printed page of an example."""
    examples = examples_folder()
    shop = to_data(read_shop(examples / "shop.toml"))
    workbook = folder / f"{name}.xlsx"
    workbook.write_bytes(make_workbook(shop, to_data(read_job(examples / name / "job.toml"))).content)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(workbook)]
    subprocess.run(command, check=True, capture_output=True, timeout=240)
    text = subprocess.run(
        ["pdftotext", "-layout", str(folder / f"{name}.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    return text.split("\f")[:-1]


def words_of_its_own(page: str, before: str) -> int:
    """Count the words of a page without the lines that it repeats from the page before, and without its foot."""
    repeated = {" ".join(line.split()) for line in before.splitlines()}
    lines = [" ".join(line.split()) for line in page.splitlines() if line.strip()]
    return sum(len(line.split()) for line in lines[:-1] if line not in repeated)


def ink(file: Path, number: int) -> float:
    """Return the share of a page's paper that is not white, below its head and above its foot."""
    bitmap = subprocess.run(
        ["pdftoppm", "-r", "60", "-gray", "-f", str(number), "-l", str(number), str(file)],
        check=True, capture_output=True,
    ).stdout  # fmt: skip
    image = Image.open(io.BytesIO(bitmap))
    body = image.crop((0, round(image.height * 0.22), image.width, round(image.height * 0.94)))
    return sum(body.histogram()[:200]) / (body.width * body.height)


@needs_libreoffice
@pytest.mark.libreoffice
@needs_pdf_reader
@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_prints_without_hidden_figures_or_empty_pages(name: str, tmp_path: Path) -> None:
    pages = printed(name, tmp_path)
    assert len(pages) >= 14  # one for each sheet at least
    for number, page in enumerate(pages, start=1):
        assert "###" not in page, f"page {number} hides a figure: its column is too narrow"
        if not words_of_its_own(page, pages[number - 2]):
            assert ink(tmp_path / f"{name}.pdf", number) > LEAST_INK, f"page {number} is empty"
        for wrong in ("#N/A", "#VALUE!", "#REF!", "#NAME?", "#DIV/0!", "Err:5"):
            assert wrong not in page, f"page {number} shows {wrong}"
    quotes = [page for page in pages if page.split() and "Quotation" in page.split("\n\n")[0] + page[:300]]
    assert len([page for page in quotes if "Extended price" in page]) == 1
