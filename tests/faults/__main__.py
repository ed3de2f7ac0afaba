"""Run the trial: ``python -m tests.faults [--quick] [--seeds N] [--out FILE.json] [--misses FILE.md]``."""

from __future__ import annotations

import argparse
import json
import tempfile
from dataclasses import asdict
from pathlib import Path

from tests.faults.misses import misses
from tests.faults.natural_trial import run_natural
from tests.faults.printing import report
from tests.faults.trial import plan_for, run_trial


def main() -> None:
    """Run the trial and print its report."""
    words = argparse.ArgumentParser(description="Plant known faults in sound workbooks and see what the audit finds.")
    words.add_argument("--quick", action="store_true", help="two copies of each kind over a few bases")
    words.add_argument("--seeds", type=int, default=20, help="copies of each kind and mode (default 20)")
    words.add_argument("--mode", choices=("aware", "free", "both"), default="both")
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--out", type=Path, help="write every copy's outcome to this JSON file")
    words.add_argument("--misses", type=Path, help="write what was missed and what was wrong to this text file")
    given = words.parse_args()
    plan = plan_for(2, 4, 8) if given.quick else plan_for(given.seeds)
    if given.mode != "both":
        plan = {given.mode: plan[given.mode]}
    with tempfile.TemporaryDirectory() as folder:
        trial = run_trial(Path(folder), plan, given.workers)
        natural = run_natural(Path(folder)) if given.mode != "aware" else []
    print(report(trial, natural))
    if given.out:
        content = {"trial": trial.data(), "natural": [asdict(one) for one in natural]}
        given.out.write_text(json.dumps(content, indent=1), encoding="utf-8")
    if given.misses:
        given.misses.write_text(misses(trial, natural), encoding="utf-8")


if __name__ == "__main__":
    main()
