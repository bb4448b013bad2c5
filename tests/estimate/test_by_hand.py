"""Whole prints against a simulation that shares no code with the estimate.

Lines are clipped by elementary geometry; the speed along them is found in steps of two hundredths
of a millimetre, with v^2 growing by 2 a ds at most (elementary mechanics) and corners at the speed of the
arc that fits their inside angle (Kunz & Stilman 2012, in its other form: r = d sin(t/2) / (1 -
sin(t/2))).
"""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pytest

from fabsched.estimate.printing import estimate_print
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build, Motion
from tests.estimate import bodies

STEP_MM = 0.02
BEAD_MM, THICK_MM = 0.45, 0.2
RETRACT_S, PULL_MM, LIFT_S = 0.06, 1.5, 0.05
MOTION = Motion()
Places = Sequence[tuple[float, float]]
Box = tuple[float, float, float, float]
"""Lowest x and y, highest x and y."""
Move = tuple[tuple[float, float], tuple[float, float], str]
"""From, to, and what for."""
SPEED = {
    "outer": MOTION.wall_mm_s,
    "inner": MOTION.inner_mm_s,
    "solid": MOTION.solid_mm_s,
    "sparse": MOTION.sparse_mm_s,
    "travel": MOTION.travel_mm_s,
}
ACCEL = {"outer": MOTION.wall_mm_s2, "travel": MOTION.travel_mm_s2}


def speed_of(role: str, *, first: bool) -> float:
    """Speed of a role; what is laid is bounded by the melt, and slow on the bed."""
    if role == "travel":
        return SPEED[role]
    melt = MOTION.flow_mm3_s / (BEAD_MM * THICK_MM)
    return min(SPEED[role], melt, MOTION.first_layer_mm_s if first else math.inf)


def accel_of(role: str) -> float:
    """Acceleration of a role."""
    return ACCEL.get(role, MOTION.print_mm_s2)


def around(ring: Places, place: tuple[float, float] | None, role: str) -> Iterator[Move]:
    """Once along a closed ring from its corner nearest to a place."""
    near = [0.0 if place is None else math.dist(corner, place) for corner in ring]
    begin = near.index(min(near))
    turn = [*ring[begin:], *ring[: begin + 1]]
    if place is not None:
        yield place, turn[0], "travel"
    for a, b in itertools.pairwise(turn):
        yield a, b, role


def pieces(inside: Box, odd: bool, every: int) -> Iterator[Places]:
    """Lines at 45 degrees through a rectangle, kept half a bead away from its border."""
    low_x, low_y, high_x, high_y = inside
    c, s = math.sqrt(0.5), -math.sqrt(0.5) if odd else math.sqrt(0.5)
    heights = [c * y - s * x for x in (low_x, high_x) for y in (low_y, high_y)]
    for i in range(math.ceil(min(heights) / BEAD_MM), math.floor(max(heights) / BEAD_MM) + 1):
        foot_x, foot_y = -s * i * BEAD_MM, c * i * BEAD_MM
        across = sorted(((low_x - foot_x) / c, (high_x - foot_x) / c))
        along = sorted(((low_y - foot_y) / s, (high_y - foot_y) / s))
        begin, end = max(across[0], along[0]), min(across[1], along[1])
        if i % every == 0 and end - begin > BEAD_MM:
            ends = (begin + 0.5 * BEAD_MM, end - 0.5 * BEAD_MM)
            yield [(foot_x + c * t, foot_y + s * t) for t in ends]


def back_and_forth(lines: list[Places], place: tuple[float, float], role: str) -> Iterator[Move]:
    """The lines in turn, each from its nearer end."""
    if math.dist(lines[-1][0], place) < math.dist(lines[0][0], place):
        lines.reverse()
    way = "travel"
    for line in lines:
        begin, end = sorted(line, key=lambda p: math.dist(p, place))
        yield place, begin, way
        yield begin, end, role
        place, way = end, role


def corner_mm_s(before: Move, after: Move, accel: float) -> float:
    """Speed at the joint of two moves."""
    (ax, ay), (bx, by), _ = before
    _, (cx, cy), _ = after
    one, two = math.dist((ax, ay), (bx, by)), math.dist((bx, by), (cx, cy))
    cosine = ((ax - bx) * (cx - bx) + (ay - by) * (cy - by)) / (one * two)
    half = 0.5 * math.acos(max(-1.0, min(1.0, cosine)))
    if half > 0.5 * math.pi - 1e-6:
        return math.inf
    radius = MOTION.corner_mm * math.sin(half) / (1.0 - math.sin(half))
    radius = min(radius, 0.5 * min(one, two) * math.tan(half))
    return math.sqrt(accel * radius)


def limits(
    moves: list[Move], lengths: list[float], *, first: bool
) -> Iterator[tuple[float, float]]:
    """Speed along each move, and at its end."""
    for i, (_, _, role) in enumerate(moves):
        speed = speed_of(role, first=first)
        if i + 1 == len(moves):
            yield speed, 0.0
            return
        then = moves[i + 1][2]
        around = zip(moves[i : i + 2], lengths[i : i + 2], strict=True)
        pulls = any(way == "travel" and length > PULL_MM for (_, _, way), length in around)
        accel = min(accel_of(role), accel_of(then))
        corner = 0.0 if pulls else corner_mm_s(moves[i], moves[i + 1], accel)
        yield speed, min(speed, speed_of(then, first=first), corner)


