"""A workbook of the first template revision stays readable: its contract, not ours, says what its fields are.

Source: revision-1.xlsx was made by the version before the template's revision 2 from an invented job.
"""

from __future__ import annotations

from pathlib import Path

from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute

OLD = Path(__file__).parent / "revision-1.xlsx"


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
