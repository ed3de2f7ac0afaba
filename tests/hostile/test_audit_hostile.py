"""Every hostile file ends in findings or one plain reason, within 10 s and 1 GiB, and never in a traceback.

Source of the limits: the issue; of the cases: its list (cut short, bits flipped, entity bombs, a thousand to one, path
tricks, missing parts, addresses twice, wrong types, fuzzed XML), and by hand.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from tests.hostile.audit_in_limits import LONGEST_SECONDS
from tests.hostile.damage import all_cases

_ROOT = Path(__file__).parents[2]
#: ``QUOTEBOOK_HOSTILE=all`` audits every case (minutes); otherwise one in so many of them, spread over all kinds.
_EVERY = 1 if os.environ.get("QUOTEBOOK_HOSTILE") == "all" else 17
_WORKERS = 2 if _EVERY == 1 else 1
#: A worker that waits for something is ended after this many seconds without an answer for a file; one that computes is
#: ended by the system, see ``audit_in_limits``.
_PATIENCE = 240.0


def test_every_hostile_file_ends_well(tmp_path: Path) -> None:
    files: dict[str, str] = {}
    cases = list(all_cases())
    assert len(cases) >= 300
    for number, case in enumerate(cases[::_EVERY]):
        folder = tmp_path / f"{number:03d}"
        folder.mkdir()
        case.make(folder / case.file_name)
        files[str(folder / case.file_name)] = case.name
    shares = [list(files)[start::_WORKERS] for start in range(_WORKERS)]
    with ThreadPoolExecutor(_WORKERS) as pool:
        answers = {name: answer for part in pool.map(_audited, shares) for name, answer in part.items()}
    troubles = [
        f"{files[name]}: {_trouble(name, answer)}" for name, answer in answers.items() if _trouble(name, answer)
    ]
    assert set(answers) == set(files)
    assert not troubles, "\n".join(troubles)


def _audited(names: list[str]) -> dict[str, dict[str, Any]]:
    """Audit files in worker processes; a worker that dies or hangs is noted for its file and replaced."""
    answers: dict[str, dict[str, Any]] = {}
    left = list(names)
    while left:
        done = _one_worker(left, answers)
        left = left[done:]
    return answers


def _one_worker(names: list[str], answers: dict[str, dict[str, Any]]) -> int:
    """Run one worker over files and return for how many there is an answer now."""
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(_ROOT)}
    worker = subprocess.Popen(
        [sys.executable, "-m", "tests.hostile.audit_in_limits", *names],
        cwd=_ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert worker.stdout is not None, "asked for"
    assert worker.stderr is not None, "asked for"
    done = 0
    with ThreadPoolExecutor(1) as reader:
        for name in names:
            answer = reader.submit(worker.stdout.readline)
            try:
                line = answer.result(timeout=_PATIENCE)
            except TimeoutError:
                worker.kill()
                answers[name] = {"ended": f"no answer within {_PATIENCE:g} s"}
                return done + 1
            if not line:
                worker.wait()
                answers[name] = {"ended": f"exit code {worker.returncode}: {worker.stderr.read()[-400:]}"}
                return done + 1
            answers[name] = json.loads(line)
            done += 1
    worker.wait()
    return done


def _trouble(name: str, answer: dict[str, Any]) -> str:
    """Return what is wrong with an answer; "" if nothing is."""
    if "ended" in answer:
        return f"the process ended: {answer['ended']}"
    if answer["seconds"] > LONGEST_SECONDS:
        return f"{answer['seconds']:.1f} s"
    failed = [found for check, found in answer["findings"] if check == "check-failed"]
    if failed:
        return f"a check crashed: {failed[0]}"
    error = answer["error"]
    if error is not None and ("Traceback" in error or "\n" in error or ": found " not in error or not error.strip()):
        return f"no plain reason: {error[:300]}"
    return ""