def ride_s(moves: list[Move], *, first: bool) -> float:
    """Seconds along moves from standstill to standstill, by steps."""
    lengths = [math.dist(a, b) for a, b, _ in moves]
    squares, gain, steps = [0.0], [], []
    for move, length, bounds in zip(
        moves, lengths, limits(moves, lengths, first=first), strict=True
    ):
        count = 2 * max(1, round(length / STEP_MM / 2))
        squares += [bounds[0] ** 2] * (count - 1) + [bounds[1] ** 2]
        gain += [2.0 * accel_of(move[2]) * length / count] * count
        steps += [length / count] * count
    for i in range(len(gain) - 1, -1, -1):
        squares[i] = min(squares[i], squares[i + 1] + gain[i])
    for i, more in enumerate(gain):
        squares[i + 1] = min(squares[i + 1], squares[i] + more)
    speeds = np.sqrt(squares)
    return float((2.0 * np.array(steps) / (speeds[1:] + speeds[:-1])).sum())


def layer_s(moves: list[Move], dense_mm2: float, *, first: bool) -> float:
    """Seconds of one layer: the ride, pulling filament back, filling gaps, and the lift."""
    pulls = sum(way == "travel" and math.dist(a, b) > PULL_MM for a, b, way in moves)
    dense_mm = sum(math.dist(a, b) for a, b, way in moves if way not in {"travel", "sparse"})
    gaps_mm = max(0.0, dense_mm2 / BEAD_MM - dense_mm)
    gaps_s = gaps_mm / speed_of("inner", first=first)
    return ride_s(moves, first=first) + 2.0 * RETRACT_S * pulls + gaps_s + LIFT_S


def hop_s(way_mm: float) -> float:
    """Seconds of the way to the next layer (trapezoid or triangle), with filament pulled back."""
    speed, accel = MOTION.travel_mm_s, MOTION.travel_mm_s2
    ramps_mm = speed**2 / accel
    riding = (
        2.0 * math.sqrt(way_mm / accel) if way_mm < ramps_mm else way_mm / speed + speed / accel
    )
    return riding + (2.0 * RETRACT_S if way_mm > PULL_MM else 0.0)


def walled(rings: Sequence[Places]) -> list[Move]:
    """Rings one after the other, the first one outermost."""
    moves: list[Move] = []
    for i, ring in enumerate(rings):
        moves += around(ring, moves[-1][1] if moves else None, "inner" if i else "outer")
    return moves


def total_s(layers: Sequence[tuple[list[Move], float]]) -> float:
    """Seconds of all layers and of the ways between them; layers alike are ridden once."""
    known: dict[tuple[int, bool], float] = {}
    seconds, place = 0.0, None
    for i, (moves, dense_mm2) in enumerate(layers):
        key = (id(moves), i == 0)
        if key not in known:
            known[key] = layer_s(moves, dense_mm2, first=i == 0)
        seconds += known[key] + (hop_s(math.dist(place, moves[0][0])) if place else 0.0)
        place = moves[-1][1]
    return seconds


def within(x: float, y: float, beads: float) -> Box:
    """A rectangle so many beads within another."""
    inset = beads * BEAD_MM
    return inset, inset, x - inset, y - inset


def corners(box: Box) -> Places:
    """Around a rectangle."""
    low_x, low_y, high_x, high_y = box
    return [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]


def block(x: float, y: float, layers: int) -> list[tuple[list[Move], float]]:
    """Layers of a block: three walls, four solid layers above and below, every fifth line between."""
    inside = within(x, y, 3.0)
    rings = [corners(within(x, y, i + 0.5)) for i in range(3)]
    ways = {}
    for odd in (False, True):
        for role, every in (("solid", 1), ("sparse", 5)):
            moves = walled(rings)
            lines = list(pieces(inside, odd, every))
            ways[odd, role] = [*moves, *back_and_forth(lines, moves[-1][1], role)]
    roles = ["sparse" if 4 <= i < layers - 4 else "solid" for i in range(layers)]
    sparse_mm2 = (inside[2] - inside[0]) * (inside[3] - inside[1])
    dense = {"sparse": x * y - sparse_mm2, "solid": x * y}
    return [(ways[i % 2 == 1, role], dense[role]) for i, role in enumerate(roles)]


def tube(radius: float, sides: int, layers: int) -> list[tuple[list[Move], float]]:
    """Layers of a tube exactly as thick as two beads, one laid outside and one inside."""
    turns = 2.0 * math.pi * np.arange(sides) / sides
    outside, inside = (
        [(r * math.cos(t), r * math.sin(t)) for t in turns]
        for r in (radius - 0.5 * BEAD_MM, radius - 1.5 * BEAD_MM)
    )
    moves = [*around(outside, None, "outer")]
    moves += around(inside, moves[-1][1], "outer")
    return [(moves, 0.0)] * layers


