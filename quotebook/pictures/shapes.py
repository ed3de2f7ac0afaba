"""What a picture is made of, in pixels from the top left corner, before it is written in any format."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

INK, MUTED, GRID, ACCENT, SECOND = "#1f2933", "#52606d", "#d9e2ec", "#1f5f8b", "#b4551d"
#: Colours of several lines; told apart by lightness too, and every line carries its name.
LINES = ("#1f5f8b", "#b4551d", "#3f7d3a", "#7a4a8c", "#8a6d1d", "#4a4a4a")


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle."""

    left: float
    top: float
    width: float
    height: float
    color: str


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    color: str
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Words:
    """Text at a point of its baseline."""

    x: float
    y: float
    text: str
    size: float = 13
    anchor: Literal["start", "middle", "end"] = "start"
    color: str = INK
    bold: bool = False


@dataclass(slots=True)
class Picture:
    """Shapes on a white ground; ``description`` says in words what is to be seen."""

    width: int
    height: int
    title: str
    description: str
    shapes: list[Box | Line | Words] = field(default_factory=list)

    def add(self, *shapes: Box | Line | Words) -> None:
        """Put shapes on top of those that are there."""
        self.shapes.extend(shapes)
