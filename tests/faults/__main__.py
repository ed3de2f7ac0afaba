"""Run the trial: ``python -m tests.faults [--quick] [--seeds N] [--kinds N ...] [--few-rows] [--out FILE.json]``."""

from __future__ import annotations

import argparse
import gc
import json
import tempfile
from dataclasses import asdict
from pathlib import Path

from tests.faults.misses import misses
from tests.faults.natural_trial import run_natural
from tests.faults.plant import BY_NUMBER
from tests.faults.printing import report
from tests.faults.trial import plan_for, run_trial


def main() -> None:
    """Run the trial and print its report."""
    words = argparse.ArgumentParser(description="Plant known faults in sound workbooks and see what the audit finds.")
    words.add_argument("--quick", action="store_true", help="two copies of each kind over a few bases")
    words.add_argument("--seeds", type=int, default=20, help="copies of each kind and mode (default 20)")
    words.add_argument("--first", type=int, default=0, help="the first seed (default 0)")
    words.add_argument("--few-rows", action="store_true", help="short tables in the workbooks with a contract: faster")
    words.add_argument("--mode", choices=("aware", "free", "both"), default="both")
    words.add_argument("--kinds", type=int, nargs="+", help="these kinds of fault only, by number")
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--out", type=Path, help="write every copy's outcome to this JSON file")
    words.add_argument("--misses", type=Path, help="write what was missed and what was wrong to this text file")
    given = words.parse_args()
    kinds = tuple(given.kinds or BY_NUMBER)
    if given.quick:
        plan = plan_for(2, 4, 8, kinds=kinds, first=given.first)
    else:
        plan = plan_for(given.seeds, kinds=kinds, first=given.first)
    if given.mode != "both":
        plan = {given.mode: plan[given.mode]}
    gc.set_threshold(1_000_000, 20, 20)  # as the command does
    with tempfile.TemporaryDirectory() as folder:
        trial = run_trial(Path(folder), plan, given.workers, few_rows=given.few_rows)
        natural = run_natural(Path(folder)) if given.mode != "aware" else []
    print(report(trial, natural))
    if given.out:
        content = {"trial": trial.data(), "natural": [asdict(one) for one in natural]}
        given.out.write_text(json.dumps(content, indent=1), encoding="utf-8")
    if given.misses:
        given.misses.write_text(misses(trial, natural), encoding="utf-8")


if __name__ == "__main__":
    main()
