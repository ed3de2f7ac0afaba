"""The two sides that are held against each other share no arithmetic, and every library has one door."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "quotebook"


def imported(folder: str) -> dict[str, set[str]]:
    """Return for each module file below a folder of the package the modules of quotebook that it names in imports."""
    found: dict[str, set[str]] = {}
    for path in sorted((PACKAGE / folder).rglob("*.py")):
        names: set[str] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
            elif isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
        found[str(path.relative_to(PACKAGE))] = names
    return found


def loaded_with(module: str) -> set[str]:
    """Return what a fresh process has loaded after importing a module."""
    code = f"import sys, {module}; print('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return set(done.stdout.split())


def test_pricing_and_the_workbook_side_import_nothing_of_each_other() -> None:
    """What both may share are plain values and errors; the models are the reference's own input."""
    pricing, other = imported("pricing"), [imported(name) for name in ("engine", "template", "workbook")]
    assert len(pricing) >= 10
    assert sum(map(len, other)) >= 60
    for file, names in pricing.items():
        allowed = (
            "quotebook.pricing",
            "quotebook.machining",
            "quotebook.model",
            "quotebook.errors",
            "quotebook.rounding",
        )
        assert all(name.startswith(allowed) for name in names if name.startswith("quotebook")), file
    for group in other:
        for file, names in group.items():
            theirs = ("quotebook.pricing", "quotebook.machining", "quotebook.model", "quotebook.rounding")
            assert not [name for name in names if name.startswith(theirs)], file


def test_loading_the_reference_price_loads_no_formula_and_no_workbook() -> None:
    """Also nothing indirect, through a third module."""
    loaded = loaded_with("quotebook.pricing")
    assert "quotebook.pricing.price" in loaded
    far = ("quotebook.engine", "quotebook.template", "quotebook.workbook", "quotebook.flows", "openpyxl", "xlsxwriter")
    assert not [name for name in loaded if name.startswith(far)]


def test_loading_the_evaluator_and_the_generator_loads_no_price() -> None:
    loaded = loaded_with(
        "quotebook.engine, quotebook.engine.compile, quotebook.workbook.generate, quotebook.template.load"
    )
    assert "quotebook.engine.compile" in loaded
    assert not [name for name in loaded if name.startswith(("quotebook.pricing", "quotebook.model"))]


def test_the_pairs_of_both_sides_hold_no_arithmetic() -> None:
    """The list that says which field means which figure may not compute: a shared error would hide there."""
    tree = ast.parse((PACKAGE / "flows" / "elements.py").read_text(encoding="utf-8"))
    sums = [node for node in ast.walk(tree) if isinstance(node, ast.BinOp) and not isinstance(node.op, ast.BitOr)]
    assert not sums, [ast.unparse(node) for node in sums]


def test_every_import_contract_holds() -> None:
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    assert len(contracts) >= 6
    report = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()", "--no-cache"],
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert report.returncode == 0, report.stdout + report.stderr
    assert f"Contracts: {len(contracts)} kept, 0 broken" in report.stdout
