"""Runs: stretches of a row or a column whose formulas say the same, and the cells that fall out of them.

Two formulas say the same when their normal forms are equal: references are then written relative to their cell, so
copies down a column share one form. Gaps of blanks, labels and sub-totals do not end a run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property
from typing import Literal, NamedTuple

from quotebook.audit.grid import Grid, Span
from quotebook.engine import syntax as s
from quotebook.engine.tokens import FormulaTrouble, tokenize
from quotebook.values import Address
from quotebook.workbook.shared_formulas import move_formula

#: A gap of more cells than this ends a run.
WIDEST_GAP = 4
#: A run of fewer like formulas needs sister runs beside it before it says anything about an odd cell.
FEWEST_ALONE = 3
#: In a run of so many even a spare line, whose inputs are blank, must not hold anything else.
LONG_RUN = 5
#: Two formulas that differ in one place by at most so many words are a copy and its slip.
LARGEST_EDIT = 3

Direction = Literal["down", "across"]


@dataclass(frozen=True)
class Run:
    """Like formulas along one line: a column for "down", a row for "across". ``places`` are rows or columns."""

    sheet: str
    direction: Direction
    line: int
    form: str
    places: tuple[int, ...]

    def at(self, place: int) -> Address:
        """Return the cell of a place on this run's line."""
        if self.direction == "down":
            return Address(self.sheet, place, self.line)
        return Address(self.sheet, self.line, place)

    @cached_property
    def cells(self) -> tuple[Address, ...]:
        """Return the cells of the run."""
        return tuple(map(self.at, self.places))

    @property
    def span(self) -> Span:
        """Return the stretch from the first cell to the last."""
        first, last = self.at(self.places[0]), self.at(self.places[-1])
        return Span(self.sheet, first.row, first.column, last.row, last.column)


class Odd(NamedTuple):
    """A cell that stands in a run and does not say what the run says.

    ``flanked``: the run goes on at both sides. ``sisters``: runs on parallel lines that do not break at this place.
    """

    cell: Address
    run: Run
    expected: str
    flanked: bool
    sisters: int


