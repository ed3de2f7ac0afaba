"""The commands. Arguments in, a flow called, tables or JSON out, an exit code.

Exit codes: 0 fine, 1 something found or not judged, 2 wrong use or nothing readable. Imports of the flows stand
inside the commands, so that ``--help`` and a wrong argument cost nothing.
"""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from quotebook import __version__
from quotebook.cli.addin_commands import register as register_addin
from quotebook.cli.loop_commands import register as register_loop

app = typer.Typer(
    help="Estimating workbooks for small machine shops: made, recomputed and checked outside the spreadsheet program.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

_Force = Annotated[bool, typer.Option("--force", help="Overwrite the target if it exists.")]
_Json = Annotated[bool, typer.Option("--json", help="Print one JSON document for machines instead of tables.")]


def main() -> None:
    """Run the command line; every error that quotebook raises on purpose ends as one message and exit code 2."""
    from quotebook.errors import QuotebookError

    # A command is short and leaves a thousand objects of cyclic garbage: looking for it often, and for plugins of
    # pydantic, would cost a tenth.
    gc.set_threshold(1_000_000, 20, 20)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    try:
        app()
    except QuotebookError as error:
        print(f"quotebook: {error}", file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)


def _version(wanted: bool) -> None:
    if wanted:
        print(f"quotebook {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass


@app.command(epilog="Example: quotebook new bracket.xlsx --shop shop.toml --job bracket.toml")
def new(
    target: Annotated[Path, typer.Argument(help="The workbook to make.")],
    job: Annotated[Path | None, typer.Option(help="Job file (TOML or JSON) to fill in.")] = None,
    shop: Annotated[Path | None, typer.Option(help="Shop profile (TOML or JSON).")] = None,
    like: Annotated[Path | None, typer.Option(help="Carry over the inputs of an earlier workbook.")] = None,
    rows: Annotated[
        list[str] | None, typer.Option(help="Row capacity, as routing=40; may be given several times.")
    ] = None,
    template: Annotated[str, typer.Option(help="Template name, or the folder of your own.")] = "machined-part",
    force: _Force = False,
) -> None:
    """Make an estimate workbook: blank, from a job file, or like an earlier workbook."""
    from quotebook.cli.arguments import capacities, check_target, data_for_new
    from quotebook.flows.new import make_workbook, new_file
    from quotebook.workbook.atomic import refuse_existing

    check_target(target)
    refuse_existing(target, force)
    shop_data, job_data, notes = data_for_new(job, shop, like)
    made = make_workbook(shop_data, job_data, template=template, rows=capacities(rows or []))
    new_file(target, made, force=force)
    for note in notes:
        print(f"note: {note}", file=sys.stderr)
    print(f"{target}: {made.formulas} formulas, every result stored. Open it and begin on the Start sheet.")
    if made.state:
        print(f"State: {made.state}")


@app.command(epilog="Example: quotebook recompute bracket.xlsx --json")
def recompute(
    files: Annotated[list[Path], typer.Argument(help="Workbooks to recompute.")],
    json: _Json = False,
    witness: Annotated[
        str | None, typer.Option(help="Ask another engine as well: formulas, or ironcalc if installed.")
    ] = None,
    save_as: Annotated[
        Path | None, typer.Option(help="Write a copy with fresh stored results (one file only).")
    ] = None,
    force: _Force = False,
) -> None:
    """Recompute workbooks without the spreadsheet program and tell whether their numbers are right."""
    from quotebook.cli.arguments import check_witness
    from quotebook.cli.recompute_report import exit_code, print_json, print_tables
    from quotebook.flows.recompute import recompute_all

    check_witness(witness)
    if save_as is not None and len(files) != 1:
        raise typer.BadParameter(f"found {len(files)} files; --save-as takes one", param_hint="--save-as")
    results = recompute_all(files, witness=witness, save_as=save_as, force=force)
    if json:
        print_json(results)
    else:
        print_tables(results)
    raise typer.Exit(exit_code(results))


@app.command(epilog="Example: quotebook whatif bracket.xlsx --set quantity=1:500:50 --plot curve.svg")
def whatif(
    file: Annotated[Path, typer.Argument(help="The workbook.")],
    set_: Annotated[
        list[str],
        typer.Option("--set", help="An input and its values, as cycle_minutes[1]=2:6:9 or spare_pieces=0; repeatable."),
    ],
    show: Annotated[list[str] | None, typer.Option(help="A result to show; price, cost and margin otherwise.")] = None,
    plot: Annotated[Path | None, typer.Option(help="Write the curves as .svg or .png.")] = None,
    save_as: Annotated[
        Path | None, typer.Option(help="Write a copy with the cases and their chart on its Risk sheet.")
    ] = None,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Recompute a workbook for a range of inputs, through its own formulas."""
    from quotebook.cli.whatif_report import print_json, print_table, write_plot
    from quotebook.flows.whatif import what_if

    _check_plot(plot, force)
    result = what_if(file, set_, show or ())
    if plot is not None:
        write_plot(result, plot, force=force)
    if save_as is not None:
        from quotebook.flows.whatif_saved import save_what_if

        place = save_what_if(result, file, save_as, force=force)
        print(f"{save_as}: cases written from {place} down", file=sys.stderr)
    (print_json if json else print_table)(result)
    raise typer.Exit(0 if result.known else 1)


@app.command(epilog="Example: quotebook risk bracket.xlsx --cases 20000 --seed 7 --save-as bracket-risk.xlsx")
def risk(
    file: Annotated[Path, typer.Argument(help="The workbook.")],
    cases: Annotated[int, typer.Option(help="How many cases are drawn.")] = 10_000,
    seed: Annotated[int, typer.Option(min=0, help="The same seed draws the same cases.")] = 1,
    shape: Annotated[str, typer.Option(help="beta (the Risk sheet's own mean and spread) or triangle.")] = "beta",
    correlation: Annotated[
        float | None,
        typer.Option(help="How far estimates err together, 0 to 1; the Risk sheet's own where not given."),
    ] = None,
    plot: Annotated[
        Path | None, typer.Option(help="Write the histogram as .svg or .png, and NAME-tornado beside it.")
    ] = None,
    save_as: Annotated[Path | None, typer.Option(help="Write a copy with figures and charts on its Risk sheet")] = None,
    json: _Json = False,
    force: _Force = False,
) -> None:
    """Draw cases from the low, likely and high cycles and tell what the lots may cost."""
    from quotebook.cli.risk_report import exit_code, print_json, print_tables, write_plots
    from quotebook.flows.risk_run import risk_run

    _check_plot(plot, force)
    run = risk_run(file, cases=cases, seed=seed, shape=shape, correlation=correlation)
    if plot is not None:
        write_plots(run, plot, force=force)
    if save_as is not None:
        from quotebook.flows.risk_saved import save_risk

        place = save_risk(run, file, save_as, force=force)
        print(f"{save_as}: figures written from {place} down", file=sys.stderr)
    (print_json if json else print_tables)(run)
    raise typer.Exit(exit_code(run))


@app.command(epilog="Example: quotebook solve bracket.xlsx --for quantity --until unit_price[1]=40")
def solve(
    file: Annotated[Path, typer.Argument(help="The workbook.")],
    for_: Annotated[str, typer.Option("--for", help="The input to find.")],
    until: Annotated[str, typer.Option(help="The result wanted, as lot_margin[2]=0.25.")],
    between: Annotated[str | None, typer.Option(help="Where to look, as 1:500.")] = None,
    save_as: Annotated[Path | None, typer.Option(help="Write a copy with the input that was found.")] = None,
    force: _Force = False,
    json: _Json = False,
) -> None:
    """Find the input that gives a wanted result; say when there is none or several."""
    from quotebook.cli.solve_report import exit_code, print_json, print_words
    from quotebook.flows.solve import solve as solved_for
    from quotebook.workbook.atomic import refuse_existing

    if save_as is not None:
        refuse_existing(save_as, force)
    solved = solved_for(file, for_, until, between)
    (print_json if json else print_words)(solved)
    if save_as is not None:
        from quotebook.flows.solve_saved import save_solution

        value = save_solution(solved, save_as, force=force)
        if not json:
            print(f"Wrote {save_as} with {solved.input.words} = {value:.12g}")
    raise typer.Exit(exit_code(solved))


def _check_plot(plot: Path | None, force: bool) -> None:
    """Refuse a picture's target before any work is done."""
    if plot is not None:
        from quotebook.pictures.writing import check_ending
        from quotebook.workbook.atomic import refuse_existing

        check_ending(plot)
        refuse_existing(plot, force)


@app.command(epilog="Example: quotebook audit bracket.xlsx --report findings.html")
def audit(
    files: Annotated[list[Path] | None, typer.Argument(help="Workbooks to audit, or folders of them.")] = None,
    json: _Json = False,
    price: Annotated[
        str | None, typer.Option(help="The cell that says the price, as Quote!F20; found by itself otherwise.")
    ] = None,
    accept: Annotated[Path | None, typer.Option(help="Accept file (TOML): findings kept quiet.")] = None,
    report: Annotated[Path | None, typer.Option(help="Write one page with pictures (.html).")] = None,
    mark: Annotated[Path | None, typer.Option(help="Write a marked copy of the workbook (one file only).")] = None,
    sarif: Annotated[Path | None, typer.Option(help="Write a SARIF 2.1.0 log.")] = None,
    explain: Annotated[str | None, typer.Option(metavar="NAME", help="Explain one check and stop.")] = None,
    list_: Annotated[bool, typer.Option("--list", help="List all checks and stop.")] = False,
    acceptances: Annotated[
        bool, typer.Option("--acceptances", help="Print the lines of an accept file instead of tables.")
    ] = False,
    force: _Force = False,
) -> None:
    """Find what is wrong in quote workbooks, prove it, and say what it does to the price."""
    from quotebook.cli import audit_command as command
    from quotebook.cli.audit_report import exit_code, print_json, print_tables

    if explain is not None or list_:
        command.explain(explain) if explain is not None else command.print_list()
        return
    if not files:
        raise typer.BadParameter("found no file; name at least one workbook", param_hint="FILES")
    files = command.workbooks(files)
    if mark is not None and len(files) != 1:
        raise typer.BadParameter(f"found {len(files)} files; --mark takes one", param_hint="--mark")
    targets = command.Targets(sarif, report, mark, force)
    audits = command.run(files, price=price, accept=accept, targets=targets)
    show = print_json if json else command.print_acceptances if acceptances else print_tables
    show(audits)
    raise typer.Exit(exit_code(audits))


@app.command(epilog="Example: quotebook demo --loop")
def demo(
    folder: Annotated[Path, typer.Argument(help="Folder for the demo's files.")] = Path("quotebook-demo"),
    force: _Force = False,
    loop: Annotated[
        bool,
        typer.Option("--loop", help="Walk a dozen jobs from request to close-out as well; takes a minute."),
    ] = False,
) -> None:
    """Make a filled and a blank workbook of an invented shop, recompute, and say what to open next."""
    from quotebook.cli.recompute_report import exit_code, print_tables
    from quotebook.flows.demo import examples_folder, make_demo

    result = make_demo(folder, force=force)
    print_tables([result.recomputed])
    print(f"Made in {folder}:")
    for path, what in result.files:
        print(f"  {path.name:<24} {what}")
    print(f"Open {result.files[0][0]} in your spreadsheet program and begin on the Start sheet.")
    print("Change a number on the Routing sheet, save, and run: quotebook recompute " + str(result.files[0][0]))
    if loop:
        from quotebook.flows.demo_loop import walk_the_loop

        print(f"A dozen jobs, from request to close-out, in {folder / 'loop'}:")
        walk_the_loop(folder / "loop", examples_folder(), print, force=force)
    else:
        print("Supplier requests, a batch of jobs, the customer copy and the close-out: quotebook demo FOLDER --loop")
    raise typer.Exit(exit_code([result.recomputed]))


register_loop(app)
register_addin(app)
