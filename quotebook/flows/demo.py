"""The demo: an invented shop's filled workbook and a blank one, recomputed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from quotebook.errors import TemplateError
from quotebook.flows.new import make_workbook, new_file
from quotebook.flows.recompute import Recomputed, recompute
from quotebook.workbook.atomic import refuse_existing

DEMO_JOB = "sensor-spigot"


@dataclass(frozen=True, slots=True)
class Demo:
    """What the demo made: each file with a word on what it is, and the recomputed filled workbook."""

    files: tuple[tuple[Path, str], ...]
    recomputed: Recomputed


def examples_folder() -> Path:
    """Return the folder of the examples: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "examples"
    folder = inside if inside.is_dir() else package.parent / "examples"
    if not folder.is_dir():
        raise TemplateError(f"{folder}: the examples are missing from this installation; install quotebook again")
    return folder


def make_demo(folder: Path, *, force: bool = False) -> Demo:
    """Write the demo's workbooks into a folder and recompute the filled one.

    Errors: TargetExists when a file is there already and ``force`` is not given.
    """
    from quotebook.model import read_job, read_shop, to_data

    filled, blank = folder / f"{DEMO_JOB}.xlsx", folder / "blank.xlsx"
    for target in (filled, blank):
        refuse_existing(target, force)
    examples = examples_folder()
    shop = to_data(read_shop(examples / "shop.toml"))
    job = to_data(read_job(examples / DEMO_JOB / "job.toml"))
    folder.mkdir(parents=True, exist_ok=True)
    new_file(filled, make_workbook(shop, job), force=force)
    new_file(blank, make_workbook(shop), force=force)
    return Demo(
        (
            (filled, "filled in: a turned short lot of an invented shop"),
            (blank, "blank, with that shop's rates"),
        ),
        recompute(filled),
    )
