"""Open paths joined end to end into outlines."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, product

import numpy as np

from fabsched.model.shapes import Outline, Points2


@dataclass(frozen=True, slots=True)
class _Step:
    """A path walked in one direction, from node to node."""

    path: int
    start: int
    end: int
    forward: bool


def join_ends(paths: Sequence[Outline], tolerance_mm: float) -> tuple[Outline, ...]:
    """Join open paths of one operation wherever their ends meet.

    Where more than two ends meet, the path that comes next in the file is followed, and whenever
    the walk comes back to a point it has passed, the loop just walked becomes an outline of its
    own. Shapes that touch in a corner therefore come out as separate outlines.

    Args:
        paths: any paths; closed ones pass unchanged.
        tolerance_mm: ends this close are one point.

    Returns:
        Outlines in the order of their first path.
    """
    done = [(i, path) for i, path in enumerate(paths) if path.closed]
    opened = [i for i, path in enumerate(paths) if not path.closed]
    by_operation = sorted(opened, key=lambda i: (paths[i].operation, i))
    for _, group in groupby(by_operation, key=lambda i: paths[i].operation):
        done.extend(_joined(paths, list(group), tolerance_mm))
    return tuple(path for _, path in sorted(done, key=lambda pair: pair[0]))


def _joined(
    paths: Sequence[Outline], chosen: list[int], tolerance_mm: float
) -> list[tuple[int, Outline]]:
    ends = np.concatenate([paths[i].points_mm[[0, -1]] for i in chosen])
    nodes = _clusters(ends, tolerance_mm)
    steps = [_Step(i, nodes[2 * k], nodes[2 * k + 1], forward=True) for k, i in enumerate(chosen)]
    trails = _trails(steps)
    return [(min(step.path for step in trail), _run(paths, trail)) for trail in trails]


def _clusters(ends: Points2, tolerance_mm: float) -> list[int]:
    """Number of the node each end belongs to; ends within the tolerance share one."""
    cells: dict[tuple[int, int], list[int]] = {}
    nodes: list[int] = []
    anchors: list[int] = []
    for k, (x, y) in enumerate(ends):
        cell = int(np.floor(x / tolerance_mm)), int(np.floor(y / tolerance_mm))
        around = (
            cells.get((cell[0] + i, cell[1] + j), ()) for i, j in product((-1, 0, 1), repeat=2)
        )
        near = [n for group in around for n in group if _gap(ends, anchors[n], k) <= tolerance_mm]
        if near:
            nodes.append(min(near))
            continue
        nodes.append(len(anchors))
        cells.setdefault(cell, []).append(len(anchors))
        anchors.append(k)
    return nodes


def _gap(ends: Points2, i: int, j: int) -> float:
    return float(np.hypot(*(ends[i] - ends[j])))


def _trails(steps: Sequence[_Step]) -> list[list[_Step]]:
    """Take the graph apart into loops and open trails.

    Nodes with an odd number of ends come first, since open trails have to begin and end there.
    """
    at: dict[int, list[_Step]] = {}
    for step in steps:
        at.setdefault(step.start, []).append(step)
        at.setdefault(step.end, []).append(_Step(step.path, step.end, step.start, forward=False))
    odd = [node for node, there in at.items() if len(there) % 2]
    used: set[int] = set()
    trails: list[list[_Step]] = []
    for node in (*odd, *at):
        while any(step.path not in used for step in at[node]):
            trails.extend(_walk(at, node, used))
    return trails


def _walk(at: dict[int, list[_Step]], node: int, used: set[int]) -> list[list[_Step]]:
    """Walk on from a node until nothing is left there; loops come off on the way."""
    found: list[list[_Step]] = []
    trail: list[_Step] = []
    passed = {node: 0}
    while True:
        free = [step for step in at[node] if step.path not in used]
        at[node] = free
        if not free:
            break
        step = min(free, key=lambda s: _order(s, trail))
        used.add(step.path)
        trail.append(step)
        node = step.end
        if node in passed:
            found.append(trail[passed[node] :])
            trail = trail[: passed[node]]
            passed = {key: place for key, place in passed.items() if place <= len(trail)}
        else:
            passed[node] = len(trail)
    return [*found, trail] if trail else found


def _order(step: _Step, trail: Sequence[_Step]) -> tuple[bool, int]:
    """The next path of the file first, then round to the earlier ones."""
    return bool(trail) and step.path < trail[-1].path, step.path


def _run(paths: Sequence[Outline], trail: Sequence[_Step]) -> Outline:
    """One outline from the paths of a trail, their meeting ends counted once."""
    pieces = [paths[s.path].points_mm[:: 1 if s.forward else -1] for s in trail]
    points = np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])
    closed = trail[0].start == trail[-1].end
    kept = points[:-1] if closed else points
    return Outline(kept, closed=closed, operation=paths[trail[0].path].operation)
