"""What the audit command does once its arguments are read."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import typer

from quotebook.flows.audit import FileAudit, audit_all


@dataclass(frozen=True, slots=True)
class Targets:
    """What is to be written beside the table or JSON: None for nothing."""

    sarif: Path | None = None
    report: Path | None = None
    mark: Path | None = None
    force: bool = False


def explain(name: str) -> None:
    """Print one check's explanation. Errors: BadParameter with the nearest names for a check that there is not."""
    from rapidfuzz import process

    from quotebook.audit.explain import explained
    from quotebook.audit.registry import all_checks, check_named

    one = check_named(name)
    if one is None:
        near = [match[0] for match in process.extract(name, [each.check.name for each in all_checks()], limit=3)]
        raise typer.BadParameter(f"found {name!r}, expected a check; near: {', '.join(near)}", param_hint="--explain")
    print(explained(one))


def print_list() -> None:
    """Print the name and first sentence of every check."""
    from quotebook.audit.explain import first_line
    from quotebook.audit.registry import all_checks

    for one in all_checks():
        print(f"{one.check.name:<28} {one.check.severity.value:<15} {first_line(one.explanation)}")


def run(files: Sequence[Path], *, price: str | None, accept: Path | None, targets: Targets) -> list[FileAudit]:
    """Audit the files and write what was asked for. Errors: a target that exists is refused before any work."""
    from quotebook.audit.accept import read_accepted
    from quotebook.workbook.atomic import atomic_bytes, refuse_existing

    for target in (targets.sarif, targets.report, targets.mark):
        if target is not None:
            refuse_existing(target, targets.force)
    accepted = read_accepted(accept) if accept is not None else ()
    audits = list(_told(audit_all(files, price=price, accepted=accepted), len(files)))
    if targets.sarif is not None:
        from quotebook.cli.audit_sarif import sarif_text

        atomic_bytes(targets.sarif, sarif_text(audits).encode("utf-8"), targets.force)
    if targets.report is not None:
        from quotebook.cli.audit_page import page_text

        atomic_bytes(targets.report, page_text(audits).encode("utf-8"), targets.force)
    if targets.mark is not None:
        from quotebook.flows.marking import write_marked

        write_marked(audits[0], targets.mark, force=targets.force)
    return audits


def _told(audits: Iterator[FileAudit], count: int) -> Iterator[FileAudit]:
    """Yield the audits, with progress on the error stream while somebody watches."""
    from rich.console import Console
    from rich.progress import track

    if count < 2 or not sys.stderr.isatty():
        yield from audits
        return
    yield from track(audits, description="auditing", total=count, console=Console(stderr=True), transient=True)


def workbooks(paths: Sequence[Path]) -> list[Path]:
    """Return the files, with the workbooks under each folder in its place. Errors: BookError for an empty folder."""
    from quotebook.errors import BookError
    from quotebook.flows.gather import workbooks_under

    files: list[Path] = []
    for path in paths:
        found = workbooks_under(path) if path.is_dir() else [path]
        if not found:
            raise BookError(f"{path}: found no workbook in this folder, expected at least one; check the path")
        files += found
    return files


def print_acceptances(audits: Sequence[FileAudit]) -> None:
    """Print the lines of an accept file for every finding, to be completed with who and why."""
    from quotebook.audit.accept import acceptance_text

    for audit in audits:
        for finding in audit.findings:
            assert audit.view is not None, "a file with findings was read"
            print(acceptance_text(audit.view, finding, audit.view.today), end="\n\n")
