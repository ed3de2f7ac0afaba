"""Closing jobs out: one workbook or a folder of them, read, held against the Actuals sheet, and learned from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from quotebook.engine import evaluate
from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Status
from quotebook.errors import QuotebookError
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.workers import KILLED, each_file
from quotebook.pricing.calibration import ENOUGH, Observation, Ratio, ratios
from quotebook.pricing.closeout import Closeout, close_out
from quotebook.values import Address
from quotebook.workbook.row_memory import RowMemory

if TYPE_CHECKING:
    from quotebook.model import Job, Shop

SCHEMA = 1


@dataclass(slots=True)
class ClosedJob:
    """One file. ``error``: why it could not be read, or that it has no actuals; ``closeout`` is then None."""

    file: str
    part: str = ""
    customer: str = ""
    currency: str = ""
    error: str = ""
    closeout: Closeout | None = None
    notes: list[str] = field(default_factory=list)


@dataclass(slots=True)
class ClosedFolder:
    """All jobs, and what they say together. ``by_place``: work center or hand rate; ``by_kind``: first word of work."""

    jobs: list[ClosedJob]
    by_place: tuple[Ratio, ...] = ()
    by_kind: tuple[Ratio, ...] = ()
    overall: tuple[Ratio, ...] = ()


def close_file(path: Path, memory: RowMemory | None = None, actual_rates: Shop | None = None) -> ClosedJob:
    """Return the close-out of one workbook; what is wrong with the file is told in ``error``."""
    try:
        opened = open_workbook(path, memory)
    except QuotebookError as error:
        return ClosedJob(str(path), error=str(error))
    if opened.job is None or opened.shop is None:
        reason = "; ".join(opened.problems) or "it carries no job of quotebook"
        return ClosedJob(str(path), error=f"{path}: {reason}")
    job, shop = opened.job, opened.shop
    head = job.job
    part = f"{head.part_number} rev {head.revision}" if head.revision else head.part_number
    out = ClosedJob(str(path), part, head.customer, shop.money.currency_code)
    if not has_actuals(job):
        out.error = f"{path}: the Actuals sheet is not filled in; fill it in and save, then close out"
        return out
    out.closeout = close_out(job, shop, actual_rates)
    out.notes.extend([*open_elsewhere_note(path), *out.closeout.notes])
    if actual_rates is None:
        out.notes.extend(_against_sheet(opened, out.closeout))
        out.notes.append("Actual rates are not known here, so there is no rate variance; give them with --rates.")
    return out


def close_folder(
    paths: Sequence[Path],
    actual_rates: Shop | None = None,
    *,
    enough: int = ENOUGH,
    progress: Callable[[int, int, str], None] | None = None,
) -> ClosedFolder:
    """Close out every workbook, over all cores, and compare actual with estimated hours over all of them.

    ``enough``: jobs from which a correction is suggested. ``progress``: called with files done, files in all, and the
    name of the one just done.
    """
    done: dict[str, ClosedJob] = {}
    for closed in each_file(partial(close_file, actual_rates=actual_rates), _killed, list(dict.fromkeys(paths))):
        done[closed.file] = closed
        if progress is not None:
            progress(len(done), len(paths), Path(closed.file).name)
    return learned([done[str(path)] for path in paths], enough)


def learned(jobs: list[ClosedJob], enough: int = ENOUGH) -> ClosedFolder:
    """Return what jobs say together: actual against estimated hours by place, by kind of work and over all."""
    seen = [(one.file, operation) for one in jobs if one.closeout for operation in one.closeout.operations]
    seen = [(file, operation) for file, operation in seen if any(job.file == file and _whole(job) for job in jobs)]
    places, kinds, all_of = [], [], []
    for file, one in seen:
        for kind, allowed, taken in (
            ("setup", one.setup_allowed, one.setup_taken),
            ("run", one.run_allowed, one.run_taken),
        ):
            word = (one.description.split() or ["(no name)"])[0].lower()
            places.append(Observation(file, f"{one.place or '(no place)'}, {kind}", allowed, taken))
            kinds.append(Observation(file, f"{word}, {kind}", allowed, taken))
            all_of.append(Observation(file, kind, allowed, taken))
    return ClosedFolder(jobs, ratios(places, enough), ratios(kinds, enough), ratios(all_of, enough))


def _killed(path: Path) -> ClosedJob:
    return ClosedJob(str(path), error=f"{path}: {KILLED}")


def has_actuals(job: Job) -> bool:
    """Tell whether anything at all is filled in on the Actuals sheet."""
    told: list[object] = list(job.actuals.model_dump().values())
    told += [row.actual_run_hours for row in job.operations] + [row.actual_setup_hours for row in job.operations]
    return any(value is not None for value in told)


def corrected_profile(shop: Shop, folder: ClosedFolder) -> tuple[Shop, tuple[str, ...]]:
    """Return a changed copy of a profile and what was changed; nothing is changed without enough jobs.

    Setup hours come from the profile's touch-off and prove-in minutes, so these are multiplied. Run hours come from
    each job's own cycle minutes, for which a profile has no place: the factor is written into the shop's note.
    """
    setup = next((one for one in folder.overall if one.group == "setup"), None)
    changes: list[str] = []
    policy = shop.policy
    if setup is not None and setup.suggestion is not None:
        factor = setup.suggestion
        touch, prove = round(policy.touch_off_minutes * factor, 2), round(policy.prove_in_minutes * factor, 2)
        changes.append(f"touch_off_minutes {policy.touch_off_minutes:g} becomes {touch:g} ({_backing(setup)})")
        changes.append(f"prove_in_minutes {policy.prove_in_minutes:g} becomes {prove:g} ({_backing(setup)})")
        policy = policy.model_copy(update={"touch_off_minutes": touch, "prove_in_minutes": prove})
    told = [
        f"{one.group}: multiply estimated hours by {one.mean:.3f} ({_backing(one)})"
        for one in folder.by_place
        if one.suggestion is not None and one.group.endswith(", run")
    ]
    header = shop.shop
    if told:
        note = "; ".join(filter(None, [header.note, *told]))
        header = header.model_copy(update={"note": note})
        changes.extend(f"note added: {one}" for one in told)
    return shop.model_copy(update={"policy": policy, "shop": header}), tuple(changes)


def _backing(one: Ratio) -> str:
    return f"{one.jobs} jobs, ratio {one.mean:.3f}, 95 %: {one.low:.3f} to {one.high:.3f}"


def _whole(one: ClosedJob) -> bool:
    return one.closeout is not None and not one.closeout.missing


def _against_sheet(opened: Opened, closed: Closeout) -> Iterator[str]:
    """Say where the Actuals sheet's own formulas come to something else."""
    evaluation = evaluate(opened.book)
    pairs = (("actual_cost", closed.cost), ("actual_revenue", closed.revenue), ("actual_profit", closed.profit))
    for name, ours in pairs if opened.located is not None else ():
        placed = opened.located.fields.get(name) if opened.located else None
        result = evaluation.results.get(Address(placed.sheet, placed.row, placed.column)) if placed else None
        if ours is None or result is None or result.status is not Status.EVALUATED:
            continue
        if compare(result.value, ours).verdict is not Verdict.AGREES:
            yield f"{name} is {result.value} by the sheet's formulas and {ours:.2f} by the close-out: one is wrong"
