"""Writes the page of all checks beside this file: ``python -m quotebook.audit.write_page``."""

from __future__ import annotations

from pathlib import Path

from quotebook.audit.explain import page
from quotebook.audit.registry import all_checks


def main() -> None:
    """Write CHECKS.md from the checks' own explanations."""
    Path(__file__).with_name("CHECKS.md").write_text(page(all_checks()), encoding="utf-8")


if __name__ == "__main__":
    main()
