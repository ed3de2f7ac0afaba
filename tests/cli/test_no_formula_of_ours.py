"""Nothing that people typed becomes a formula, a script or a picture in the files that quotebook writes.

Source: the OWASP page on CSV injection (= + - @ tab and line ends at the start of a cell), and catalogue row P13, whose
remedies are: put a sign before it, write it as a string, escape markup.
"""

from __future__ import annotations

import csv
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from quotebook.cli.main import app
from tests import loop

RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
LINK = '=HYPERLINK("http://example.invalid","look")'
MARKUP = '=1+1</code><script>alert(1)</script><img src=x onerror="alert(1)">'
COMMAND = "=cmd|' /C calc'!A0"
DAY = "2031-03-10"


def run(*words: object) -> str:
    result = CliRunner().invoke(app, [str(word) for word in words])
    assert result.exit_code in (0, 1), result.output
    return result.output


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two jobs for two customers; the first tells of the second, and every text of it is an attack."""
    folder = tmp_path_factory.mktemp("=jobs")
    data = loop.job_data()
    data["job"].update(
        customer=MARKUP, contact="@SUM(A1)", part_number=COMMAND, part_name=LINK, revision="-1+1", quote_number="+49",
        note="as for Brackwater =1+1<b>Conveyors</b>", quote_terms=LINK, prepared_by="\t=1+1",
    )  # fmt: skip
    data["supplier_price"] = [
        {"line": "Stock", "supplier": LINK, "reference": COMMAND, "price": 80.0, "chosen": True, "remark": MARKUP}
    ]
    data["stock"]["price"] = 80.0
    loop.write(folder / "first.xlsx", data)
    other = loop.job_data("valve-body")
    other["job"].update(customer="Brackwater =1+1<b>Conveyors</b>", quote_number="QX-1043")
    loop.write(folder / "second.xlsx", other)
    return folder


def texts_of(path: Path) -> list[str]:
    """All texts of a workbook of ours; none of its cells may be a formula or a link to the outside."""
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert [cell.coordinate for cell in cells if cell.data_type == "f"] == []
    assert [cell.coordinate for cell in cells if cell.hyperlink is not None and cell.hyperlink.target] == []
    return [cell.value for cell in cells if isinstance(cell.value, str)]


class Tags(HTMLParser):
    """The tags and attributes of a page, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[tuple[str, str]] = set()
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {(name, value or "") for name, value in attrs}

    def handle_data(self, data: str) -> None:
        self.text += data


def assert_harmless(page: str) -> Tags:
    seen = Tags(page)
    assert not seen.tags & {"script", "img", "b", "iframe", "object", "link", "form"}
    assert not [name for name, _ in seen.attributes if name.startswith("on") or name == "src"]
    assert all(value.startswith("#") for name, value in seen.attributes if name == "href"), "a link out of the page"
    return seen


def test_csv(folder: Path, tmp_path: Path) -> None:
    run("gather", folder, "--csv", tmp_path / "csv", "--workers", 1)
    cells = [
        cell
        for path in sorted((tmp_path / "csv").iterdir())
        for row in csv.reader(path.read_text(encoding="utf-8-sig").splitlines(keepends=True))
        for cell in row
    ]
    texts = [cell for cell in cells if not is_number(cell)]
    assert [cell for cell in texts if cell.lstrip(" ").startswith(RISKY)] == []
    for text in (MARKUP, COMMAND, LINK, "-1+1"):
        assert f"'{text}" in texts, "the test would prove nothing"


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return not text.startswith("+")


def test_the_summary_of_a_folder(folder: Path, tmp_path: Path) -> None:
    run("gather", folder, "-o", tmp_path / "summary.xlsx", "--workers", 1)
    texts = texts_of(tmp_path / "summary.xlsx")
    assert MARKUP in texts
    assert COMMAND in texts


def test_the_customer_s_copy(folder: Path, tmp_path: Path) -> None:
    run("quote", folder / "first.xlsx", "-o", tmp_path / "copy.xlsx", "--no-pdf", "--today", DAY, "--anyway")
    texts = texts_of(tmp_path / "copy.xlsx")
    assert MARKUP in texts
    assert LINK in texts


def test_the_audit_s_page_and_list(folder: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    run("audit", folder, "--report", page)
    seen = assert_harmless(page.read_text(encoding="utf-8"))
    assert "Brackwater =1+1<b>Conveyors</b>" in seen.text, "the finding quotes what was typed"
    assert "nothing of a customer other than =1+1</code><script>" in seen.text


def test_the_page_of_a_watched_folder_and_the_list_in_a_marked_copy(folder: Path) -> None:
    run("watch", folder, "--once", "--mark")
    seen = assert_harmless((folder / "first.verdict.html").read_text(encoding="utf-8"))
    assert "Brackwater =1+1<b>Conveyors</b>" in seen.text
    listed = openpyxl.load_workbook(folder / "first.marked.xlsx")["Audit findings"]
    cells = [cell for row in listed.iter_rows() for cell in row if cell.value is not None]
    assert [cell.coordinate for cell in cells if cell.data_type == "f"] == []
    assert any("</code><script>" in str(cell.value) for cell in cells), "the test would prove nothing"
    assert not any(cell.hyperlink is not None and cell.hyperlink.target for cell in cells)
