"""A workbook of an earlier template revision stays readable: its contract, not ours, says what its fields are.

Source: each file was made by the version before the template's next revision, from an invented job. In that of
revision 2 cells were then emptied for which revision 3 may take a shop's usual figures: there nothing is taken. In that
of revision 3 a work holding and all sizes of a face are blank, for which revision 4 may take the usual ones.
"""

from __future__ import annotations

from pathlib import Path

from quotebook.audit.checks import outdated_template
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute

HERE = Path(__file__).parent
OLD = HERE / "revision-1.xlsx"
SECOND = HERE / "revision-2.xlsx"
THIRD = HERE / "revision-3.xlsx"


def test_inputs_of_a_revision_1_workbook_make_a_job_and_a_shop() -> None:
    opened = open_workbook(OLD)
    assert opened.problems == ()
    assert opened.job is not None
    assert opened.job.job.quantities == (5, 10, 25, 50, 100, 250)
    assert len(opened.job.cutting) == 6
    assert opened.job.extras == ()


def test_a_revision_1_workbook_still_agrees_with_the_reference_on_every_price() -> None:
    result = recompute(OLD)
    assert result.disagreements == []
    assert not result.unknown
    assert result.compared_reference > 300


def test_blank_cells_of_a_revision_2_workbook_still_mean_none() -> None:
    opened = open_workbook(SECOND)
    assert opened.job is not None
    assert opened.job.operations[0].setup_base_hours is None
    assert opened.job.operations[0].touch_offs is None
    assert opened.job.stock.kerf is None
    result = recompute(SECOND)
    assert result.disagreements == []
    assert not result.unknown
    assert result.compared_reference > 500


def test_blank_sizes_and_work_holding_of_a_revision_3_workbook_still_mean_none() -> None:
    opened = open_workbook(THIRD)
    assert opened.job is not None
    assert opened.job.operations[1].work_holding is None
    assert opened.job.cutting[-1].diameter is None
    result = recompute(THIRD)
    assert result.disagreements == []
    assert not result.unknown
    assert result.compared_reference > 400


def test_the_audit_names_an_older_revision() -> None:
    for path, revision in ((OLD, 1), (SECOND, 2), (THIRD, 3)):
        found = list(outdated_template.find(view_of(open_workbook(path))))
        assert [one.found for one in found] == [f"machined-part, revision {revision}"]
