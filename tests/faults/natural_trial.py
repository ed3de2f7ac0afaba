"""The hasty sheets audited: which of their true mistakes are named, and how many grave findings name one."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quotebook.audit.finding import Severity
from tests.faults.bases import NATURAL, make_natural
from tests.faults.score import cells_of, text_of
from tests.faults.trial import timed_audit


@dataclass(frozen=True)
class NaturalResult:
    """One hasty sheet: mistakes found and not found, grave findings that name one and that name none."""

    sheet: str
    found: tuple[str, ...]
    missed: tuple[str, ...]
    grave_right: tuple[str, ...]
    grave_wrong: tuple[str, ...]
    findings: tuple[str, ...]


def mistakes() -> list[dict[str, Any]]:
    """Return the true mistakes as listed by hand; those marked doubtful are left out."""
    text = (Path(__file__).parent / "natural" / "mistakes.toml").read_text(encoding="utf-8")
    return [each for each in tomllib.loads(text)["mistake"] if not each.get("doubtful")]


def run_natural(folder: Path) -> list[NaturalResult]:
    """Audit the hasty sheets and compare with the lists."""
    return [_judge(folder, name) for name in NATURAL]


def _judge(folder: Path, name: str) -> NaturalResult:
    audited, _ = timed_audit(make_natural(folder, name).path)
    seen = [f for f in audited.findings if f.severity.rank <= Severity.LOOK_AT_IT.rank]
    own = [each for each in mistakes() if each["sheet"] == name]
    places = {each["what"]: _cells(each["cells"]) for each in own}
    found, right, wrong = set(), [], []
    for finding in seen:
        cells = {str(cell) for cell in cells_of(finding)}
        hits = [what for what, wanted in places.items() if wanted & cells]
        found.update(hits)
        if finding.severity.is_grave:
            (right if hits else wrong).append(text_of(finding))
    missed = tuple(what for what in places if what not in found)
    return NaturalResult(
        name, tuple(sorted(found)), missed, tuple(right), tuple(wrong), tuple(map(text_of, audited.findings))
    )


def _cells(areas: list[str]) -> set[str]:
    from quotebook.values import Address
    from quotebook.workbook.areas import parse_area

    cells = set()
    for text in areas:
        title, _, area_text = text.rpartition("!")
        area = parse_area(area_text)
        assert area is not None, text
        for row in range(area.first_row, area.last_row + 1):
            for column in range(area.first_column, area.last_column + 1):
                cells.add(str(Address(title, row, column)))
    return cells
