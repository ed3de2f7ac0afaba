"""The close-out as a workbook: one page a job with its bridge drawn, and a page on what many jobs say together."""

from __future__ import annotations

from pathlib import Path

from quotebook.flows.closeout import ClosedFolder, ClosedJob
from quotebook.pricing.calibration import Ratio
from quotebook.pricing.closeout import Closeout
from quotebook.workbook.file_kinds import SUMMARY_MARK
from quotebook.workbook.tables import Column, Entry, Page, Picture, tables_workbook

_MOST_PAGES = 60
_KINDS = {
    "quantity": "Quantity: more or fewer good pieces than quoted",
    "price": "Price: invoiced against the quoted unit price",
    "scrap": "Scrap: pieces and stock beyond what is allowed",
    "time": "Time: hours beyond what is allowed",
    "rate": "Rate: an hour cost more or less",
    "purchase": "Purchase: bought dearer or cheaper",
}


def closeout_workbook(folder: ClosedFolder) -> bytes:
    """Return the report of a batch, or of a single job."""
    closed = [one for one in folder.jobs if one.closeout is not None]
    pages = [_overview(folder)] if len(folder.jobs) > 1 else []
    pages += [_job_page(one, number) for number, one in enumerate(closed[:_MOST_PAGES], start=1)]
    if len(closed) > 1:
        pages.append(_ratios_page(folder))
    return tables_workbook(pages or [_overview(folder)], "Close-out", {SUMMARY_MARK: "1"})


def _job_page(one: ClosedJob, number: int) -> Page:
    assert one.closeout is not None
    closed = one.closeout
    rows: list[tuple[Entry, ...]] = [("Quoted profit", closed.quoted_profit, closed.quoted_margin)]
    rows += [(_KINDS[row.kind], row.amount, row.points) for row in closed.kinds]
    rows.append(("Actual profit", closed.profit, closed.margin))
    columns = (Column("Bridge", width=58), Column("Profit", "money", 16), Column("Margin, points", "share", 14))
    picture = Picture("From quoted to actual profit", 0, (1,), one.currency or "money", "", kind="bar")
    title = f"Job {number}"
    return Page(
        title, f"{one.part or Path(one.file).stem}: {closed.verdict}", tuple(sentences(one)), columns, tuple(rows),
        (picture,) if not closed.missing else (), orientation="portrait",
    )  # fmt: skip


def sentences(one: ClosedJob) -> list[str]:
    """Return the close-out of a job in a few sentences."""
    closed = one.closeout
    if closed is None:
        return [one.error]
    told = [f"{one.customer}  {Path(one.file).name}".strip()]
    if closed.missing:
        return [*told, "It cannot be said whether it made money; missing:", *closed.missing]
    told.append(
        f"Invoiced {_money(closed.revenue)}, cost at burdened rates {_money(closed.cost)}, left over "
        f"{_money(closed.profit)} {one.currency}; "
        f"margin {_share(closed.margin)}, quoted {_share(closed.quoted_margin)}."
    )
    told.append(
        f"At sell rates hours and purchases come to {_money(closed.sell_value)}: "
        f"{_money(abs(closed.over_sell_rates or 0))} {'over' if (closed.over_sell_rates or 0) >= 0 else 'short'}."
    )
    told.append(_operations(closed))
    return [*told, *one.notes]


def _operations(closed: Closeout) -> str:
    over = [row for row in closed.operations if row.ran_over]
    if not over:
        return "No operation ran over."
    words = [
        f"{row.number} {row.description}".rstrip()
        + f" ({row.setup_taken + row.run_taken:.2f} h for {row.setup_allowed + row.run_allowed:.2f} h allowed)"
        for row in over
    ]
    return "Ran over: " + "; ".join(words) + "."


def _overview(folder: ClosedFolder) -> Page:
    columns = (
        Column("File", width=30), Column("Part", width=18), Column("Answer", width=44), Column("Invoiced", "money"),
        Column("Cost", "money"), Column("Profit", "money"), Column("Margin", "share", 10),
        Column("Quoted margin", "share", 10), Column("Over sell rates", "money", 15), Column("Why not", width=60),
    )  # fmt: skip
    rows: list[tuple[Entry, ...]] = []
    for one in folder.jobs:
        closed = one.closeout
        figures: tuple[Entry, ...] = (None,) * 6
        answer, why = "not closed out", one.error
        if closed is not None:
            answer, why = closed.verdict, " ".join(closed.missing)
            figures = (
                closed.revenue, closed.cost, closed.profit, closed.margin, closed.quoted_margin, closed.over_sell_rates
            )  # fmt: skip
        rows.append((Path(one.file).name, one.part, answer, *figures, why))
    picture = Picture("Quoted margin against actual margin", 1, (7, 6), "margin", "job", percent=True)
    done = [one.closeout for one in folder.jobs if one.closeout is not None and one.closeout.profit is not None]
    made = sum((one.profit or 0) > 0 for one in done)
    told = f"{len(done)} of {len(folder.jobs)} jobs can be closed out; {made} made money, {len(done) - made} did not."
    return Page("Close-out", "Did the jobs make money?", (told,), columns, tuple(rows), (picture,))


def _ratios_page(folder: ClosedFolder) -> Page:
    columns = (
        Column("Hours of", width=36), Column("Jobs", "count", 8),
        Column("Actual / estimate, geometric mean", "ratio", 18),
        Column("Spread, factor", "ratio", 12), Column("95 % from", "ratio", 11), Column("95 % to", "ratio", 11),
        Column("All hours over all hours", "ratio", 16), Column("What to make of it", width=56),
    )  # fmt: skip
    rows = [_ratio_row(one) for one in (*folder.overall, *folder.by_place, *folder.by_kind)]
    told = (
        "Above 1: it takes longer than estimated. The spread is the factor by which one job in three is off.",
        "Nothing is applied by itself: ask for a changed copy of the profile with --profile and --write-profile.",
    )
    picture = Picture("Actual over estimated hours", 0, (2,), "ratio", "hours of")
    return Page("Ratios", "What the next estimate must change", told, columns, tuple(rows), (picture,))


def _ratio_row(one: Ratio) -> tuple[Entry, ...]:
    return (one.group, one.jobs, one.mean, one.spread, one.low, one.high, one.of_sums, one.told)


def _money(amount: float | None) -> str:
    return "unknown" if amount is None else f"{amount:,.2f}"


def _share(share: float | None) -> str:
    return "unknown" if share is None else f"{share:.1%}"
