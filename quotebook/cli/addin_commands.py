"""The commands around the spreadsheet program: the add-in, and the watched folder."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

_Profile = Annotated[
    Path | None, typer.Option(help="Profile folder of LibreOffice; your own by default.", show_default=False)
]
_ForAll = Annotated[bool, typer.Option("--for-all", help="For all users of this machine (as administrator).")]


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    addin = typer.Typer(
        help="The add-in for LibreOffice Calc: build, install, remove.", no_args_is_help=True, rich_markup_mode=None
    )
    addin.command(epilog="Example: quotebook addin build quotebook.oxt")(build)
    addin.command(epilog="Example: quotebook addin install")(install)
    addin.command(epilog="Example: quotebook addin remove")(remove)
    addin.command(hidden=True)(answer)
    app.add_typer(addin, name="addin")
    app.command(epilog="Example: quotebook watch quotes --mark")(watch)


def build(
    target: Annotated[Path, typer.Argument(help="The file to write.")] = Path("quotebook.oxt"),
    force: Annotated[bool, typer.Option("--force", help="Overwrite the target if it exists.")] = False,
) -> None:
    """Write the extension as a file, to be installed on another machine; the same version gives the same bytes."""
    from quotebook.addin.build import write_extension

    write_extension(target, force=force)
    print(f"{target}: open it with LibreOffice, or run quotebook addin install on the machine that has quotebook.")


def install(profile: _Profile = None, for_all: _ForAll = False) -> None:
    """Install the add-in into LibreOffice; it calls this very quotebook."""
    from quotebook.addin.install import find_office, own_command
    from quotebook.addin.install import install as add

    add(find_office(profile, for_all))
    print(f"Installed; it calls {' '.join(own_command())}")
    print("Start LibreOffice again: the menu Quotebook stands before Window, its toolbar below the others.")


def remove(profile: _Profile = None, for_all: _ForAll = False) -> None:
    """Remove the add-in from LibreOffice."""
    from quotebook.addin.install import find_office
    from quotebook.addin.install import remove as take_away

    was_there = take_away(find_office(profile, for_all))
    print("Removed. Start LibreOffice again." if was_there else "The add-in was not installed; nothing was done.")


def answer() -> None:
    """Answer one request of the add-in: JSON on the standard input, JSON on the standard output."""
    import json

    from quotebook.addin.answering import answered

    try:
        request = json.loads(sys.stdin.buffer.read().decode("utf-8"))
    except ValueError:
        request = None
    sys.stdout.write(json.dumps(answered(request)))


def watch(
    folder: Annotated[Path, typer.Argument(help="The folder; its subfolders are watched too.")],
    mark: Annotated[bool, typer.Option("--mark", help="Write a marked copy beside each workbook as well.")] = False,
    once: Annotated[bool, typer.Option("--once", help="Judge what is there and stop.")] = False,
    poll: Annotated[
        bool, typer.Option("--poll", help="Look by itself only; for network folders that tell of no change.")
    ] = False,
    every: Annotated[float, typer.Option(min=0.1, help="Seconds between two looks, events or not.")] = 2.0,
    accept: Annotated[Path | None, typer.Option(help="Accept file (TOML): findings kept quiet.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one line of JSON for each verdict.")] = False,
) -> None:
    """Check each workbook that is saved in a folder; a page with the verdict appears beside it, never over it."""
    from quotebook.cli.watch_run import run_watch

    raise typer.Exit(run_watch(folder, mark=mark, once=once, poll=poll, every=every, accept=accept, json=json))
