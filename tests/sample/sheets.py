"""The cut parts of the sample project: outlines with holes, written as DXF and SVG.

Sizes are those of the finished part; the width of the cut is no business of a drawing.
"""

import io
import math
from collections.abc import Iterable
from dataclasses import dataclass

from ezdxf import units
from ezdxf._options import options
from ezdxf.filemanagement import new

from tests.sample.solids import FIT, Point, around

Corner = tuple[float, float, float]
"""x, y and the bulge (tangent of a quarter of the angle) of the side that starts here."""

QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle, anticlockwise."""

HALF = 1.0
"""Bulge of a half circle, anticlockwise."""

SVG = "http://www.w3.org/2000/svg"

FOOT_HOLES: tuple[Point, ...] = ((-155.0, -95.0), (155.0, -95.0), (155.0, 95.0), (-155.0, 95.0))
SCREEN_CENTRE: Point = (-85.0, 0.0)
FUNNEL_CENTRE: Point = (60.0, -8.0)
TAB_X = (-80.0, 80.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A flat part.

    Attributes:
        loops: closed outlines, the outer one first, each anticlockwise.
        holes: (centre, diameter) of round holes.
    """

    loops: tuple[tuple[Corner, ...], ...]
    holes: tuple[tuple[Point, float], ...]


def moved(points: Iterable[Point], by: Point) -> tuple[Point, ...]:
    """Points shifted together."""
    return tuple((x + by[0], y + by[1]) for x, y in points)


def rounded(width: float, height: float, radius: float) -> tuple[Corner, ...]:
    """A rectangle around the origin with round corners."""
    x, y, r = width / 2, height / 2, radius
    return (
        (r - x, -y, 0.0),
        (x - r, -y, QUARTER),
        (x, r - y, 0.0),
        (x, y - r, QUARTER),
        (x - r, y, 0.0),
        (r - x, y, QUARTER),
        (-x, y - r, 0.0),
        (-x, r - y, QUARTER),
    )


def slot(centre: Point, length: float, width: float, end: float = 0.0) -> tuple[Corner, ...]:
    """A lying slot; `end` is the bulge of its two ends (0 square, 1 round)."""
    x, y, h, w = *centre, length / 2, width / 2
    return ((x - h, y - w, 0.0), (x + h, y - w, end), (x + h, y + w, 0.0), (x - h, y + w, end))


def base_plate() -> Plate:
    """340 x 220 mm: holes for feet, screen and funnel, a way for water and cable, two slots.

    The slots are 0.2 mm wider than the panel is thick and 0.4 mm longer than its tabs. The hole in
    the middle is spare: a fifth foot can go there if the plate gives under a finger.
    """
    rods = moved(around(FIT.screen_circle), SCREEN_CENTRE)
    rods += moved(around(FIT.funnel_circle, start_deg=30.0), FUNNEL_CENTRE)
    holes = [(centre, FIT.rod_hole) for centre in (*FOOT_HOLES, *rods, (-22.0, 0.0))]
    holes += [(FUNNEL_CENTRE, 16.0), (SCREEN_CENTRE, 10.0)]
    slots = tuple(slot((x, 101.0), 40.4, 3.2) for x in TAB_X)
    return Plate(loops=(rounded(340.0, 220.0, 12.0), *slots), holes=tuple(holes))


def _tabbed(width: float, height: float, tab: float, depth: float) -> tuple[Corner, ...]:
    """A rectangle with a tab at each of `TAB_X` along its lower edge; the tabs end at y = 0."""
    low: list[Corner] = []
    for x in TAB_X:
        left, right = x - tab / 2, x + tab / 2
        low += [(left, depth, 0.0), (left, 0.0, 0.0), (right, 0.0, 0.0), (right, depth, 0.0)]
    x, top = width / 2, depth + height
    return (
        (-x, depth, 0.0),
        *low,
        (x, depth, 0.0),
        (x, top - 12.0, QUARTER),
        (x - 12.0, top, 0.0),
        (12.0 - x, top, QUARTER),
        (-x, top - 12.0, 0.0),
    )


def back_panel() -> Plate:
    """260 x 140 mm on two tabs: vents, a cable hole and four holes for the controller board."""
    vents = tuple(
        slot((x, y), 60.0, 4.0, HALF) for x in (-80.0, 80.0) for y in (50.0, 65.0, 80.0, 95.0)
    )
    board = [((x, y), 3.2) for x in (-32.0, 32.0) for y in (50.0, 94.0)]
    holes = (*board, ((0.0, 24.0), 12.0))
    return Plate(loops=(_tabbed(260.0, 140.0, 40.0, 3.0), *vents), holes=holes)


def dxf(plate: Plate) -> bytes:
    """The drawing in millimetres; the same plate gives the same bytes."""
    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new("R2010", units=units.MM)
        space = document.modelspace()
        for loop in plate.loops:
            space.add_lwpolyline(loop, format="xyb", close=True)
        for centre, diameter in plate.holes:
            space.add_circle(centre, diameter / 2)
        # The library lists the classes in the order of a set; sorted, the bytes stay the same.
        document.classes.add_required_classes(document.dxfversion)
        document.classes.classes = dict(sorted(document.classes.classes.items()))
        text = io.StringIO()
        document.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return text.getvalue().encode()


def _at(corner: Point) -> str:
    """A corner with y pointing down; adding zero turns -0 into 0."""
    return f"{corner[0] + 0.0:g} {0.0 - corner[1]:g}"


def _step(start: Corner, end: Corner) -> str:
    """One side of a loop as an SVG path command, y pointing down."""
    bulge = start[2]
    if not bulge:
        return f"L {_at(end[:2])}"
    radius = math.dist(start[:2], end[:2]) * (1 + bulge**2) / (4 * bulge)
    return f"A {radius:.6g} {radius:.6g} 0 0 0 {_at(end[:2])}"


def _path(loop: tuple[Corner, ...]) -> str:
    sides = zip(loop, loop[1:] + loop[:1], strict=True)
    steps = " ".join(_step(start, end) for start, end in sides)
    return f'<path d="M {_at(loop[0][:2])} {steps} Z"/>'


def svg(plate: Plate) -> bytes:
    """The drawing in millimetres: one user unit is one millimetre."""
    xs, ys = ([corner[k] for corner in plate.loops[0]] for k in (0, 1))
    left, top, width, height = min(xs), -max(ys), max(xs) - min(xs), max(ys) - min(ys)
    view = f"{left:g} {top:g} {width:g} {height:g}"
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="{SVG}" width="{width:g}mm" height="{height:g}mm" viewBox="{view}">',
        '<g fill="none" stroke="#000000" stroke-width="0.1">',
        *(_path(loop) for loop in plate.loops),
        *(f'<circle cx="{x:g}" cy="{0.0 - y:g}" r="{d / 2:g}"/>' for (x, y), d in plate.holes),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()
