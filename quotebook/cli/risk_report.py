"""A risk run as tables for people, as JSON for machines, as pictures."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from quotebook.cli.plain_table import money, table_lines
from quotebook.flows.risk_run import SCHEMA, LotRisk, RiskRun

_WIDEST = 40


def print_tables(run: RiskRun) -> None:
    """Print how the run was drawn, one line a lot, the histogram of the last one, and what matters most."""
    print(run.file)
    if run.uncertain or run.purchases:
        print(f"{run.cases:,} cases, seed {run.seed}, {run.shape} over low, likely, high; {_how(run)}")
        for each in run.purchases:
            print(f"{each.name}: {-each.low:.0%} below to {each.high:.0%} above what is priced")
    if run.uncertain:
        rows = [[u.name, f"{u.low:g}", f"{u.likely:g}", f"{u.high:g}"] for u in run.uncertain]
        print("\n".join(table_lines(["operation", "low", "likely", "high min"], rows, left=1)), end="\n\n")
    if run.lots:
        print("\n".join(table_lines(_HEADINGS, [_row(run, lot) for lot in run.lots])), end="\n\n")
        _print_lot(run, run.lots[-1])
    for note in run.notes:
        print(f"note: {note}")
    print(_verdict(run))


def _how(run: RiskRun) -> str:
    words = {0.0: "each errs by itself", 1.0: "all err together"}
    return words.get(run.correlation, f"every pair errs together with correlation {run.correlation:g}")


_HEADINGS = ["quantity", "price", "likely cost", "mean", "P50", "P80", "P95", "chance of loss", "Risk sheet"]


def _row(run: RiskRun, lot: LotRisk) -> list[str]:
    def near(share: float) -> str:
        found = lot.cost_at(share)
        return f"{money(found.cost, run.currency)} ±{found.error:,.2f}"

    chance = "unknown" if lot.loss_chance is None else f"{lot.loss_chance:.2%} ±{lot.loss_error or 0:.2%}"
    sheet = "not compared" if lot.agrees is None else "agrees" if lot.agrees else "DIFFERS"
    mean = f"{money(lot.mean, run.currency)} ±{lot.mean_error:,.2f}"
    costs = [money(lot.price, run.currency), money(lot.likely_cost, run.currency)]
    return [f"{lot.quantity:g}", *costs, mean, near(0.5), near(0.8), near(0.95), chance, sheet]


def _print_lot(run: RiskRun, lot: LotRisk) -> None:
    print(f"Cost of a lot of {lot.quantity:g}")
    largest = max(lot.histogram) or 1
    step = max(1, len(lot.histogram) // 20)
    for first in range(0, len(lot.histogram), step):
        count = sum(lot.histogram[first : first + step])
        bar = "#" * round(count / (largest * step) * _WIDEST)
        print(f"{money(lot.edges[first], run.currency):>14}  {bar}")
    rows = [
        [each.name, f"{each.part:.0%}", money(each.at_low, run.currency), money(each.at_high, run.currency)]
        for each in lot.influences
    ]
    print("\n".join(table_lines(["what matters most", "part", "cost at low", "at high"], rows, left=1)), end="\n\n")


def _verdict(run: RiskRun) -> str:
    if not run.lots:
        return "NOTHING TO TELL: no lot could be costed with an uncertain cycle."
    if run.agrees is None:
        return "NOT COMPARED: the Risk sheet has no closed form for this run."
    if run.agrees:
        return "AGREE: mean and spread are those of the Risk sheet's closed form, within the run's own error."
    return (
        "DISAGREE: mean or spread differ from the Risk sheet's closed form by more than chance; run quotebook recompute"
    )


def print_json(run: RiskRun) -> None:
    """Print the whole run: ``{"schema": 2, "cases": ..., "seed": ..., "lots": [...]}``."""
    lots = [asdict(lot) for lot in run.lots]
    uncertain = [{**asdict(each), "cell": str(each.cell)} for each in run.uncertain]
    data = {
        "schema": SCHEMA, "file": run.file, "cases": run.cases, "seed": run.seed, "shape": run.shape,
        "correlation": run.correlation,
        "currency": run.currency, "uncertain": uncertain, "lots": lots,
        "purchases": [{"name": each.name, "low_share": -each.low, "high_share": each.high} for each in run.purchases],
        "agrees": run.agrees, "notes": run.notes,
    }  # fmt: skip
    print(json.dumps(data, indent=2))


def exit_code(run: RiskRun) -> int:
    """Return 0 when all lots could be told and none disagrees with the closed form, else 1."""
    return 0 if run.lots and not run.notes and run.agrees is not False else 1


def write_plots(run: RiskRun, target: Path, *, force: bool) -> list[Path]:
    """Write the histogram of the last lot, and the tornado beside it (NAME-tornado).

    Errors: InputError, TargetExists.
    """
    from quotebook.errors import InputError
    from quotebook.flows.pictures import cost_picture, tornado_picture
    from quotebook.pictures.writing import picture_bytes
    from quotebook.workbook.atomic import atomic_bytes, refuse_existing

    if not run.lots:
        words = "--plot: found no lot with an uncertain cost; expected one; type low and high cycles"
        raise InputError(run.file, [words])
    beside = target.with_stem(f"{target.stem}-tornado")
    pictures = [(target, cost_picture(run, run.lots[-1])), (beside, tornado_picture(run, run.lots[-1]))]
    contents = [(path, picture_bytes(picture, path)) for path, picture in pictures]
    for path, _ in contents:
        refuse_existing(path, force)
    for path, content in contents:
        atomic_bytes(path, content, force=force)
    return [path for path, _ in contents]
