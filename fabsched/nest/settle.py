"""Parts of a layout pushed together: exact lengths instead of pixels.

Pixels keep slanted sides a little apart. Here every part slides left, then down, as far as the others
and the border let it; nothing ever moves right or up, so that a layout only gets better. Between two
edges that face each other the way left is linear in the other coordinate, so that it is least at one
end of the stretch they share.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numba import njit

from fabsched.model.shapes import Points2, turned
from fabsched.nest.bins import CHORDS, blocked
from fabsched.nest.filling import Ints
from fabsched.nest.poses import grown
from fabsched.nest.raster import Floats, edges_of
from fabsched.nest.records import Bin, Item, Layout, Placement

GRAZE_MM = 1e-7
"""Edges that share less than this pass each other; a part stops so far short of touching."""
INTO_MM = 1e-6
"""How far edges may lie in each other by rounding and still count as touching."""
ROUNDS = 3
"""How often everything slides left and down; more hardly move anything (measured)."""
MOST_PARTS = 100
"""More parts are left as they lie: the work grows with their square."""


@njit(cache=True, nogil=True)
def _settled(edges: Floats, first: Ints, order: Ints, room: Floats, rounds: int) -> Floats:
    """How far each part slides.

    Args:
        edges: (n, 4) edges of everything as x, y of both ends; parts first, then what stays put.
        first: (parts + 1,) where the edges of each part begin; the rest stays put.
        order: which part slides when: the leftmost first.
        room: (parts, 2) how far each may slide at most; what is left of it afterwards.
        rounds: how often all slide left and down.

    Returns:
        (parts, 2) moves in mm, none above zero.
    """
    edges = edges.copy()
    moves = np.zeros((first.size - 1, 2))
    for turn in range(2 * rounds):
        axis = turn % 2
        for part in order:
            way = _way(edges, first, part, axis, room[part, axis])
            room[part, axis] -= way
            edges[first[part] : first[part + 1], axis] -= way
            edges[first[part] : first[part + 1], axis + 2] -= way
            moves[part, axis] -= way
    return moves


@njit(cache=True, nogil=True)
def _way(edges: Floats, first: Ints, part: int, axis: int, most: float) -> float:
    """How far the edges of one part can go down along an axis before they meet another edge.

    Edges beside its way are left aside, and those farther off than what is known to stop it.
    """
    across = 1 - axis
    begin, end = first[part], first[part + 1]
    low = min(edges[begin:end, across].min(), edges[begin:end, across + 2].min()) + GRAZE_MM
    high = max(edges[begin:end, across].max(), edges[begin:end, across + 2].max()) - GRAZE_MM
    bottom = min(edges[begin:end, axis].min(), edges[begin:end, axis + 2].min())
    top = max(edges[begin:end, axis].max(), edges[begin:end, axis + 2].max())
    way = most
    for j in range(edges.shape[0]):
        if max(edges[j, axis], edges[j, axis + 2]) < bottom - way or begin <= j < end:
            continue
        left, right = edges[j, across], edges[j, across + 2]
        if left > right:
            left, right = right, left
        if right <= low or left >= high or min(edges[j, axis], edges[j, axis + 2]) > top:
            continue
        for i in range(begin, end):
            if min(edges[i, across], edges[i, across + 2]) < right:
                way = min(way, _between(edges[i], edges[j], axis) - GRAZE_MM)
    return max(0.0, way)


@njit(cache=True, nogil=True)
def _between(moved: Floats, other: Floats, axis: int) -> float:
    """How far one edge is above another along an axis; infinite where they pass each other."""
    across = 1 - axis
    low = max(min(moved[across], moved[across + 2]), min(other[across], other[across + 2]))
    high = min(max(moved[across], moved[across + 2]), max(other[across], other[across + 2]))
    if high - low <= GRAZE_MM:
        return np.inf
    at_low = _at(moved, low, axis) - _at(other, low, axis)
    at_high = _at(moved, high, axis) - _at(other, high, axis)
    if at_low + at_high < 0.0 or min(at_low, at_high) < -INTO_MM:
        return np.inf
    return min(at_low, at_high)


@njit(cache=True, nogil=True)
def _at(edge: Floats, level: float, axis: int) -> float:
    """Where an edge is along an axis, at a level of the other one that it crosses."""
    across = 1 - axis
    share = (level - edge[across]) / (edge[across + 2] - edge[across])
    place: float = edge[axis] + share * (edge[axis + 2] - edge[axis])
    return place


def settled_layout(
    layout: Layout, items: Sequence[Item], bins: Sequence[Bin], gap_mm: float
) -> Layout:
    """A layout with everything in its last bin pushed together: the others count as full.

    Args:
        layout: a sound one.
        items: what is laid out.
        bins: where.
        gap_mm: least distance of two parts.
    """
    known = {item.id: item for item in items}
    borders = {item.id: _borders(item, gap_mm) for item in items}
    made = list(layout.placements)
    number = layout.bins - 1
    here = [i for i, placement in enumerate(made) if placement.bin == number]
    if not 0 < len(here) <= MOST_PARTS:
        return layout
    rings = [_lying(borders[made[i].id], made[i]) for i in here]
    rooms = [made[i].outline_mm(known[made[i].id].outline).min(axis=0) for i in here]
    moves = _moves(rings, np.array(rooms), bins[number], gap_mm)
    for i, (x, y) in zip(here, moves.tolist(), strict=True):
        made[i] = replace(made[i], x_mm=made[i].x_mm + x, y_mm=made[i].y_mm + y)
    return replace(layout, placements=tuple(made))


def _borders(item: Item, gap_mm: float) -> list[Points2]:
    holes = [np.array(hole, dtype=np.float64) for hole in item.holes]
    return grown(np.array(item.outline, dtype=np.float64), gap_mm, holes)


def _lying(rings: Sequence[Points2], placement: Placement) -> list[Points2]:
    shift = np.array([placement.x_mm, placement.y_mm])
    return [np.asarray(turned(ring, placement.turn_deg) + shift) for ring in rings]


def _moves(parts: Sequence[list[Points2]], room: Floats, bed: Bin, gap_mm: float) -> Floats:
    """(parts, 2) how far the parts of one bin slide."""
    edges = [edges_of(rings) for rings in parts]
    fixed = [edges_of(rings) for rings in blocked(bed, gap_mm, CHORDS * gap_mm)]
    first = np.concatenate([[0], np.cumsum([len(part) for part in edges])]).astype(np.int64)
    order = np.argsort([part[:, 0].min() for part in edges], kind="stable").astype(np.int64)
    room = np.maximum(room, 0.0)
    return np.asarray(_settled(np.concatenate([*edges, *fixed]), first, order, room, ROUNDS))
