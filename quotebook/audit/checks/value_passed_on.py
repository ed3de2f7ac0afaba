"""A figure is passed on from cell to cell before anything is done with it.

What it finds
    Chains of five and more formulas on the way to the price that only repeat another cell (=B7, =Sheet2!C4).

Why it costs money
    Every link is a place where a row is inserted or a cell typed over, and the figure that arrives is no longer the one
    that was sent. Nobody who looks at the last cell sees where it is from.

Faulty
    =B7 in C7, =C7 in D7, =D7 in E7, =E7 in F7, =F7 in G7

Sound
    =B7 in G7

How to mend
    Let the cells refer to the first one.

False alarms
    Summaries that are built in layers on purpose.

Source
    Catalogue row F46. That one sheet feeds many others is not told: a list of rates is meant to.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import on, shape, told
from quotebook.audit.view import BookView
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "value-passed-on",
    Severity.REMARK,
    (Need.NO_CONTRACT, Need.PRICE),
    When.WILL_GO_WRONG,
    Kind.REASONING,
    rows=("F46",),
)
#: So many formulas one after the other that only repeat a cell.
FEWEST = 5


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each chain, at its last cell."""
    sources = _sources(view)
    repeated = set(sources.values())
    for last in sorted(cell for cell in sources if cell not in repeated and view.is_on_price_path(cell)):
        chain = [last]
        while chain[-1] in sources and len(chain) <= len(sources):
            chain.append(sources[chain[-1]])
        if len(chain) - 1 >= FEWEST and len(set(chain)) == len(chain):
            way = ", ".join(on(cell, last.sheet) for cell in reversed(chain[1:-1][:6]))
            yield told(
                CHECK, last, f"a repeat of {on(chain[-1], last.sheet)} over {len(chain) - 2} cells",
                f"={on(chain[-1], last.sheet)}", "Let it refer to the first cell.", shape(f"by way of {way}"),
            )  # fmt: skip


def _sources(view: BookView) -> Mapping[Address, Address]:
    """Return for each formula that only repeats one other cell that cell."""
    grid = foreign(view).grid
    found: dict[Address, Address] = {}
    for cell, tree in grid.trees.items():
        if (
            isinstance(tree, s.Reference)
            and tree.form not in ("columns", "rows")
            and (tree.top, tree.left) == (tree.bottom, tree.right)
        ):
            found[cell] = Address(tree.sheet or cell.sheet, tree.top, tree.left)
    return found