class Runs:
    """The runs of a workbook and their odd cells."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid

    @cached_property
    def all(self) -> tuple[Run, ...]:
        """Every run of two or more like formulas, in both directions."""
        found: list[Run] = []
        for sheet in self.grid.snapshot.sheets:
            for line, places in self.grid.columns.get(sheet.title, {}).items():
                found += self._on_line(sheet.title, "down", line, places)
            for line, places in self.grid.rows.get(sheet.title, {}).items():
                found += self._on_line(sheet.title, "across", line, places)
        return tuple(found)

    @cached_property
    def of(self) -> Mapping[Address, tuple[Run, ...]]:
        """The runs that each formula cell belongs to, the longest first."""
        found: defaultdict[Address, list[Run]] = defaultdict(list)
        for run in self.all:
            for cell in run.cells:
                found[cell].append(run)
        return {cell: tuple(sorted(runs, key=lambda run: -len(run.places))) for cell, runs in found.items()}

    @cached_property
    def _parallel(self) -> Mapping[tuple[str, Direction], list[Run]]:
        found: defaultdict[tuple[str, Direction], list[Run]] = defaultdict(list)
        for run in self.all:
            found[run.sheet, run.direction].append(run)
        return found

    def _on_line(self, sheet: str, direction: Direction, line: int, places: Sequence[int]) -> Iterator[Run]:
        by_form: defaultdict[str, list[int]] = defaultdict(list)
        for place in places:
            cell = Address(sheet, place, line) if direction == "down" else Address(sheet, line, place)
            form = self.grid.forms.get(cell)
            if form is not None:
                by_form[form].append(place)
        for form, own in by_form.items():
            stretch = [own[0]]
            for place in own[1:]:
                if place - stretch[-1] - 1 > WIDEST_GAP:
                    if len(stretch) > 1:
                        yield Run(sheet, direction, line, form, tuple(stretch))
                    stretch = []
                stretch.append(place)
            if len(stretch) > 1:
                yield Run(sheet, direction, line, form, tuple(stretch))

    @cached_property
    def odd(self) -> tuple[Odd, ...]:
        """The odd cells, each told of once, by the run that speaks loudest."""
        best: dict[Address, Odd] = {}
        for run in self.all:
            for odd in self._odd_in(run):
                known = best.get(odd.cell)
                if known is None or _weight(odd) > _weight(known):
                    best[odd.cell] = odd
        loudest = {cell: len(odd.run.places) for cell, odd in best.items()}
        # A cell of the longer run must not be called odd by the shorter one that broke it.
        return tuple(
            odd
            for cell, odd in sorted(best.items())
            if not any(len(run.places) >= loudest[cell] for run in self.of.get(cell, ()) if _same_line(run, odd.run))
        )

    def _odd_in(self, run: Run) -> Iterator[Odd]:
        first, last = run.places[0], run.places[-1]
        members = set(run.places)
        inner = [place for place in range(first + 1, last) if place not in members and self._breaks(run, place)]
        filled = [place for place in inner if not self.grid.is_blank(run.at(place))]
        if len(filled) > max(1, len(members) // 3) or len(inner) - len(filled) > max(1, len(members) // 2):
            return
        for place in inner:
            yield from self._odd(run, place, flanked=True)
        for edge, beyond in ((first - 1, first - 2), (last + 1, last + 2)):
            if edge > 0 and not self._like_input(run.at(beyond) if beyond > 0 else None):
                yield from self._odd(run, edge, flanked=False)

    def _odd(self, run: Run, place: int, flanked: bool) -> Iterator[Odd]:
        cell = run.at(place)
        sisters = self._sisters(run, place)
        backed = sisters or self._filled_in(run, cell) or self.is_subtotal(run.cells[0])
        if not backed and (len(run.places) < FEWEST_ALONE or not flanked):
            return
        if not flanked and not self._breaks(run, place):
            return
        short = not flanked and len(run.places) < FEWEST_ALONE and not sisters
        if short and self.grid.is_formula(cell) and not self._slipped(run, cell):
            return  # two like formulas and a third kind beside them: no run yet
        expected = self.expected(run, cell)
        spare = flanked and len(run.places) >= LONG_RUN and not self.grid.is_blank(cell)
        if spare and expected is not None and self.grid.is_formula(cell):
            spare = small_edit(self.grid.book.formulas.get(cell, ""), expected) is not None
        if expected is None or not (spare or self._fed(run, cell)):
            return
        if self.grid.is_blank(cell) and self._in_row_of_totals(run, cell):
            return
        if self.grid.is_blank(cell) and not (backed or self._reads_own_line(run, cell)):
            return
        yield Odd(cell, run, expected, flanked, sisters)

    def _breaks(self, run: Run, place: int) -> bool:
        """Tell whether a cell is more than a label or a sub-total in the way."""
        cell = run.at(place)
        if self.grid.is_formula(cell):
            return self.is_subtotal(run.cells[0]) or not self.is_subtotal(cell)
        return True

    def _like_input(self, cell: Address | None) -> bool:
        """Tell whether a cell is one more typed number: the odd one is then rather the end of a list of inputs."""
        return cell is not None and self.grid.is_constant_number(cell)

    def is_subtotal(self, cell: Address) -> bool:
        """Tell whether a formula adds up a range of its own column or row."""
        tree = self.grid.trees.get(cell)
        if not isinstance(tree, s.Call) or tree.name not in ("SUM", "SUBTOTAL", "AGGREGATE", "AVERAGE", "COUNT"):
            return False
        spans = [use.span for use in self.grid.uses[cell] if use.span.size > 1 and use.span.sheet == cell.sheet]
        return any(span.left == span.right == cell.column or span.top == span.bottom == cell.row for span in spans)

    def _in_row_of_totals(self, run: Run, cell: Address) -> bool:
        """Tell whether the line of a place holds totals of the lines before it: such a line belongs to no run."""
        if self.is_subtotal(run.cells[0]):
            return False
        down = run.direction == "down"
        places = (
            self.grid.rows[run.sheet].get(cell.row, ()) if down else self.grid.columns[run.sheet].get(cell.column, ())
        )
        beside = [cell._replace(column=p) if down else cell._replace(row=p) for p in places]
        return any(self.grid.is_formula(each) and self._sums_lines(each, down) for each in beside)

    def _sums_lines(self, cell: Address, down: bool) -> bool:
        spans = [use.span for use in self.grid.uses.get(cell, ()) if use.span.size > 1]
        along = any(span.left == span.right == cell.column if down else span.top == span.bottom for span in spans)
        return self.is_subtotal(cell) and along

    def expected(self, run: Run, cell: Address) -> str | None:
        """Return the formula that the run would have in a cell, without equals sign."""
        position = 0 if run.direction == "down" else 1
        own = (cell.row, cell.column)[position]
        nearest = run.at(min(run.places, key=lambda place: abs(place - own)))
        text = self.grid.book.formulas.get(nearest)
        if text is None:
            return None
        moved = move_formula(text.removeprefix("="), cell.row - nearest.row, cell.column - nearest.column)
        return None if "#REF!" in moved else moved

    def _moved_spans(self, run: Run, cell: Address) -> list[tuple[Span, bool]]:
        """Return what the run's formula would read from a cell, and whether that lies on the cell's own line."""
        example = run.cells[0]
        rows, columns = cell.row - example.row, cell.column - example.column
        found: list[tuple[Span, bool]] = []
        for span, node, name in self.grid.uses.get(example, ()):
            fixed = (True, True, True, True) if name else node.fixed
            moved = Span(
                span.sheet,
                span.top + (0 if fixed[0] else rows),
                span.left + (0 if fixed[1] else columns),
                span.bottom + (0 if fixed[2] else rows),
                span.right + (0 if fixed[3] else columns),
            )
            if run.direction == "down":
                own_line = moved.top == moved.bottom == cell.row and not fixed[0]
            else:
                own_line = moved.left == moved.right == cell.column and not fixed[1]
            found.append((moved, own_line))
        return found

    def _fed(self, run: Run, cell: Address) -> bool:
        """Tell whether the run's formula would find figures in this place: not so on headings and spacer rows."""
        spans = self._moved_spans(run, cell)
        if any(min(span.top, span.left) < 1 for span, _ in spans):
            return False
        for span, own_line in spans:
            if own_line and span.sheet == cell.sheet and not self._has_content_like(run, span, cell):
                return False
        return bool(spans)

    def _has_content_like(self, run: Run, span: Span, cell: Address) -> bool:
        """Tell whether the cells read hold the kind of thing that the run's own cells read there."""
        if span.holds(cell):
            return False
        if span.size > 1:
            return any(self.grid.number(each) is not None for each in self.grid.filled(span))
        place = next(span.cells())
        if self.grid.number(place) is not None:
            return True
        example = run.cells[0]
        sibling = place._replace(
            row=place.row + (example.row - cell.row if run.direction == "down" else 0),
            column=place.column + (example.column - cell.column if run.direction == "across" else 0),
        )
        return type(self.grid.value(sibling)) is type(self.grid.value(place)) and not self.grid.is_blank(place)

    def _slipped(self, run: Run, cell: Address) -> bool:
        """Tell whether a formula is one small edit from the run, other than reading another rate held by ``$``."""
        formula, expected = self.grid.book.formulas.get(cell, ""), self.expected(run, cell)
        edit = None if expected is None else small_edit(formula, expected)
        if edit is None or not self._filled_in(run, cell):
            return False
        return not any(
            f"${each.span}".replace(str(each.span.top), f"${each.span.top}") in formula and str(each.span) == edit.found
            for each in self.grid.uses.get(cell, ())
        )

    def _filled_in(self, run: Run, cell: Address) -> bool:
        """Tell whether the run's formula reads two or more figures on the line of this place: the line is in use."""
        own = [span for span, own_line in self._moved_spans(run, cell) if own_line and span.size == 1]
        return len({span for span in own if self.grid.number(next(span.cells())) is not None}) > 1

    def _reads_own_line(self, run: Run, cell: Address) -> bool:
        return any(own_line for _, own_line in self._moved_spans(run, cell))

    def _sisters(self, run: Run, place: int) -> int:
        """Return how many parallel runs over the same stretch hold a member at this place."""
        own = set(run.places)
        count = 0
        for other in self._parallel[run.sheet, run.direction]:
            if other.line == run.line or place not in other.places:
                continue
            if len(own & set(other.places)) >= max(2, len(own) - 1):
                count += 1
        return count


