"""The commands for workbooks that go out and come back: request, gather, quote, closeout, compare."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

_Force = Annotated[bool, typer.Option("--force", help="Overwrite the target if it exists.")]
_Json = Annotated[bool, typer.Option("--json", help="Print one JSON document for machines instead of tables.")]
_Day = Annotated[
    datetime.datetime | None,
    typer.Option(formats=["%Y-%m-%d"], help="The day that counts as today, as 2031-05-20.", metavar="DATE"),
]


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command(epilog="Example: quotebook request bracket.xlsx --suppliers suppliers.toml --out requests")(request)
    app.command(epilog="Example: quotebook gather quotes -o summary.xlsx --book quotes.sqlite")(gather)
    app.command(epilog="Example: quotebook quote bracket.xlsx -o bracket-quotation.xlsx")(quote)
    app.command(epilog="Example: quotebook closeout quotes -o closeout.xlsx")(closeout)
    app.command(epilog="Example: quotebook compare bracket-a.xlsx bracket-b.xlsx --quantity 25")(compare)


def request(
    job: Annotated[Path, typer.Argument(help="The job workbook.")],
    suppliers: Annotated[Path | None, typer.Option(help="List of suppliers (TOML or JSON).")] = None,
    supplier: Annotated[list[str] | None, typer.Option(help="Ask only this one; may be given several times.")] = None,
    out: Annotated[Path, typer.Option("--out", help="Folder for the requests.")] = Path("requests"),
    today: _Day = None,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Write one request for quotation per supplier, with nothing of the customer, the price or the hours in it."""
    from quotebook.cli.loop_report import show_requests
    from quotebook.flows.request import request_prices, suppliers_named
    from quotebook.model.suppliers import read_suppliers

    known = read_suppliers(suppliers) if suppliers is not None else None
    made = request_prices(job, suppliers_named(supplier or [], known), out, date=_date(today), force=force)
    show_requests(made, json)
    raise typer.Exit(1 if made.open_lines or not made.requests else 0)


def gather(
    folder: Annotated[Path, typer.Argument(help="The folder; its subfolders are read too.")],
    out: Annotated[Path | None, typer.Option("--out", "-o", help="Summary workbook; with --into the new job.")] = None,
    into: Annotated[Path | None, typer.Option(help="Bring returned prices into a copy of this job.")] = None,
    book: Annotated[Path | None, typer.Option(help="Book of record (SQLite); only what changed is read again.")] = None,
    csv: Annotated[Path | None, typer.Option(help="Folder for CSV files.")] = None,
    workers: Annotated[int | None, typer.Option(min=1, help="Processes; as many as cores by default.")] = None,
    today: _Day = None,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Read a folder of workbooks: summary, JSON, CSV, a book of record; or returned prices into a job."""
    from quotebook.cli.loop_run import run_gather, run_into

    if into is not None:
        if out is None:
            raise typer.BadParameter("found nothing, expected the name of the new job workbook", param_hint="-o")
        if book is not None or csv is not None:
            raise typer.BadParameter("--book and --csv belong to a summary, not to --into", param_hint="--into")
        raise typer.Exit(run_into(folder, into, out, _date(today), json, force))
    raise typer.Exit(run_gather(folder, out, book, csv, workers, _date(today), json, force))


def quote(
    job: Annotated[Path, typer.Argument(help="The job workbook.")],
    out: Annotated[Path | None, typer.Option("--out", "-o", help="The copy; beside the job by default.")] = None,
    anyway: Annotated[bool, typer.Option("--anyway", help="Write it in spite of refusals, marked DRAFT.")] = False,
    pdf: Annotated[bool, typer.Option(help="Print it to PDF too, where LibreOffice is installed.")] = True,
    today: _Day = None,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Make the customer's copy: values alone and nothing of the cost side; refused while something is wrong."""
    from quotebook.cli.loop_report import show_quoted
    from quotebook.flows.quote import quote as make

    target = out or job.with_name(f"{job.stem} quotation.xlsx")
    made = make(job, target, anyway=anyway, pdf=pdf, today=_date(today), force=force)
    show_quoted(made, json)
    raise typer.Exit(1 if made.refusals else 0)


def closeout(
    paths: Annotated[list[Path], typer.Argument(help="Job workbooks, or folders of them.")],
    out: Annotated[Path | None, typer.Option("--out", "-o", help="Report as a workbook, with charts.")] = None,
    rates: Annotated[Path | None, typer.Option(help="Profile with the rates as they turned out.")] = None,
    profile: Annotated[Path | None, typer.Option(help="Profile to suggest corrections for.")] = None,
    write_profile: Annotated[Path | None, typer.Option(help="Where to write the changed copy of --profile.")] = None,
    enough: Annotated[int, typer.Option(min=2, help="Jobs from which a correction is suggested.")] = 10,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Did it make money? The bridge from quoted to actual margin, and what the next estimates must change."""
    from quotebook.cli.loop_run import run_closeout

    if write_profile is not None and profile is None:
        raise typer.BadParameter("needs --profile, the profile to correct", param_hint="--write-profile")
    raise typer.Exit(run_closeout(paths, out, rates, profile, write_profile, enough, json, force))


def compare(
    first: Annotated[Path, typer.Argument(help="The one workbook, say revision A.")],
    second: Annotated[Path, typer.Argument(help="The other, say revision B.")],
    quantity: Annotated[int | None, typer.Option(help="Whose price to explain; the smallest in both.")] = None,
    json: _Json = False,
) -> None:
    """Tell what differs between two workbooks of one job, and explain the price difference change by change."""
    from quotebook.cli.loop_report import show_compared
    from quotebook.flows.compare import compare_files

    result = compare_files(first, second, quantity=quantity)
    show_compared(result, json)
    raise typer.Exit(0 if result.same else 1)


def _date(moment: datetime.datetime | None) -> datetime.date | None:
    return None if moment is None else moment.date()
