"""The three charts: lines over an input, a histogram, and a tornado."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from quotebook.pictures.scales import shown, ticks
from quotebook.pictures.shapes import ACCENT, GRID, INK, LINES, MUTED, SECOND, Box, Line, Picture, Words

WIDTH, HEIGHT = 820, 460
_LEFT, _RIGHT, _TOP, _BOTTOM = 90.0, 40.0, 64.0, 64.0


class Curve(NamedTuple):
    """A named line; None leaves a gap."""

    name: str
    values: Sequence[float | None]


class Bar(NamedTuple):
    """A row of a tornado: the result at the low and at the high end of an input."""

    name: str
    at_low: float
    at_high: float


class _Axes:
    """A frame with round ticks; turns values into pixels."""

    def __init__(self, picture: Picture, across: tuple[float, float], up: tuple[float, float], left: float) -> None:
        self.picture, self.left = picture, left
        self.across, self.up = ticks(*across), ticks(*up)
        self.right, self.bottom = picture.width - _RIGHT, picture.height - _BOTTOM

    def x(self, value: float) -> float:
        """Return the pixel of a value on the lower axis."""
        return self.left + (value - self.across[0]) / (self.across[-1] - self.across[0]) * (self.right - self.left)

    def y(self, value: float) -> float:
        """Return the pixel of a value on the left axis."""
        return self.bottom - (value - self.up[0]) / (self.up[-1] - self.up[0]) * (self.bottom - _TOP)

    def draw_across(self, label: str) -> None:
        """Draw the lower axis."""
        step = self.across[1] - self.across[0]
        for value in self.across:
            x = self.x(value)
            self.picture.add(Line(((x, self.bottom), (x, self.bottom + 5)), MUTED))
            self.picture.add(Words(x, self.bottom + 21, shown(value, step), anchor="middle", color=MUTED))
        self.picture.add(Line(((self.left, self.bottom), (self.right, self.bottom)), MUTED))
        self.picture.add(Words((self.left + self.right) / 2, self.bottom + 46, label, anchor="middle"))

    def draw_up(self, label: str) -> None:
        """Draw the left axis with lines across."""
        step = self.up[1] - self.up[0]
        for value in self.up:
            y = self.y(value)
            self.picture.add(Line(((self.left, y), (self.right, y)), GRID))
            self.picture.add(Words(self.left - 8, y + 4, shown(value, step), anchor="end", color=MUTED))
        self.picture.add(Words(14, _TOP - 12, label))


def _picture(title: str, description: str, height: int = HEIGHT) -> Picture:
    picture = Picture(WIDTH, height, title, description)
    picture.add(Words(14, 28, title, size=17, bold=True))
    return picture


def curves(title: str, over: Sequence[float], lines: Sequence[Curve], across: str, up: str) -> Picture:
    """Return lines over an input. Shape: every curve has as many values as ``over``. Errors: ValueError without any."""
    known = [value for line in lines for value in line.values if value is not None]
    if not known or not over:
        raise ValueError("a curve needs at least one number")
    picture = _picture(title, f"{up} over {across}: {', '.join(line.name for line in lines)}")
    axes = _Axes(picture, (min(over), max(over)), (min(0.0, *known), max(known)), _LEFT)
    axes.draw_up(up)
    axes.draw_across(across)
    legend = axes.left + 8
    for number, line in enumerate(lines):
        color = LINES[number % len(LINES)]
        piece: list[tuple[float, float]] = []
        for x, value in [*zip(over, line.values, strict=True), (over[-1], None)]:
            if value is not None:
                piece.append((axes.x(x), axes.y(value)))
            elif piece:
                picture.add(Line(tuple(piece), color, 2.2))
                picture.add(*[Box(a - 2.5, b - 2.5, 5, 5, color) for a, b in piece if len(piece) <= 40])
                piece = []
        picture.add(Box(legend, _TOP - 18, 12, 4, color), Words(legend + 18, _TOP - 11, line.name, size=12))
        legend += 34 + 6.5 * len(line.name)
    return picture


def histogram(
    title: str, counts: Sequence[int], edges: Sequence[float], across: str, marks: Sequence[tuple[str, float]]
) -> Picture:
    """Return a histogram with marked values. Shape: n counts, n + 1 edges."""
    picture = _picture(title, f"how often each {across} came out; " + ", ".join(f"{n} {v:,.2f}" for n, v in marks))
    values = [value for _, value in marks]
    axes = _Axes(picture, (min(edges[0], *values), max(edges[-1], *values)), (0.0, float(max(counts))), _LEFT)
    axes.draw_up("cases")
    for count, left, right in zip(counts, edges[:-1], edges[1:], strict=True):
        x, y = axes.x(left), axes.y(float(count))
        picture.add(Box(x + 0.5, y, max(axes.x(right) - x - 1, 0.5), axes.bottom - y, ACCENT))
    axes.draw_across(across)
    for number, (name, value) in enumerate(marks):
        x = axes.x(value)
        crowded = any(x < axes.x(other) < x + 120 for _, other in marks)
        near_right = x > picture.width - 150 or crowded
        anchor: Literal["start", "end"] = "end" if near_right else "start"
        picture.add(Line(((x, _TOP), (x, axes.bottom)), SECOND, 1.6))
        picture.add(Words(x - 5 if near_right else x + 5, _TOP + 14 + 16 * number, f"{name} {value:,.2f}", 12, anchor))
    return picture


def tornado(title: str, bars: Sequence[Bar], middle: float, across: str) -> Picture:
    """Return bars from the low to the high result of each input, the widest on top."""
    if not bars:
        raise ValueError("a tornado needs at least one bar")
    picture = _picture(title, f"{across} at the low and the high end of each input", 150 + 38 * len(bars))
    ends = [end for bar in bars for end in (bar.at_low, bar.at_high)]
    axes = _Axes(picture, (min(middle, *ends), max(middle, *ends)), (0.0, 1.0), 280.0)
    axes.draw_across(across)
    for number, bar in enumerate(sorted(bars, key=lambda each: -abs(each.at_high - each.at_low))):
        top = _TOP + 38 * number
        name = bar.name if len(bar.name) <= 36 else bar.name[:35] + "…"
        picture.add(Words(270, top + 18, name, anchor="end"))
        for end, color in ((bar.at_low, ACCENT), (bar.at_high, SECOND)):
            left, right = sorted((axes.x(middle), axes.x(end)))
            picture.add(Box(left, top, max(right - left, 0.5), 26, color))
    x = axes.x(middle)
    picture.add(Line(((x, _TOP - 8), (x, axes.bottom)), INK, 1.4))
    picture.add(Words(x, _TOP - 14, f"likely {middle:,.2f}", 12, "middle"))
    return picture