def _same_line(run: Run, other: Run) -> bool:
    return run.direction == other.direction and run.line == other.line


def _weight(odd: Odd) -> tuple[bool, int, int]:
    return odd.flanked, len(odd.run.places), odd.sisters


class Edit(NamedTuple):
    """How one formula became another: what stands in the first, what in its place in the second."""

    found: str
    expected: str


def small_edit(found: str, expected: str) -> Edit | None:
    """Return the one small edit that lies between two formulas, None when they differ in more than that.

    ``$`` signs, spaces and capitals make no difference here.
    """
    first, second = _words(found), _words(expected)
    if not first or not second:
        return None
    steps = [step for step in SequenceMatcher(None, first, second, autojunk=False).get_opcodes() if step[0] != "equal"]
    if len(steps) != 1:
        return None
    _, a, b, c, d = steps[0]
    if max(b - a, d - c) > LARGEST_EDIT or max(b - a, d - c) > max(len(first), len(second)) / 2:
        return None
    return Edit("".join(first[a:b]), "".join(second[c:d]))


def _words(formula: str) -> list[str]:
    try:
        tokens = tokenize(formula.removeprefix("="))
    except FormulaTrouble:
        return []
    return [token.text if token.kind == "text" else token.text.replace("$", "").upper() for token in tokens]
