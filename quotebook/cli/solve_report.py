"""What solving found, for people and for machines."""

from __future__ import annotations

import json
from dataclasses import asdict

from quotebook.flows.solve import Solution, Solved

SCHEMA = 1
MOST_SHOWN = 20


def exit_code(solved: Solved) -> int:
    """Return 0 when exactly one input, or one stretch of inputs, gives the target; 1 for none or several."""
    return 0 if len(solved.hits) == 1 else 1


def print_words(solved: Solved) -> None:
    """Print the solutions, or why there is none."""
    low, high = solved.searched
    print(solved.file)
    start = "blank" if solved.start is None else f"{solved.start:.10g}"
    print(f"{solved.input.words} ({solved.input.address}) is {start}; looked from {low:g} to {high:g}")
    for each in solved.solutions[:MOST_SHOWN]:
        print(_line(solved, each))
    if len(solved.solutions) > MOST_SHOWN:
        print(f"and {len(solved.solutions) - MOST_SHOWN} more; --json lists all")
    for note in solved.notes:
        print(f"note: {note}")
    print(_verdict(solved))


def _line(solved: Solved, each: Solution) -> str:
    target = f"{solved.output.words} = {solved.target:.10g}"
    if not each.hit:
        jump = f"{each.below:.10g} at {each.low:.10g} and {each.above:.10g} at {each.high:.10g}"
        return f"  jumps over the target: {solved.output.words} is {jump}"
    if each.low == each.high:
        return f"  {solved.input.words} = {each.low:.10g} gives {target}"
    return f"  {solved.input.words} from {each.low:.10g} to {each.high:.10g} gives {target}"


def _verdict(solved: Solved) -> str:
    hits = len(solved.hits)
    if hits == 1:
        return "ONE SOLUTION."
    if hits:
        return f"SEVERAL SOLUTIONS: {hits}; narrow the search with --between."
    if solved.reached is None:
        return "NONE: the result is a number nowhere in the range."
    low, high = solved.reached
    return f"NONE: in this range {solved.output.words} goes from {low:.10g} to {high:.10g} and never is the target."


def print_json(solved: Solved) -> None:
    """Print ``{"schema": 1, "solutions": [...]}``; ``hit`` is false where the result jumps over the target."""
    data = {
        "schema": SCHEMA, "file": solved.file, "for": solved.input.words, "cell": str(solved.input.address),
        "until": solved.output.words, "target": solved.target, "start": solved.start, "searched": solved.searched,
        "points": solved.points, "reached": solved.reached,
        "solutions": [asdict(each) for each in solved.solutions], "notes": solved.notes,
    }  # fmt: skip
    print(json.dumps(data, indent=2))
