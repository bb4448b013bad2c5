"""Coupons: a box cut out of a part around a critical dimension, as thin as serves.

A coupon lies as its part does, so that its layers run the same way, and stands flat on the cut. Where
a fit is wanted it comes as a ladder: several copies, each with a little more play than the one
before, told apart by notches in one side.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold
from numpy.typing import NDArray

from fabsched.advise.plates.frames import Frame, frame_along, joined, mesh_of, prism, solid_of
from fabsched.estimate.rotation import rotation
from fabsched.estimate.turning import AS_DRAWN, Turn
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Axis, Fit, FitKind
from fabsched.model.shapes import Mesh

SIDES_MM = (3.0, 5.0, 8.0, 12.0)
"""Material left around the feature: the least that holds together in one body (own choice; three
millimetres are more than the walls of a usual print)."""
DEEP_MM = 6.0
"""So much of a hole's or slot's depth tells whether something fits (own assumption)."""
LADDER_MM = (-0.1, 0.0, 0.1, 0.2, 0.3)
"""Play more than drawn, over the whole width. More steps to the loose side, since printed holes come
out 0.1 to 0.4 mm too narrow (common practice, from memory)."""
CRUMB_MM3 = 1.0
"""Bodies smaller than this are left out."""
GAP_MM = 4.0
"""Between the copies of a ladder."""
NOTCH_MM = (0.8, 0.8, 1.6)
"""Width, depth and pitch of the notches."""
BEHIND_MM = 0.8
"""Material that stays behind a notch."""
SLACK_MM = 1.0
"""How much larger than told a feature may be."""
LAP_MM = 0.2
"""How far added material reaches into what it is added to, so that no film is left."""

FILM_MM = 1e-3
"""What is thinner leaves slivers that a file of single precision would turn into nothing; far below
what a printer can make."""

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Coupon:
    """What is printed to try a fit.

    Attributes:
        mesh: all copies side by side, standing on z = 0 with their lowest x and y at 0.
        steps_mm: play more than drawn, over the whole width, one for each copy from left to right.
        notched: whether copies have as many notches as their number from the left; else there is no
            room for them.
        volume_mm3: of all copies.
        share: volume of one copy over that of the part.
    """

    mesh: Mesh
    steps_mm: tuple[float, ...]
    notched: bool
    volume_mm3: float
    share: float


def ladder_of(fit: Fit) -> tuple[float, ...]:
    """Steps of the ladder for a fit; a single copy as drawn where no play was asked for."""
    wanted = fit.clearance_mm is not None and fit.kind is not FitKind.OTHER
    return LADDER_MM if wanted else (0.0,)


def coupon_of(
    mesh: Mesh,
    fit: Fit,
    *,
    steps_mm: Sequence[float] | None = None,
    turn_deg: Turn = AS_DRAWN,
    where: str = "part",
) -> Coupon:
    """Cut a coupon out of a part.

    Args:
        mesh: the part as drawn.
        fit: the critical dimension.
        steps_mm: play more than drawn, over the whole width, ascending; None takes `ladder_of`.
        turn_deg: how the part is turned on its bed.
        where: name of the part, for errors.

    Raises:
        InputError: the surface of the part is not closed, or there is nothing of it at that place.
    """
    steps = tuple(ladder_of(fit) if steps_mm is None else steps_mm)
    whole = solid_of(mesh, where)
    pieces = [_cut_out(_with_play(whole, fit, step), fit, turn_deg, where) for step in steps]
    pieces, notched = _told_apart(pieces)
    body = _row(pieces).simplify(FILM_MM)
    return Coupon(
        mesh=mesh_of(body),
        steps_mm=steps,
        notched=notched,
        volume_mm3=float(body.volume()),
        share=float(pieces[0].volume() / whole.volume()),
    )


def with_play(mesh: Mesh, fit: Fit, step_mm: float, *, where: str = "part") -> Mesh:
    """A part with as much more play at a critical dimension as a copy of its coupon has.

    Args:
        mesh: the part as drawn.
        fit: the critical dimension.
        step_mm: play more than drawn, over the whole width.
        where: name of the part, for errors.

    Raises:
        InputError: the surface of the part is not closed, or there is no such feature at that place.
    """
    whole = solid_of(mesh, where)
    drawn = _with_play(whole, fit, step_mm)
    if step_mm and drawn is whole:
        raise InputError(Fault.FIT_MISSED, f"{where}: fit '{fit.id}'")
    return mesh_of(drawn.simplify(FILM_MM))


# The box.


def _cut_out(whole: Manifold, fit: Fit, turn_deg: Turn, where: str) -> Manifold:
    """The box with the feature, standing at the origin; in one body where any margin gives one."""
    turned = whole.transform(np.hstack([rotation(turn_deg), np.zeros((3, 1))]))
    found: list[Manifold] = []
    for side in SIDES_MM:
        low, high = _box(fit, turn_deg, side)
        tool = Manifold.cube(high - low).translate(low)
        found = _bodies(turned ^ tool)
        if len(found) == 1:
            break
    if not found:
        raise InputError(Fault.FIT_MISSED, f"{where}: fit '{fit.id}'")
    return _at_origin(max(found, key=lambda body: float(body.volume())))


def _bodies(cut: Manifold) -> list[Manifold]:
    """Bodies worth printing. A film without thickness, where the box just touches, joins nothing."""
    if cut.is_empty():
        return []
    bodies = Manifold(cut.to_mesh64()).decompose()
    return [body for body in bodies if body.volume() >= CRUMB_MM3]


def _box(fit: Fit, turn_deg: Turn, side_mm: float) -> tuple[Vector, Vector]:
    """Lowest and highest corner of the box around a feature as it lies on the bed."""
    half = 0.5 * np.array(fit.size_mm)
    along = list(Axis).index(fit.axis)
    grown = half + side_mm
    if fit.kind in {FitKind.HOLE, FitKind.SLOT}:
        grown[along] = min(half[along], 0.5 * DEEP_MM)
    corners = np.array(fit.at_mm) + np.array(list(product((-1.0, 1.0), repeat=3))) * grown
    laid = np.einsum("ij,nj->ni", rotation(turn_deg), corners)
    return laid.min(axis=0), laid.max(axis=0)


def _at_origin(body: Manifold) -> Manifold:
    x, y, z, *_ = body.bounding_box()
    return body.translate((-x, -y, -z))


# The play.


@dataclass(frozen=True, slots=True, eq=False)
class _Level:
    """A feature seen along its axis, at the height of its middle.

    Attributes:
        solid: what there is of the part around it.
        empty: what there is not.
        feature: the hole, slot or peg itself: a share of `empty` or of `solid`.
    """

    solid: CrossSection
    empty: CrossSection
    feature: CrossSection


def _with_play(whole: Manifold, fit: Fit, step_mm: float) -> Manifold:
    """The part with more play at a feature, or less; it is taken to run straight along its axis."""
    if not step_mm or fit.kind is FitKind.OTHER:
        return whole
    normal = np.eye(3)[list(Axis).index(fit.axis)]
    frame = frame_along(normal)
    body = frame.laid(whole)
    middle = frame.into(np.array([fit.at_mm]))[0]
    half = 0.5 * np.abs(frame.into(np.array([fit.size_mm]))[0])
    level = _level(body, middle, half, peg=fit.kind is FitKind.PEG)
    tool = _tool(level, step_mm, peg=fit.kind is FitKind.PEG).simplify(FILM_MM)
    span = (float(middle[2] - half[2]), float(middle[2] + half[2]))
    low, high = _heights(body, level, span, peg=fit.kind is FitKind.PEG)
    if tool.is_empty() or high <= low:
        return whole
    return _applied(body, prism(tool, low, high), frame, loosens=step_mm > 0)


def _applied(body: Manifold, tool: Manifold, frame: Frame, *, loosens: bool) -> Manifold:
    return frame.raised(body - tool if loosens else body + tool)


def _level(body: Manifold, middle: Vector, half: Vector, *, peg: bool) -> _Level:
    reach = half[:2] + SLACK_MM
    window = _rectangle(middle[:2] - reach, middle[:2] + reach)
    wide = _rectangle(middle[:2] - reach - SLACK_MM, middle[:2] + reach + SLACK_MM)
    section = body.slice(float(middle[2]))
    told = _rectangle(middle[:2] - half[:2], middle[:2] + half[:2])
    inner = (section ^ window) if peg else (window - section)
    shares = inner.decompose() or [inner]
    feature = max(shares, key=lambda area: float((area ^ told).area()))
    return _Level(solid=section ^ wide, empty=wide - section, feature=feature)


def _tool(level: _Level, step_mm: float, *, peg: bool) -> CrossSection:
    """What is cut away for more play, or added for less."""
    by = 0.5 * abs(step_mm)
    if peg:
        return (
            _grown(level.empty, by) ^ _grown(level.feature, LAP_MM)
            if step_mm > 0
            else _grown(level.feature, by)
        )
    if step_mm > 0:
        return _grown(level.feature, by) ^ _grown(level.solid, LAP_MM)
    return _grown(level.solid, by) ^ _grown(level.feature, LAP_MM)


def _grown(area: CrossSection, by_mm: float) -> CrossSection:
    return area.offset(by_mm, JoinType.Miter, 2.0)


def _heights(
    body: Manifold, level: _Level, span: tuple[float, float], *, peg: bool
) -> tuple[float, float]:
    """Between which heights a feature has walls on one side and nothing on the other."""
    inner = prism(level.feature, *span)
    rim = prism(_grown(level.feature, LAP_MM) - level.feature, *span)
    walls, free = (body ^ inner, rim - body) if peg else (body ^ rim, inner - body)
    if walls.is_empty() or free.is_empty():
        return span[0], span[0]
    _, _, low, _, _, high = walls.bounding_box()
    _, _, free_low, _, _, free_high = free.bounding_box()
    return max(float(low), float(free_low)), min(float(high), float(free_high))


def _rectangle(low: Vector, high: Vector) -> CrossSection:
    size = high - low
    return CrossSection.square((float(size[0]), float(size[1]))).translate(
        (float(low[0]), float(low[1]))
    )


# The row.


def _told_apart(pieces: list[Manifold]) -> tuple[list[Manifold], bool]:
    """Copies with as many notches as their number, on the first side that has room for them."""
    if len(pieces) == 1:
        return pieces, False
    for quarter in range(4):
        turned = [_at_origin(piece.rotate((0.0, 0.0, 90.0 * quarter))) for piece in pieces]
        spots = [_spots(piece, number) for number, piece in enumerate(turned, start=1)]
        if all(len(found) == number for number, found in enumerate(spots, start=1)):
            return [_notched(*pair) for pair in zip(turned, spots, strict=True)], True
    return pieces, False


def _spots(piece: Manifold, count: int) -> list[tuple[float, float]]:
    """Middle and edge (x, y) of so many notches in the front, as far as there is room for them."""
    wide, _, pitch = NOTCH_MM
    _, _, _, x_end, _, z_end = piece.bounding_box()
    section = piece.slice(min(0.3, 0.5 * z_end))
    first = 0.5 * x_end - 0.5 * pitch * (count - 1)
    found = []
    for number in range(count):
        x = first + number * pitch
        edge = _edge(section, x, wide)
        if edge is not None:
            found.append((x, edge))
    return found


def _edge(section: CrossSection, x: float, wide: float) -> float | None:
    """Where the front begins at x; None if there is too little behind it."""
    strip = _rectangle(np.array([x - 0.5 * wide, -1.0]), np.array([x + 0.5 * wide, 1e4]))
    here = section ^ strip
    if here.is_empty():
        return None
    y = here.bounds()[1]
    deep = NOTCH_MM[1] + BEHIND_MM
    wanted = _rectangle(np.array([x - 0.5 * wide, y]), np.array([x + 0.5 * wide, y + deep]))
    return float(y) if (section ^ wanted).area() > 0.9 * wanted.area() else None


def _notched(piece: Manifold, spots: Sequence[tuple[float, float]]) -> Manifold:
    wide, deep, _ = NOTCH_MM
    _, _, _, _, _, top = piece.bounding_box()
    tools = [
        Manifold.cube((wide, 1.0 + deep, top + 2.0)).translate((x - 0.5 * wide, y - 1.0, -1.0))
        for x, y in spots
    ]
    return piece - joined(tools)


def _row(pieces: Sequence[Manifold]) -> Manifold:
    return joined(list(_side_by_side(pieces)))


def _side_by_side(pieces: Sequence[Manifold]) -> Iterator[Manifold]:
    widths = [float(piece.bounding_box()[3]) + GAP_MM for piece in pieces]
    starts = np.cumsum([0.0, *widths])[:-1]
    for piece, start in zip(pieces, starts, strict=True):
        yield piece.translate((float(start), 0.0, 0.0))
