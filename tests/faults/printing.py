"""The trial's figures as a text: recall by kind and mode, precision, noise, effects, time, and the worst."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import sqrt
from statistics import median

from tests.faults.bases import AWARE, FREE
from tests.faults.natural_trial import NaturalResult
from tests.faults.plant import BY_NUMBER
from tests.faults.score import CENT, HIT, NEAR
from tests.faults.trial import RECOMPUTED, STALE, Row, Trial


def wilson(hits: int, count: int, z: float = 1.96) -> tuple[float, float]:
    """Return the interval that holds a share with 95 % confidence (Wilson 1927, from memory)."""
    if not count:
        return 0.0, 1.0
    share = hits / count
    middle = share + z * z / (2 * count)
    spread = z * sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    scale = 1 + z * z / count
    return max(0.0, (middle - spread) / scale), min(1.0, (middle + spread) / scale)


def share(rows: Sequence[Row], good: Callable[[Row], bool] | None = None) -> str:
    """Return hits of rows as "45/48 94% (83-98)"."""
    hits = sum((row.outcome == HIT) if good is None else good(row) for row in rows)
    if not rows:
        return "-"
    low, high = wilson(hits, len(rows))
    return f"{hits}/{len(rows)} {hits / len(rows):.0%} ({low:.0%}-{high:.0%})".replace("%-", "-")


def recall(rows: Sequence[Row]) -> float:
    """Return the share of hits; 1 for no rows."""
    return sum(row.outcome == HIT for row in rows) / len(rows) if rows else 1.0


def precision(rows: Sequence[Row]) -> float:
    """Return grave findings that name the fault over all grave findings that are not on the twin; 1 for none."""
    right, wrong = sum(row.grave_right for row in rows), sum(row.grave_wrong for row in rows)
    return right / (right + wrong) if right + wrong else 1.0


def exact_effects(rows: Sequence[Row]) -> tuple[int, int, int]:
    """Return how many hits tell the true effect to the cent, of how many whose true effect is a number, and how many

    of these tell any effect at all.
    """
    hits = [row for row in rows if row.outcome == HIT and row.true_effect is not None]
    told = [row for row in hits if row.effect is not None]
    return sum(abs((row.effect or 0.0) - (row.true_effect or 0.0)) <= CENT for row in told), len(hits), len(told)


def report(trial: Trial, natural: Sequence[NaturalResult]) -> str:
    """Return the whole report."""
    lines = [*_table(trial, AWARE), "", *_table(trial, FREE), "", *_summary(trial, natural)]
    return "\n".join(lines)


def rows_of(trial: Trial, mode: str, variant: str = RECOMPUTED) -> list[Row]:
    """Return the rows of a mode; a stale price has only the stale variant and is always among them."""
    return [row for row in trial.rows if row.mode == mode and (row.variant == variant or row.kind == 25)]


def _table(trial: Trial, mode: str) -> list[str]:
    rows, stale = rows_of(trial, mode), rows_of(trial, mode, STALE)
    title = "with contract" if mode == AWARE else "without contract"
    lines = [
        f"Recall {title} (hits/copies, 95 % interval); 'wanted': kinds and places that this mode should find",
        f"{'kind':24}{'wanted':23}{'wanted, moves price':23}{'other':23}{'old results left':23} near dropped",
    ]
    for number, kind in BY_NUMBER.items():
        own = [row for row in rows if row.kind == number]
        wanted = [row for row in own if row.wanted]
        lines.append(
            f"{number:2} {kind.name:21}{share(wanted):23}{share([r for r in wanted if r.moves]):23}"
            f"{share([r for r in own if not r.wanted]):23}{share([r for r in stale if r.kind == number]):23}"
            f"{sum(r.outcome == NEAR for r in own):5}{trial.dropped.get(f'{mode} {number}', 0):8}"
        )
    wanted = [row for row in rows if row.wanted]
    lines.append(
        f"{'all':24}{share(wanted):23}{share([r for r in wanted if r.moves]):23}"
        f"{share([r for r in rows if not r.wanted]):23}{share(stale):23}"
    )
    for label, held in (("bases for tuning", False), ("bases held out", True)):
        part = [row for row in wanted if row.held_out is held]
        lines.append(f"{label:24}{share(part):23}{share([r for r in part if r.moves]):23}")
    return lines


def worst_kind(rows: Sequence[Row]) -> tuple[str, float]:
    """Return the kind with the lowest recall among the rows."""
    kinds = {row.kind for row in rows}
    worst = min(kinds, key=lambda kind: recall([row for row in rows if row.kind == kind]), default=0)
    name = BY_NUMBER[worst].name if worst else "none"
    return name, recall([row for row in rows if row.kind == worst])


def _summary(trial: Trial, natural: Sequence[NaturalResult]) -> list[str]:
    aware, free = rows_of(trial, AWARE), rows_of(trial, FREE)
    wanted = [row for row in free if row.wanted]
    exact, known, told = exact_effects([row for row in aware if row.variant == RECOMPUTED])
    found, missed = sum(len(one.found) for one in natural), sum(len(one.missed) for one in natural)
    right = sum(len(one.grave_right) for one in natural)
    wrong = sum(len(one.grave_wrong) for one in natural)
    both = _f_with(wanted, found, missed, right, wrong)
    lines = ["Summary (copies with results recomputed)"]
    lines += [
        f"with contract: structural {share([r for r in aware if r.structural])}",
        f"with contract: price-moving, all 25 kinds {share([r for r in aware if r.moves])}",
        f"with contract: price-moving, kinds marked yes {share([r for r in aware if r.moves and r.wanted])}",
        f"with contract: worst kind {worst_kind([r for r in aware if r.wanted])}",
        f"with contract: effect exact to the cent in {exact} of {known} hits; {told} of them tell an effect",
        f"without: recall where wanted {share(wanted)}, worst kind {worst_kind(wanted)}",
        f"without: recall elsewhere {share([r for r in free if not r.wanted])}",
        f"without: hit at one of the two highest levels {share(wanted, lambda row: row.grave_hit)}",
    ]
    for label, rows in (("with contract", aware), ("without", free)):
        aside = sum(row.consequences for row in rows)
        total = sum(row.grave_right + row.grave_wrong for row in rows)
        without = sum(row.grave_right for row in rows) / max(1, total - aside)
        lines.append(
            f"{label}: precision of the two highest levels {precision(rows):.1%} of {total} findings "
            f"({without:.1%} with {aside} true consequences of the fault set aside)"
        )
    lines += [
        f"without, planted and natural together: F {both[2]:.3f} (recall {both[0]:.1%}, precision {both[1]:.1%})",
        f"natural: {found} of {found + missed} mistakes named; grave findings {right} right, {wrong} wrong",
    ]
    lines += _noise(trial)
    seconds = [row.seconds for row in aware], [row.seconds for row in free]
    for label, times in zip(("with contract", "without"), seconds, strict=True):
        if times:
            lines.append(f"{label}: processor time median {median(times):.2f} s, longest {max(times):.2f} s")
    lines.append(f"draws dropped because they change nothing: {sum(trial.dropped.values())}")
    return lines


def f_measure(recalled: float, precise: float) -> float:
    """Return the harmonic mean of recall and precision."""
    return 2 * recalled * precise / (recalled + precise) if recalled + precise else 0.0


def _f_with(rows: Sequence[Row], found: int, missed: int, right: int, wrong: int) -> tuple[float, float, float]:
    hits = sum(row.outcome == HIT for row in rows) + found
    good = sum(row.grave_right for row in rows) + right
    bad = sum(row.grave_wrong for row in rows) + wrong
    recalled = hits / max(1, len(rows) + found + missed)
    precise = good / max(1, good + bad)
    return recalled, precise, f_measure(recalled, precise)


def _noise(trial: Trial) -> list[str]:
    lines = []
    for mode in (AWARE, FREE):
        twins = [twin for twin in trial.twins if twin.mode == mode]
        if not twins:
            continue
        grave = sum(len(twin.grave) for twin in twins)
        most = max(len(twin.grave) for twin in twins)
        rest = sum(twin.others for twin in twins) / len(twins)
        label = "with contract" if mode == AWARE else "without"
        lines.append(
            f"{label}: noise on {len(twins)} untouched twins: {grave} findings "
            f"of the two highest levels, at most {most} on one; {rest:.1f} others on each"
        )
    return lines
