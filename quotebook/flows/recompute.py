"""Recomputing a workbook: stored results, evaluator and reference pricing side by side, and where they differ.

Three answers to "what is the price?" that do not borrow from each other: the results that the spreadsheet program
stored in the file, the evaluator's own results of the file's formulas, and the reference pricing of the inputs.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from quotebook.engine import evaluate
from quotebook.engine.book import Evaluation
from quotebook.errors import BookError
from quotebook.flows.against_reference import against_reference
from quotebook.flows.against_stored import against_stored, fresh_results, not_evaluated
from quotebook.flows.against_witness import against_witness
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recomputed import SCHEMA, Disagreement, PriceRow, Recomputed, Unknown
from quotebook.workbook.row_memory import RowMemory

__all__ = ["SCHEMA", "Disagreement", "PriceRow", "Recomputed", "Unknown", "fresh_results", "recompute", "recompute_all"]


def recompute(
    path: Path, *, witness: str | None = None, save_as: Path | None = None, force: bool = False,
    memory: RowMemory | None = None,
) -> Recomputed:  # fmt: skip
    """Recompute one workbook.

    ``witness``: "formulas" or "ironcalc" asks that library as well. ``save_as``: writes a copy with fresh stored
    results and nothing else changed. ``memory``: shared by the readings of a batch.
    Errors: BookError for an unreadable file or a target that may not be written.
    """
    opened = open_workbook(path, memory)
    evaluation = evaluate(opened.book)
    result = judge(opened, evaluation)
    result.notes.extend(open_elsewhere_note(path))
    if witness is not None:
        result.disagreements.extend(against_witness(opened, evaluation, witness, result))
    if save_as is not None:
        from quotebook.workbook.patch import write_copy

        write_copy(path, save_as, fresh_results(opened, evaluation), force=force)
        result.notes.append(f"copy with fresh stored results: {save_as}")
    return result


def judge(opened: Opened, evaluation: Evaluation) -> Recomputed:
    """Return what stored results, recomputed results and reference pricing say about an opened workbook."""
    result = Recomputed(str(opened.snapshot.path), formulas=len(evaluation.results), evaluated=evaluation.evaluated)
    result.unknown.extend(not_evaluated(opened, evaluation))
    against_stored(opened, evaluation, result)
    if opened.contract is None:
        result.notes.append("carries no contract of quotebook, so there is no reference price to compare with")
    else:
        result.has_contract = True
        against_reference(opened, evaluation, result)
    return result


def recompute_all(
    paths: Sequence[Path], *, witness: str | None = None, save_as: Path | None = None, force: bool = False,
    workers: int | None = None,
) -> list[Recomputed]:  # fmt: skip
    """Recompute several workbooks; a file that cannot be read is named in its result and never stops the others.

    ``workers``: processes for many files, as many as cores by default.

    Errors: BookError only together with ``save_as``, for the file or for the target.
    """
    if save_as is not None:
        return [recompute(path, witness=witness, save_as=save_as, force=force) for path in paths]
    if len(paths) < MANY or witness is not None:
        return [_told(path, witness=witness) for path in paths]
    from quotebook.flows.workers import each_file

    done = {one.file: one for one in each_file(_told, _killed, list(dict.fromkeys(paths)), workers)}
    return [done[str(path)] for path in paths]


#: So many files are worth the start of other processes.
MANY = 8


def _told(path: Path, memory: RowMemory | None = None, *, witness: str | None = None) -> Recomputed:
    try:
        return recompute(path, witness=witness, memory=memory)
    except BookError as error:
        return Recomputed(str(path), error=str(error))


def _killed(path: Path) -> Recomputed:
    from quotebook.flows.workers import KILLED

    return Recomputed(str(path), error=f"{path}: {KILLED}")
