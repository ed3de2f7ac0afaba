"""Figures and charts in a copy of the workbook: what is drawn is what was computed, and every other part stays.

Source: the run itself; the parts of the source, byte for byte; openpyxl and LibreOffice as readers that are not ours.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.engine import evaluate
from quotebook.errors import InputError
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.flows.risk_run import RiskRun, risk_run
from quotebook.flows.risk_saved import HEADING, save_risk
from quotebook.flows.whatif import what_if
from quotebook.flows.whatif_saved import HEADING as CASES
from quotebook.flows.whatif_saved import save_what_if
from quotebook.values import Address
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.libreoffice import needs_libreoffice, recalculate
from tests.made import place, with_inputs


@pytest.fixture(scope="module")
def source(metric_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The metric job with an uncertain first operation."""
    opened = open_workbook(metric_file)
    likely = evaluate(opened.book).results[place(opened, "cycle_used")].value
    assert isinstance(likely, float)
    ends = {("low_cycle_minutes", 0): likely * 0.8, ("high_cycle_minutes", 0): likely * 1.9}
    return with_inputs(metric_file, tmp_path_factory.mktemp("charts") / "uncertain.xlsx", dict(ends))


@pytest.fixture(scope="module")
def run(source: Path) -> RiskRun:
    return risk_run(source, cases=2_000, seed=5)


@pytest.fixture(scope="module")
def saved(source: Path, run: RiskRun) -> Path:
    target = source.with_name("with-risk.xlsx")
    save_risk(run, source, target)
    return target


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def charts(path: Path) -> list[object]:
    return list(openpyxl.load_workbook(path)["Risk"]._charts)


def test_other_parts_stay_byte_for_byte(source: Path, saved: Path) -> None:
    before, after = parts(source), parts(saved)
    risk = read_snapshot(source).sheet("Risk")
    assert risk is not None
    links = risk.part.replace("worksheets/", "worksheets/_rels/") + ".rels"
    changed = {name for name in before if after[name] != before[name]}
    assert changed - {links} == {risk.part, "[Content_Types].xml"}
    added = set(after) - set(before) - {links}
    assert sorted(name.rsplit("/", 1)[0] for name in added) == [
        "xl/charts", "xl/charts", "xl/drawings", "xl/drawings/_rels",
    ]  # fmt: skip


def test_charts_read_the_cells_that_were_written(saved: Path, run: RiskRun) -> None:
    cost, tornado = charts(saved)
    lot = run.lots[-1]
    counts = cost.series[0].val.numRef  # type: ignore[attr-defined]
    assert cells(saved, counts.f) == [float(count) for count in lot.histogram]
    shown = [float(point.v) for point in counts.numCache.pt]
    assert shown == [float(count) for count in lot.histogram], "before any recalculation"
    names, *bars = (tornado.series[0].cat, *(each.val for each in tornado.series))  # type: ignore[attr-defined]
    assert cells(saved, (names.strRef or names.numRef).f) == [each.name for each in lot.influences]
    begin, below, beyond = (cells(saved, each.numRef.f) for each in bars)
    for n, each in enumerate(lot.influences):
        assert begin[n] == pytest.approx(each.at_low, abs=0.01)
        assert begin[n] + below[n] == pytest.approx(lot.likely_cost, abs=0.02)
        assert begin[n] + below[n] + beyond[n] == pytest.approx(each.at_high, abs=0.03)


def cells(path: Path, reference: str) -> list[Any]:
    """Return what the cells of a reference going down hold."""
    title, area = reference.rsplit("!", 1)
    found = openpyxl.load_workbook(path)[title.strip("'")][area.replace("$", "")]
    return [row[0].value for row in found] if isinstance(found, tuple) else [found.value]


def test_a_second_run_replaces_figures_and_charts_and_leaves_notes(saved: Path, tmp_path: Path) -> None:
    curves, noted, again = (tmp_path / f"{name}.xlsx" for name in ("curves", "noted", "again"))
    save_what_if(what_if(saved, ["quantity=2:40:8"]), saved, curves)
    assert len(charts(curves)) == 3
    last = max(row for row, _ in read_snapshot(curves).sheet("Risk").cells)  # type: ignore[union-attr]
    write_copy(curves, noted, {Address("Risk", last + 5, 1): NewInput("our own remark")})
    save_risk(risk_run(noted, cases=500, seed=6), noted, again)
    save_what_if(what_if(again, ["quantity=2:40:20"]), again, again.with_name("last.xlsx"))
    sheet = read_snapshot(again.with_name("last.xlsx")).sheet("Risk")
    assert sheet is not None
    texts = [cell.value for cell in sheet.cells.values()]
    assert [texts.count(word) for word in (HEADING, CASES, "our own remark")] == [1, 1, 1]
    assert any("500 cases, seed 6" in str(text) for text in texts)
    assert len(charts(again.with_name("last.xlsx"))) == 3
    assert recompute(again.with_name("last.xlsx")).agree == recompute(saved).agree


def test_charts_stand_beside_what_is_drawn_already(run: RiskRun, source: Path, tmp_path: Path) -> None:
    """A sheet that has a chart of somebody else keeps it."""
    theirs, both = tmp_path / "theirs.xlsx", tmp_path / "both.xlsx"
    book = openpyxl.load_workbook(source)
    chart = openpyxl.chart.BarChart()
    chart.add_data(openpyxl.chart.Reference(book["Risk"], min_col=2, min_row=6, max_row=9))
    chart.title = "Theirs"
    book["Risk"].add_chart(chart, "K3")
    book.save(theirs)
    save_risk(run, theirs, both)
    assert len(charts(both)) == 3


@pytest.mark.libreoffice
@needs_libreoffice
def test_libreoffice_opens_the_copy_and_keeps_the_charts(saved: Path, tmp_path: Path) -> None:
    copy = recalculate([saved], tmp_path)[saved]
    assert len(charts(copy)) == 2
    assert recompute(copy).agree is True


def test_too_many_cases_are_refused_before_a_file_is_written(source: Path, tmp_path: Path) -> None:
    result = what_if(source, ["packing_per_lot=1:900:1100"], ["unit_price[1]"])
    with pytest.raises(InputError, match="at most 1000"):
        save_what_if(result, source, tmp_path / "no.xlsx")
    assert not (tmp_path / "no.xlsx").exists()
