"""What was missed and what was wrongly reported, for whoever mends the checks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from tests.faults.bases import AWARE, FREE
from tests.faults.natural_trial import NaturalResult
from tests.faults.plant import BY_NUMBER
from tests.faults.printing import rows_of
from tests.faults.score import CENT, HIT
from tests.faults.trial import Trial


def misses(trial: Trial, natural: Sequence[NaturalResult]) -> str:
    """Return the misses of wanted faults, wrong grave findings, wrong effects and noise, bases for tuning only."""
    lines: list[str] = []
    for mode in (AWARE, FREE):
        rows = [row for row in rows_of(trial, mode) if not row.held_out]
        lines.append(f"# {mode}: missed where wanted (bases for tuning only)")
        for row in sorted(rows, key=lambda row: row.kind):
            if (row.wanted or (mode == AWARE and row.moves)) and row.outcome != HIT:
                lines.append(
                    f"- {row.kind} {BY_NUMBER[row.kind].name}, {row.base} {row.cells}: {row.old[:300]} -> "
                    f"{row.new[:300]} ({row.note}; {row.outcome}; {'moves' if row.moves else 'does not move'} the "
                    f"price). Reported: {' || '.join(row.findings[:3])[:600] or 'nothing new'}"
                )
        lines.append(f"\n# {mode}: grave findings that do not name the fault")
        wrong: Counter[str] = Counter()
        example: dict[str, str] = {}
        for row in rows:
            if row.grave_wrong:
                for text in row.findings:
                    if "[do not quote]" in text or "[probably wrong]" in text:
                        check = text.split("] ")[1].split(" at ")[0]
                        wrong[check] += 1
                        example.setdefault(
                            check,
                            f"{row.base} kind {row.kind} {row.cells} {row.old[:120]} -> {row.new[:120]}: {text[:400]}",
                        )
        lines += [f"- {check} x{count}: e.g. {example[check]}" for check, count in wrong.most_common()]
        lines.append(f"\n# {mode}: findings of the two highest levels on untouched twins")
        lines += [f"- {twin.base}: {text[:500]}" for twin in trial.twins if twin.mode == mode for text in twin.grave]
        lines.append("")
    lines.append("# aware: hits whose effect is not the true one")
    for row in rows_of(trial, AWARE):
        if row.outcome != HIT or row.true_effect is None or row.held_out or row.kind == 25:
            continue
        if row.effect is None or abs(row.effect - row.true_effect) > CENT:
            lines.append(
                f"- {row.kind} {row.base} {row.cells}: {row.old[:150]} -> {row.new[:150]}; true "
                f"{row.true_effect:.2f}, told {row.effect}; {row.findings[0][:200]}"
            )
    lines.append("\n# natural sheets")
    for one in natural:
        lines += [f"- {one.sheet}: missed: {what}" for what in one.missed]
        lines += [f"- {one.sheet}: wrong grave finding: {text[:300]}" for text in one.grave_wrong]
    return "\n".join(lines) + "\n"
