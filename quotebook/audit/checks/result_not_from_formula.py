"""A stored result fits neither the formula nor anything that was built on it.

What it finds
    Single stored results that differ from the recomputed ones while every cell that reads them was calculated with the
    recomputed one. Such a figure was written into the file by hand or by a program.

Why it costs money
    Whoever reads the file without calculating it (a preview, an import, a report) gets a figure that nobody worked out.

Faulty
    extended price =goods+supplement  stored as 812.00, recomputed 1,099.65

Sound
    extended price =goods+supplement  stored as 1,099.65

How to mend
    Open the file in the spreadsheet program, let it calculate, and save. Ask who wrote the figure.

False alarms
    Results that change by themselves, and those that cannot be recomputed, are left out.

Source
    Catalogue row T10.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_value, tell
from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Proof, Severity, When
from quotebook.audit.stale import stale
from quotebook.audit.view import BookView, shown

CHECK = Check("result-not-from-formula", Severity.PROBABLY_WRONG, ANY, When.WRONG_NOW, Kind.STALE, ("T10", "T1"))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per cell."""
    prices = {cell.address: cell for cell in view.price_cells}
    for address in stale(view).typed:
        was, now = view.stored(address), view.value(address)
        effect: float | None = 0.0 if view.price_cells else None
        if address in prices:
            effect = now - was if isinstance(now, float) and isinstance(was, float) else None
        on_path = view.is_on_price_path(address)
        severity = Severity.DO_NOT_QUOTE if address in prices else None if on_path else Severity.LOOK_AT_IT
        yield tell(
            view, CHECK, address, shown(was), shown(now),
            "Let the spreadsheet program calculate and save; ask who wrote the figure.",
            by_value(f"the formula ={view.formula(address)} gives {shown(now)}"),
            Evidence(Proof.SHAPE, "the cells that read it were calculated with that"),
            severity=severity, effect=effect, alike=str(address),
        )  # fmt: skip