def estimated_s(mesh: Mesh, build: Build) -> float:
    """What the estimate says."""
    filament = replace(bodies.PLA, layer_s=0.0)
    found = estimate_print(mesh, bodies.printer(build, MOTION), filament, where="part")
    return found.seconds.likely


@pytest.mark.parametrize(("x", "y", "layers"), [(40, 30, 15), (25, 8, 20), (90, 12, 10)])
def test_block(x: float, y: float, layers: int) -> None:
    """Walls, skins, infill and the ways between come within 1 % of the simulation."""
    build = Build(infill=0.2, layer_s=0.0)
    found = estimated_s(bodies.box(x, y, 0.2 * layers), build)
    assert found == pytest.approx(total_s(block(x, y, layers)), rel=0.01)


@pytest.mark.parametrize(("radius", "sides"), [(20.0, 48), (6.0, 24)])
def test_tube(radius: float, sides: int) -> None:
    """So do round walls, where every corner has its speed."""
    build = Build(walls=1, skins=0, infill=0.0, layer_s=0.0)
    bore = bodies.circle(radius - 2 * BEAD_MM, sides)[::-1]
    mesh = bodies.prism([bodies.circle(radius, sides), bore], 3.0)
    assert estimated_s(mesh, build) == pytest.approx(total_s(tube(radius, sides, 15)), rel=0.01)


HIGH_MM, RINGS = 24.0, 40
"""Height of the vases below, and how many rings of corners they have."""


def swung(z: float) -> float:
    """Radius of a vase that bulges and draws in again; nowhere too steep to print."""
    return 18.0 + 3.0 * math.sin(z / 4.5)


def turning(z: float, lobes: int) -> np.ndarray:
    """Directions from the axis to the corners of a section, and how far it reaches there."""
    turns = 2.0 * math.pi * np.arange(96) / 96
    reach = swung(z) * (1.0 + 0.06 * np.cos(lobes * turns + z / 12.0))
    return np.column_stack([reach * np.cos(turns), reach * np.sin(turns)])


def vase(lobes: int) -> Mesh:
    """A free form: lobed, twisted and bulging, two beads thick from the axis outwards."""
    heights = np.linspace(0.0, HIGH_MM, RINGS)
    outside = [turning(z, lobes) for z in heights]
    skins = []
    for shrink in (0.0, 2 * BEAD_MM):
        rings = [ring * (1 - shrink / np.hypot(*ring.T))[:, None] for ring in outside]
        skins.append(
            [np.column_stack([r, np.full(96, z)]) for r, z in zip(rings, heights, strict=True)]
        )
    vertices = np.concatenate([np.concatenate(skin) for skin in skins])
    place = np.arange(2 * RINGS * 96).reshape(2, RINGS, 96)
    quads = []
    for side, stack in enumerate(place):
        for low, high in itertools.pairwise(stack):
            quad = (low, np.roll(low, -1), np.roll(high, -1), high)
            quads.append(np.stack(quad if side == 0 else quad[::-1], axis=1))
    for end, rim in ((0, place[:, 0]), (1, place[:, -1])):
        quad = (rim[1], np.roll(rim[1], -1), np.roll(rim[0], -1), rim[0])
        quads.append(np.stack(quad if end == 0 else quad[::-1], axis=1))
    corners4 = np.concatenate(quads)
    faces = np.concatenate([corners4[:, (0, 1, 2)], corners4[:, (0, 2, 3)]])
    return Mesh(vertices, faces.astype(np.int32))


def vase_layers(lobes: int) -> list[tuple[list[Move], float]]:
    """Its layers: a bead along the outside and one along the inside, each half a bead in."""
    heights = np.linspace(0.0, HIGH_MM, RINGS)
    rings = np.array([turning(z, lobes) for z in heights])
    layers = []
    for number in range(round(HIGH_MM / THICK_MM)):
        z = (number + 0.5) * THICK_MM
        above = int(np.searchsorted(heights, z))
        share = (z - heights[above - 1]) / (heights[above] - heights[above - 1])
        ring = (1 - share) * rings[above - 1] + share * rings[above]
        reach = np.hypot(*ring.T)[:, None]
        beads = [ring * (1 - inset * BEAD_MM / reach) for inset in (0.5, 1.5)]
        outside, inside = ([(float(x), float(y)) for x, y in bead] for bead in beads)
        moves = [*around(outside, None, "outer")]
        moves += around(inside, moves[-1][1], "outer")
        layers.append((moves, 0.0))
    return layers


@pytest.mark.parametrize("lobes", [0, 3])
def test_vase(lobes: int) -> None:
    """And so do free forms: every layer of a round vase and of a twisted, lobed one is another."""
    build = Build(walls=1, skins=0, infill=0.0, layer_s=0.0)
    mesh = vase(lobes)
    assert mesh.volume_mm3 > 0
    assert estimated_s(mesh, build) == pytest.approx(total_s(vase_layers(lobes)), rel=0.01)
