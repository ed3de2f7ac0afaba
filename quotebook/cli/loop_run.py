"""Running the batch commands: targets checked before the work, progress, files written at the end."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from quotebook.cli.loop_report import show_closed, show_gathered, show_merged
from quotebook.cli.showing import Progress, warn
from quotebook.flows.records import FileRecord
from quotebook.workbook.atomic import atomic_bytes, refuse_existing


def run_gather(
    folder: Path,
    out: Path | None,
    book: Path | None,
    csv: Path | None,
    workers: int | None,
    today: datetime.date | None,
    json: bool,
    force: bool,
) -> int:
    """Gather a folder and write what was asked for; returns the exit code."""
    from quotebook.flows.gather import gather
    from quotebook.flows.gather_csv import write_csv
    from quotebook.flows.gather_summary import summary_workbook

    if out is not None:
        refuse_existing(out, force)
    progress = Progress()
    try:
        leave_out = [out] if out is not None else []
        gathered = gather(folder, book=book, workers=workers, leave_out=leave_out, progress=progress)
    except KeyboardInterrupt:
        progress.end()
        kept = "what was finished is in the book; run it again for the rest" if book else "nothing was written"
        warn(f"quotebook: interrupted; {kept}")
        return 1
    progress.end()
    if out is not None:
        atomic_bytes(out, summary_workbook(gathered, today or datetime.date.today()), force)
    if csv is not None:
        write_csv(gathered, csv, force=force)
    show_gathered(gathered, json)
    return _gather_code([record.kind for record in gathered.records], gathered.of_kind("job"))


def _gather_code(kinds: Sequence[str], jobs: Sequence[FileRecord]) -> int:
    if not any(kind in ("job", "supplier answer", "foreign") for kind in kinds):
        return 2
    odd = [one for one in jobs if one.job is not None and one.job.agreement != "agree"]
    return 1 if "failed" in kinds or odd else 0


def run_into(folder: Path, job: Path, out: Path, today: datetime.date | None, json: bool, force: bool) -> int:
    """Bring returned prices into a copy of a job; returns the exit code."""
    from quotebook.flows.merge import merge_returns
    from quotebook.flows.returned_folder import returns_under

    refuse_existing(out, force)
    found = returns_under(folder, [job, out])
    merged = merge_returns(job, found.returned, out, today=today, force=force)
    show_merged(merged, found.unread, json)
    return 0 if merged.all_usable and not found.unread else 1


def run_closeout(
    paths: list[Path],
    out: Path | None,
    rates: Path | None,
    profile: Path | None,
    write_profile: Path | None,
    enough: int,
    json: bool,
    force: bool,
) -> int:
    """Close jobs out; returns the exit code."""
    from quotebook.flows.closeout import close_folder, corrected_profile
    from quotebook.flows.closeout_report import closeout_workbook
    from quotebook.flows.gather import workbooks_under
    from quotebook.model import read_shop, shop_to_toml

    for target in filter(None, (out, write_profile)):
        refuse_existing(target, force)
    files: list[Path] = []
    for path in paths:
        files.extend(workbooks_under(path, [out] if out else []) if path.is_dir() else [path])
    progress = Progress()
    folder = close_folder(files, read_shop(rates) if rates else None, enough=enough, progress=progress)
    progress.end()
    changes: tuple[str, ...] = ()
    if profile is not None:
        changed, changes = corrected_profile(read_shop(profile), folder)
        if write_profile is not None:
            head = "".join(f"# {change}\n" for change in changes) or "# No correction: nothing was changed.\n"
            text = (
                f"# A changed copy of {profile.name}, suggested by quotebook closeout.\n{head}{shop_to_toml(changed)}"
            )
            atomic_bytes(write_profile, text.encode(), force)
    if out is not None:
        atomic_bytes(out, closeout_workbook(folder), force)
    show_closed(folder, changes, json)
    closed = [one.closeout for one in folder.jobs if one.closeout is not None]
    if not closed:
        return 2
    return 1 if any(one.missing for one in closed) or (len(files) == 1 and not closed) else 0
