"""Sizes of a cutting line that are left blank: the shop's usual cutter, and what part and stock leave no doubt about.

All in drawing units. Source of what follows from what: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from quotebook.machining.units import MM_PER_LENGTH
from quotebook.model import Cutting, Job, Shop
from quotebook.pricing.part_in_stock import LAID_FORMS, part_in_stock
from quotebook.pricing.stock import stock_units

#: Forms that are turned.
ROUND_FORMS = ("round bar", "tube")
#: Less than this, in drawing units, is no stock to cut.
LEAST = 1e-6


@dataclass(frozen=True)
class Around:
    """Part, stock and usual cutters that a blank size is taken from, in drawing units; None: not known.

    ``length``, ``width``, ``thickness`` of a part that is milled from plate, block or flat bar; ``turned_length`` and
    ``turned_diameter`` of one that is turned from round bar or tube of ``bar`` outside; ``on_side`` and ``on_face``:
    stock left on each side and each face; ``face_mill``, ``end_mill``, ``chamfer_tool``: diameters.
    """

    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    turned_length: float | None = None
    turned_diameter: float | None = None
    bar: float | None = None
    on_side: float | None = None
    on_face: float | None = None
    face_mill: float | None = None
    face_mill_teeth: int | None = None
    end_mill: float | None = None
    chamfer_tool: float | None = None


def sized_line(line: Cutting, at: Around) -> Cutting:
    """Return the line with sizes for the cells that its kind leaves blank; what is typed always goes first."""
    taken = {
        "diameter": _diameter(line, at),
        "length": _length(line, at),
        "width": {"face milling": at.width, "contour milling": at.on_side}.get(line.kind or ""),
        "depth": {"face milling": at.on_face, "contour milling": at.thickness}.get(line.kind or ""),
    }
    changes: dict[str, float | None] = {
        name: figure for name, figure in taken.items() if getattr(line, name) is None and figure is not None
    }
    if line.kind == "face milling" and "diameter" in changes and line.teeth is None:
        changes["teeth"] = at.face_mill_teeth
    return line.model_copy(update=changes)


def _diameter(line: Cutting, at: Around) -> float | None:
    match line.kind:
        case "turning" | "facing":
            return at.bar
        case "part off":
            return at.turned_diameter
        case "face milling":
            return at.face_mill
        case "contour milling" | "finish milling":
            return at.end_mill
        case "pocket milling":
            # A pocket that the usual cutter does not enter needs a cutter of its own.
            narrow = line.width is not None and at.end_mill is not None and line.width < at.end_mill
            return None if narrow else at.end_mill
        case "chamfer or deburr":
            return at.chamfer_tool
    return None


def _length(line: Cutting, at: Around) -> float | None:
    around = None if at.length is None or at.width is None else 2 * (at.length + at.width)
    match line.kind:
        case "turning":
            return at.turned_length
        case "drilling" | "reaming":
            return at.thickness
        case "face milling":
            return at.length
        case "contour milling":
            return around
        case "chamfer or deburr":
            # The edges of both ends of a turned part, or once around a milled one.
            return around if at.turned_diameter is None else 2 * math.pi * at.turned_diameter
    return None


def around(job: Job, shop: Shop) -> Around:
    """Return what a job's blank sizes are taken from; the job's stock sizes are those in force."""
    usual = shop.usual
    scale = MM_PER_LENGTH[usual.units] / MM_PER_LENGTH[job.job.units]
    cutters = Around(
        face_mill=_times(usual.face_mill, scale),
        face_mill_teeth=usual.face_mill_teeth,
        end_mill=_times(usual.end_mill, scale),
        chamfer_tool=_times(usual.chamfer_tool, scale),
    )
    return _with_sizes(cutters, job, shop) if usual.feature_sizes and usual.clean_up is not None else cutters


def _with_sizes(cutters: Around, job: Job, shop: Shop) -> Around:
    stock, part = job.stock, part_in_stock(job, shop)
    to_drawing = MM_PER_LENGTH["in" if stock_units(job) == "in" else "mm"] / MM_PER_LENGTH[job.job.units]
    if stock.form in LAID_FORMS and part is not None:
        return replace(
            cutters,
            length=part.length * to_drawing,
            width=part.width * to_drawing,
            thickness=part.section * to_drawing,
            on_side=_half(stock.size_a, part.width, to_drawing),
            on_face=_half(stock.size_b, part.section, to_drawing),
        )
    if stock.form not in ROUND_FORMS:
        return cutters
    bar = _times(stock.size_a, to_drawing)
    if part is None:
        return replace(cutters, bar=bar)
    return replace(cutters, bar=bar, turned_length=part.length * to_drawing, turned_diameter=part.section * to_drawing)


def _times(figure: float | None, factor: float) -> float | None:
    return None if figure is None else figure * factor


def _half(stock: float | None, part: float, factor: float) -> float | None:
    over = 0.0 if stock is None else (stock - part) / 2 * factor
    return over if over > LEAST else None
