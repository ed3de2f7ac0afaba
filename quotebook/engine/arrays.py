"""Rectangles of values: computed arrays, and references that remember that they point at cells.

The difference matters: functions such as SUM skip text in a reference and convert text that is written out.
"""

from __future__ import annotations

from collections.abc import Sequence

from quotebook.values import Value


class Array:
    """Values row by row. ``flat`` has height x width entries; errors are held as values."""

    __slots__ = ("flat", "folded", "height", "numbers", "positions", "width")

    def __init__(self, height: int, width: int, flat: Sequence[Value]) -> None:
        self.height = height
        self.width = width
        self.flat = flat
        #: Filled at first use and kept, because many formulas of one run share a range.
        self.folded: list[Value] | None = None
        self.numbers: list[float] | None = None
        self.positions: dict[object, int] | None = None

    def row(self, index: int) -> Sequence[Value]:
        """Return one row, counted from 0."""
        return self.flat[index * self.width : (index + 1) * self.width]

    def column(self, index: int) -> Sequence[Value]:
        """Return one column, counted from 0."""
        return self.flat[index :: self.width]

    def part(self, flat: Sequence[Value], height: int, width: int) -> Array:
        """Return a piece of the same kind: a piece of a reference is a reference."""
        return type(self)(height, width, flat)


class Ref(Array):
    """The cells of a reference. ``full_height`` and ``full_width`` count cells beyond the used area too, all blank."""

    __slots__ = ("full_height", "full_width")

    def __init__(
        self, height: int, width: int, flat: Sequence[Value], full_height: int = 0, full_width: int = 0
    ) -> None:
        super().__init__(height, width, flat)
        self.full_height = full_height or height
        self.full_width = full_width or width

    def padded(self, height: int, width: int) -> Sequence[Value]:
        """Return the values of a larger rectangle with the same first cell; cells beyond the used area are blank."""
        if (height, width) == (self.height, self.width):
            return self.flat
        rows: list[Value] = []
        for index in range(height):
            row = list(self.row(index)) if index < self.height else []
            rows.extend(row)
            rows.extend([None] * (width - len(row)))
        return rows


class Unreadable(Ref):
    """A range whose cells cannot be had; whoever looks at them raises the reason."""

    __slots__ = ("trouble",)

    def __init__(self, trouble: Exception) -> None:
        self.trouble = trouble
        super().__init__(2, 2, ())

    @property
    def flat(self) -> Sequence[Value]:
        """Raise the reason."""
        raise self.trouble

    @flat.setter
    def flat(self, values: Sequence[Value]) -> None:
        pass


#: What a function may receive.
Operand = Value | Array


def aligned(arrays: Sequence[Array]) -> list[Sequence[Value]] | None:
    """Return the values of several rectangles cell beside cell, or None when their shapes differ."""
    shapes = {(array.height, array.width) for array in arrays}
    if len(shapes) == 1:
        full = {(a.full_height, a.full_width) if isinstance(a, Ref) else (a.height, a.width) for a in arrays}
        if len(full) == 1:
            return [array.flat for array in arrays]
    full = {(a.full_height, a.full_width) if isinstance(a, Ref) else (a.height, a.width) for a in arrays}
    if len(full) != 1:
        return None
    height, width = max(shape[0] for shape in shapes), max(shape[1] for shape in shapes)
    return [array.padded(height, width) if isinstance(array, Ref) else array.flat for array in arrays]
