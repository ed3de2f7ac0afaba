"""Tables of short cells without a library, so that a command starts at once."""

from __future__ import annotations

from collections.abc import Sequence


def table_lines(headings: Sequence[str], rows: Sequence[Sequence[str]], left: int = 0) -> list[str]:
    """Return lines of a table; the first ``left`` columns are set to the left, all others to the right."""
    widths = [max(len(row[n]) for row in [headings, *rows]) for n in range(len(headings))]

    def line(cells: Sequence[str]) -> str:
        padded = [
            cell.ljust(width) if n < left else cell.rjust(width)
            for n, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ]
        return "  ".join(padded).rstrip()

    return [line(headings), line(["-" * width for width in widths]), *map(line, rows)]


def money(value: float | None, currency: str = "") -> str:
    """Return an amount with two decimals, or the word unknown."""
    return "unknown" if value is None else f"{currency}{value:,.2f}"
