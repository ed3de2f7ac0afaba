"""The extension as a file, and its way into the spreadsheet program and out again.

What must hold is the issue's own list: the same bytes every time, no rule of ours in the shell, one line where
LibreOffice is missing.
"""

from __future__ import annotations

import ast
import io
import sys
import tempfile
import zipfile
from pathlib import Path

import pytest

from quotebook.addin import install as installing
from quotebook.addin.answering import MODULES
from quotebook.addin.build import extension_bytes
from quotebook.addin.commands.recompute import _link
from quotebook.addin.install import install, remove
from quotebook.addin.menu import ENTRIES
from quotebook.cli.main import main
from tests.addin.conftest import ROOT, fresh_office
from tests.libreoffice import needs_libreoffice

SHELL = ROOT / "quotebook" / "addin" / "shell"


def test_the_same_extension_is_the_same_bytes_and_another_engine_changes_the_settings_alone() -> None:
    assert extension_bytes() == extension_bytes()
    plain, told = (zipfile.ZipFile(io.BytesIO(extension_bytes(engine))) for engine in ((), ("/a/quotebook",)))
    assert plain.namelist() == told.namelist()
    changed = [name for name in plain.namelist() if plain.read(name) != told.read(name)]
    assert changed == ["python/pythonpath/quotebook_shell/settings.json"]


def test_every_command_of_the_menu_is_answered() -> None:
    assert {entry.name for entry in ENTRIES} - {"clear"} == set(MODULES), "clearing needs no engine"


def test_the_shell_imports_nothing_of_quotebook() -> None:
    files = list(SHELL.rglob("*.py"))
    assert len(files) > 4
    for file in files:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not [name for name in names if name.split(".")[0] == "quotebook"], file


@pytest.mark.parametrize("command", ["install", "remove"])
def test_without_libreoffice_one_line_says_so(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr(installing, "_USUAL", ())
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["quotebook", "addin", command])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "found no LibreOffice on this machine" in told.err
    assert "install LibreOffice" in told.err
    assert len(told.err.strip().splitlines()) == 1


@pytest.mark.libreoffice
@needs_libreoffice
def test_it_is_installed_once_over_itself_and_removed() -> None:
    with tempfile.TemporaryDirectory(prefix="quotebook-profile-", ignore_cleanup_errors=True) as name:
        office = fresh_office(Path(name))
        install(office, ["quotebook"])
        install(office, ["quotebook"])
        assert remove(office)
        assert not remove(office)


def test_a_list_leads_to_sheets_whose_titles_need_quotes() -> None:
    """Source: by hand; a title with an apostrophe is written with two of them in a reference (ECMA-376, 18.17)."""
    assert _link("'Bob''s steps'!C3") == {"text": "Bob's steps C3", "sheet": "Bob's steps", "cell": "C3"}
    assert _link("Price!D9") == {"text": "Price D9", "sheet": "Price", "cell": "D9"}
    assert _link("") == ""
