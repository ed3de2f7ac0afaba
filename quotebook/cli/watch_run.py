"""Running the watch: the audit as judge, one line for each verdict, an exit code."""

from __future__ import annotations

import json as json_module
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Event
from types import FrameType

from quotebook.audit.accept import Acceptance
from quotebook.flows.settling import Save
from quotebook.flows.watch import Judge, Judged, Verdict, Watched


def run_watch(
    folder: Path, *, mark: bool, once: bool, poll: bool, every: float, accept: Path | None, json: bool
) -> int:
    """Watch until interrupted, or judge what is there; returns the exit code (of an audit, with ``once``)."""
    from quotebook.audit.accept import read_accepted

    accepted = tuple(read_accepted(accept)) if accept is not None else ()
    watched = Watched(folder, judge_by_audit(mark, accepted, folder))
    if once:
        return _told(watched.settled(time.sleep), json)
    stop = Event()

    def ended(_number: int, _frame: FrameType | None) -> None:
        stop.set()

    signal.signal(signal.SIGINT, ended)
    signal.signal(signal.SIGTERM, ended)
    if not json:
        print(f"Watching {folder}; press Ctrl+C to end. Verdicts: NAME.verdict.html beside each workbook.", flush=True)
    _told(watched.run(stop, every=every, poll=poll), json)
    return 0


def judge_by_audit(mark: bool, accepted: tuple[Acceptance, ...] = (), folder: Path | None = None) -> Judge:
    """Return the judge: the audit, its page, and the marked copy where one is wanted and something was found.

    ``folder``: the workbooks there, as they stand at that moment, say which customers are somebody else's.
    """
    from quotebook.cli.audit_page import page_text
    from quotebook.flows.audit import audit_file
    from quotebook.flows.audit_words import verdict
    from quotebook.flows.companions import all_whose, others_of
    from quotebook.flows.gather import workbooks_under
    from quotebook.flows.marking import marked_bytes

    def judge(save: Save) -> Verdict:
        with tempfile.TemporaryDirectory(prefix="quotebook-", ignore_cleanup_errors=True) as scratch:
            copy = Path(scratch) / save.path.name
            copy.write_bytes(save.content)
            known = all_whose(workbooks_under(folder)) if folder is not None else {}
            audit = audit_file(copy, accepted=accepted, others=others_of(save.path, known))
            audit.file = save.path.name
            if audit.error is not None:
                audit.error = audit.error.replace(str(copy), save.path.name)
                return Verdict(f"not read: {audit.error}", page_text([audit]), True, True)
            marked = marked_bytes(audit) if mark and audit.findings else None
            found = bool(audit.findings or audit.not_judged)
            return Verdict(verdict(audit), page_text([audit]), found, False, marked)

    return judge


def _told(judged: Iterator[Judged], json: bool) -> int:
    """Print a line for each verdict; returns 0 fine, 1 something found, 2 nothing readable."""
    results = []
    for one in judged:
        results.append(one.verdict)
        if json:
            told = {
                "schema": 1, "file": str(one.save.path), "digest": one.save.digest, "verdict": one.verdict.line,
                "error": one.verdict.error, "written": [str(path) for path in one.written], "trouble": one.trouble,
            }  # fmt: skip
            print(json_module.dumps(told), flush=True)
        else:
            trouble = f" ({one.trouble})" if one.trouble else ""
            print(f"{one.save.path}: {one.verdict.line}{trouble}", flush=True)
    if not results and not json:
        print("Nothing new to judge.")
    if results and all(one.error for one in results):
        return 2
    return 1 if any(one.found for one in results) else 0
