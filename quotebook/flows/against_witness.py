"""The recomputed results against those of another engine, asked by name."""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Evaluation, Status
from quotebook.flows.against_stored import text_for_blank
from quotebook.flows.field_view import field_names
from quotebook.flows.opening import Opened
from quotebook.flows.recomputed import Disagreement, Recomputed


def against_witness(opened: Opened, evaluation: Evaluation, name: str, out: Recomputed) -> Iterator[Disagreement]:
    """Yield every cell where the witness, asked by name, answers otherwise; note how many it could judge.

    Errors: EngineError when the library is missing or gives up on the whole workbook.
    """
    from quotebook.engine.witness import witness_formulas, witness_ironcalc

    answer = (witness_formulas if name == "formulas" else witness_ironcalc)(opened.book)
    fields = field_names(opened)
    judged = 0
    for address, result in evaluation.results.items():
        other = answer.results.get(address)
        if other is None or other.status is not Status.EVALUATED or result.status is not Status.EVALUATED:
            continue
        judged += 1
        theirs = text_for_blank(other.value)
        if compare(text_for_blank(result.value), theirs).verdict is not Verdict.AGREES:
            yield Disagreement(
                "recomputed and witness", str(address), fields.get(address, ""), theirs, result.value, None,
                f"the witness {name} says {theirs!r}; known differences of that library are in DEVELOPERS.md",
            )  # fmt: skip
    out.notes.append(f"witness {name}: judged {judged} of {len(evaluation.results)} formulas")
