"""The trial: faults planted over many bases, every copy audited, the findings judged against what was planted."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from quotebook.flows.audit import FileAudit, audit_file
from tests.faults.bases import AWARE, FREE, HOMEMADE, make_generated, make_homemade
from tests.faults.generated import JOBS
from tests.faults.ground import Ground, ground_of
from tests.faults.plant import BY_NUMBER, STRUCTURAL, Planted, plant
from tests.faults.score import judge, key_of, text_of

#: The moment of every audit, so that no run differs from another by the day; the generated quotes are valid then.
NOW = datetime(2099, 3, 5, 9, 0)
RECOMPUTED, STALE = "recomputed", "stale"


@dataclass(frozen=True)
class Row:
    """One audited copy, as plain data."""

    base: str
    mode: str
    held_out: bool
    kind: int
    seed: int
    variant: str
    outcome: str
    grave_hit: bool
    grave_right: int
    grave_wrong: int
    consequences: int
    moves: bool
    in_run: bool
    wanted: bool
    structural: bool
    effect: float | None
    true_effect: float | None
    seconds: float
    cells: str
    old: str
    new: str
    note: str
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Twin:
    """The untouched base, audited: its findings of the two highest levels, all others counted, and the time."""

    base: str
    mode: str
    held_out: bool
    grave: tuple[str, ...]
    others: int
    seconds: float


@dataclass
class Trial:
    """Everything that a trial found out. ``dropped`` and ``no_place``: by mode and kind."""

    rows: list[Row] = field(default_factory=list)
    twins: list[Twin] = field(default_factory=list)
    dropped: dict[str, int] = field(default_factory=dict)
    no_place: dict[str, int] = field(default_factory=dict)

    def data(self) -> dict[str, Any]:
        """Return it as plain data for a JSON file."""
        return asdict(self)


@dataclass(frozen=True)
class Task:
    """Copies of one base to be made and judged: (kind, seed) pairs."""

    mode: str
    number: int
    folder: Path
    pairs: tuple[tuple[int, int], ...]
    few_rows: bool = False


def run_trial(
    folder: Path,
    plan: Mapping[str, Mapping[int, tuple[tuple[int, int], ...]]],
    workers: int = 2,
    *,
    few_rows: bool = False,
) -> Trial:
    """Run a plan (mode to base number to (kind, seed) pairs) on several processes; see ``plan_for``.

    ``few_rows``: workbooks with a contract have tables no longer than their jobs need.
    """
    folder.mkdir(parents=True, exist_ok=True)
    tasks = [
        Task(mode, number, folder, pairs[start : start + 25], few_rows)
        for mode, bases in plan.items()
        for number, pairs in bases.items()
        for start in range(0, max(1, len(pairs)), 25)
    ]
    trial = Trial()
    twins: dict[str, Twin] = {}
    if workers == 1:
        parts: Iterator[tuple[Twin, list[Row], dict[str, int], dict[str, int]]] = map(run_task, tasks)
        _gather(trial, twins, parts)
    else:
        with ProcessPoolExecutor(workers) as pool:
            _gather(trial, twins, pool.map(run_task, tasks))
    trial.twins = list(twins.values())
    return trial


def plan_for(
    seeds: int,
    aware_bases: int = len(JOBS),
    free_bases: int = len(HOMEMADE),
    kinds: tuple[int, ...] = tuple(BY_NUMBER),
    first: int = 0,
) -> dict[str, dict[int, tuple[tuple[int, int], ...]]]:
    """Return a plan that spreads ``seeds`` copies of each kind evenly over the bases of each mode.

    Kinds with few places (look-ups, names, tests) get more seeds on home-made bases, since most of these have no place.
    ``first``: the first seed; others than 0 give copies that nobody has looked at.
    """
    plan: dict[str, dict[int, tuple[tuple[int, int], ...]]] = {}
    for mode, count in ((AWARE, aware_bases), (FREE, free_bases)):
        pairs: dict[int, list[tuple[int, int]]] = {number: [] for number in range(count)}
        for kind in kinds:
            rare = mode == FREE and kind in (13, 23, 24)
            for seed in range(first, first + (seeds * 4 if rare else seeds)):
                # A different base begins for each kind, so that a small trial does not use the same few bases.
                pairs[(seed + kind * 5) % count].append((kind, seed))
        plan[mode] = {number: tuple(each) for number, each in pairs.items()}
    return plan


def run_task(task: Task) -> tuple[Twin, list[Row], dict[str, int], dict[str, int]]:
    """Make, audit and judge the copies of one task."""
    ground, twin, keys = _prepared(task.mode, task.number, task.folder, task.few_rows)
    rows: list[Row] = []
    dropped: dict[str, int] = defaultdict(int)
    no_place: dict[str, int] = defaultdict(int)
    done: set[tuple[str, ...]] = set()
    for number, seed in task.pairs:
        planted, thrown = plant(ground, BY_NUMBER[number], seed, task.folder)
        dropped[f"{task.mode} {number}"] += thrown
        if planted is None:
            no_place[f"{task.mode} {number}"] += 1
            continue
        mark = (str(number), *map(str, planted.fault.cells), planted.fault.new, planted.fault.note)
        if mark not in done:  # a base with one place for a kind gives the same copy again and again
            done.add(mark)
            rows += _judged(ground, planted, seed, keys)
        for path in (planted.recomputed, planted.stale):
            if path is not None:
                path.unlink(missing_ok=True)
    return twin, rows, dict(dropped), dict(no_place)


@lru_cache(maxsize=2)
def _prepared(mode: str, number: int, folder: Path, few_rows: bool) -> tuple[Ground, Twin, frozenset[str]]:
    own = _own(folder)
    base = make_generated(own, number, few_rows=few_rows) if mode == AWARE else make_homemade(own, number)
    ground = ground_of(base)
    audited, seconds = timed_audit(base.path)
    assert audited.error is None, audited.error
    grave = tuple(text_of(finding) for finding in audited.findings if finding.severity.is_grave)
    twin = Twin(base.name, mode, base.held_out, grave, len(audited.findings) - len(grave), seconds)
    return ground, twin, frozenset(key_of(finding) for finding in audited.findings)


def _own(folder: Path) -> Path:
    """Return a folder of this process, so that two processes never write one base at a time."""
    import os

    own = folder / f"bases-{os.getpid()}"
    own.mkdir(exist_ok=True)
    return own


def timed_audit(path: Path) -> tuple[FileAudit, float]:
    """Audit a file and return the processor seconds it took as well."""
    start = time.process_time()
    audited = audit_file(path, now=NOW)
    return audited, time.process_time() - start


def _judged(ground: Ground, planted: Planted, seed: int, keys: frozenset[str]) -> Iterator[Row]:
    fault, kind = planted.fault, planted.kind
    for variant, path in ((RECOMPUTED, planted.recomputed), (STALE, planted.stale)):
        if path is None:
            continue
        audited, seconds = timed_audit(path)
        judged = judge(ground, planted, audited.findings, keys, stale=variant == STALE)
        aware = ground.base.mode == AWARE
        yield Row(
            base=ground.base.name,
            mode=ground.base.mode,
            held_out=ground.base.held_out,
            kind=kind.number,
            seed=seed,
            variant=variant,
            outcome=judged.outcome,
            grave_hit=judged.grave_hit,
            grave_right=judged.grave_right,
            grave_wrong=judged.grave_wrong,
            consequences=judged.consequences,
            moves=planted.moves,
            in_run=planted.in_run,
            wanted=kind.aware == "yes" if aware else planted.wanted_free,
            structural=kind.number in STRUCTURAL or fault.form == "flag dropped",
            effect=judged.effect,
            true_effect=judged.true_effect,
            seconds=seconds,
            cells=", ".join(map(str, fault.cells[:4])) + (" ..." if len(fault.cells) > 4 else ""),
            old=fault.old,
            new=fault.new,
            note=fault.note,
            findings=judged.texts[:12],
        )


def _gather(
    trial: Trial, twins: dict[str, Twin], parts: Iterator[tuple[Twin, list[Row], dict[str, int], dict[str, int]]]
) -> None:
    for twin, rows, dropped, no_place in parts:
        twins.setdefault(twin.base, twin)
        trial.rows += rows
        for into, more in ((trial.dropped, dropped), (trial.no_place, no_place)):
            for key, count in more.items():
                into[key] = into.get(key, 0) + count
