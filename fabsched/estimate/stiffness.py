"""How far a plate gives under a press or a load, between whatever holds it.

The outline is laid over a grid of rectangular elements; cells at its border count by the share of
them it covers. Supports are points (screws), edges that may turn (slots) and clamped edges. An
estimate: sheets differ, joints give, and wood is stiffer along its grain.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array, csr_array, vstack
from scipy.sparse.linalg import splu

from fabsched.estimate.stiffness_element import Element, element
from fabsched.estimate.stiffness_grid import Grid, dotted, grid_of
from fabsched.model.shapes import Points2

Floats = NDArray[np.float64]

STIFF = 1e7
"""Stiffness of a support over that of a cell: it gives by a ten millionth."""
PATCH = 3
"""Points along each side of the patch over which a press is spread."""
GOLDEN = 0.6180339887498949
"""Multiples of it, modulo 1, are spread evenly however many are taken."""
PLACES = 110
"""Places at which a press is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What a plate is made of.

    Attributes:
        youngs_mpa: Young's modulus, N/mm^2.
        poisson: Poisson's ratio.
    """

    youngs_mpa: float
    poisson: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Supports:
    """What holds a plate, in its own coordinates, mm.

    Attributes:
        points: (n, 2) where it cannot move up or down.
        edges: lines, (k, 2) each, along which it cannot move but may turn.
        clamped: lines along which it can do neither. Straight ones are within 1.5 % of the tables; curved
            ones come out some per cent too soft, since the border is stepped on the grid.
    """

    points: Points2
    edges: tuple[Points2, ...] = ()
    clamped: tuple[Points2, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Deflection:
    """The largest deflection.

    Attributes:
        sag_mm: how far the plate gives.
        at_mm: where.
    """

    sag_mm: float
    at_mm: tuple[float, float]


def stiffness_nmm(material: Material, thick_mm: float) -> float:
    """Bending stiffness D = E t^3 / (12 (1 - nu^2)), N mm (Timoshenko & Woinowsky-Krieger).

    >>> round(stiffness_nmm(Material(youngs_mpa=3200.0, poisson=0.37), 3.0), 2)
    8342.02
    """
    return material.youngs_mpa * thick_mm**3 / (12.0 * (1.0 - material.poisson**2))


class Bending:
    """A plate on its supports, made ready to be loaded in many ways."""

    def __init__(self, grid: Grid, cell: Element, stiffness: float, supports: Supports) -> None:
        self._grid, self._cell = grid, cell
        self._unknowns = grid.unknowns
        self._pressable: dict[float, tuple[Points2, Floats]] = {}
        matrix = _assembled(grid, cell, stiffness)
        held = _held(grid, cell, supports)
        scale = STIFF * stiffness / min(cell.sides_mm) ** 2
        self._solver = splu(csc_array(matrix + scale * (held.T @ held)))

    def loaded(self, pressure_mpa: float) -> Deflection:
        """The largest deflection under an even load.

        Args:
            pressure_mpa: N/mm^2.
        """
        grid = self._grid
        force = np.zeros(self._unknowns)
        np.add.at(force, grid.numbers, pressure_mpa * grid.shares[:, None] * self._cell.load)
        sag = np.abs(self._solver.solve(force)[::3])
        worst = int(np.where(grid.inside, sag, 0.0).argmax())
        return _found(float(sag[worst]), grid.nodes[worst])

    def deflects(self, pressure_mpa: float, points: Points2) -> Floats:
        """Deflection at points under an even load, (n,) mm."""
        grid = self._grid
        force = np.zeros(self._unknowns)
        np.add.at(force, grid.numbers, pressure_mpa * grid.shares[:, None] * self._cell.load)
        return np.asarray(grid.at(self._cell, points) @ self._solver.solve(force))

    def compliance(self, points: Points2, patch_mm: float = 0.0) -> Floats:
        """How far a force of 1 N on each place moves every place, (n, n) mm.

        Args:
            points: (n, 2) places.
            patch_mm: side of the square over which the force is spread.
        """
        rows = self._spread(points, patch_mm)
        moved = self._solver.solve(np.ascontiguousarray(rows.T.toarray()))
        found = rows @ moved
        return np.asarray(0.5 * (found + found.T))

    def _spread(self, points: Points2, patch_mm: float) -> csr_array:
        """Rows that average the deflection over patches."""
        steps = (np.arange(PATCH) - 0.5 * (PATCH - 1)) / PATCH * patch_mm
        offsets = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
        if not patch_mm:
            return self._grid.at(self._cell, points)
        parts = [self._grid.at(self._cell, points + offset) for offset in offsets]
        return sum(parts[1:], parts[0]) / len(parts)

    def pressable(self, patch_mm: float) -> tuple[Points2, Floats]:
        """Places all over the plate and their compliance to presses of a size, worked out once."""
        if patch_mm not in self._pressable:
            places = self.places(patch_mm)
            self._pressable[patch_mm] = (places, self.compliance(places, patch_mm))
        return self._pressable[patch_mm]

    def places(self, patch_mm: float, count: int = PLACES) -> Points2:
        """Nodes with room for a patch around them, spread evenly, about so many."""
        corners = 0.49 * patch_mm * np.array([(0, 0), (-1, -1), (1, -1), (1, 1), (-1, 1)])
        nodes = self._grid.nodes
        room = np.logical_and.reduce([self._grid.holds(nodes + corner) for corner in corners])
        chosen = nodes[room] if room.any() else nodes[self._grid.inside]
        spread = np.argsort(np.arange(len(chosen)) * GOLDEN % 1.0, kind="stable")
        return np.asarray(chosen[np.sort(spread[:count])])


def is_held(supports: Supports) -> bool:
    """Whether the supports leave the plate no way to tip or drop."""
    if any(len(line) for line in supports.clamped):
        return True
    points = np.concatenate([supports.points.reshape(-1, 2), *supports.edges])
    if len(points) < 3:
        return False
    away = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(away[1] > 1e-3 * max(1.0, away[0]))


def bending_of(
    rings: Sequence[Points2],
    thick_mm: float,
    material: Material,
    supports: Supports,
    *,
    cells: int = 700,
) -> Bending | None:
    """A plate on its supports.

    Args:
        rings: its outline: outer border and holes.
        thick_mm: thickness.
        material: what it is made of.
        supports: what holds it.
        cells: about how many elements; more are slower and closer.

    Returns:
        None if the supports do not hold it: fewer than three points that are not in line.
    """
    if not is_held(supports):
        return None
    grid = grid_of(rings, cells)
    cell = element(grid.sides_mm, material.poisson)
    return Bending(grid, cell, stiffness_nmm(material, thick_mm), supports)


def pressed(bending: Bending, force_n: float, patch_mm: float) -> Deflection:
    """The largest deflection under a press anywhere on the plate, under the press itself.

    Args:
        bending: the plate.
        force_n: of the press.
        patch_mm: side of the square it is spread over.
    """
    places, compliance = bending.pressable(patch_mm)
    sag = force_n * np.diagonal(compliance)
    worst = int(sag.argmax())
    return _found(float(sag[worst]), places[worst])


Room = Callable[[Points2], NDArray[np.bool_]]
"""Which places, (n, 2), have room for a boss, (n,)."""


def bosses_for(
    bending: Bending,
    force_n: float,
    patch_mm: float,
    limit_mm: float,
    *,
    most: int = 6,
    room: Room | None = None,
) -> tuple[tuple[Deflection, ...], float]:
    """Where to put further supports so that a press nowhere deflects the plate beyond a limit.

    One after the other goes where it helps most. A rigid support at a place takes from the
    compliance what moves that place: C - c c^T / c_jj.

    Args:
        bending: the plate as it is held now.
        force_n: of the press.
        patch_mm: side of the square it is spread over.
        limit_mm: deflection that is still fine.
        most: no more supports than this.
        room: tells where a support can be; None takes any place.

    Returns:
        Places in order, each with the largest deflection that is left; and the last of these.
    """
    places, each = bending.pressable(patch_mm)
    compliance = force_n * each
    free = room(places) if room else np.ones(len(places), np.bool_)
    found: list[Deflection] = []
    left = float(np.diagonal(compliance).max())
    while left > limit_mm and len(found) < most and free.any():
        number, left = _best_boss(compliance, free)
        free = free & (np.arange(len(free)) != number)
        compliance = _with_boss(compliance, number)
        found.append(_found(left, places[number]))
    return tuple(found), left


def _best_boss(compliance: Floats, free: NDArray[np.bool_]) -> tuple[int, float]:
    """The place where a support leaves the least, and what it leaves."""
    own = np.diagonal(compliance)
    usable = np.flatnonzero(free & (own > 1e-6 * own.max()))
    if not len(usable):
        usable = np.flatnonzero(free)[:1]
    taken = compliance[:, usable] ** 2 / own[usable]
    left = (own[:, None] - taken).max(axis=0)
    best = int(left.argmin())
    return int(usable[best]), float(left[best])


def _with_boss(compliance: Floats, number: int) -> Floats:
    column = compliance[:, number]
    return np.asarray(compliance - np.outer(column, column) / column[number])


def _found(sag_mm: float, at: Floats) -> Deflection:
    return Deflection(sag_mm=sag_mm, at_mm=(float(at[0]), float(at[1])))


def _assembled(grid: Grid, cell: Element, stiffness: float) -> csc_array:
    """The stiffness of all cells, each by the share of it that is there."""
    values = stiffness * grid.shares[:, None, None] * cell.stiffness
    rows = np.broadcast_to(grid.numbers[:, :, None], values.shape)
    columns = np.broadcast_to(grid.numbers[:, None, :], values.shape)
    shape = (grid.unknowns, grid.unknowns)
    return csc_array(coo_array((values.ravel(), (rows.ravel(), columns.ravel())), shape=shape))


def _held(grid: Grid, cell: Element, supports: Supports) -> csc_array:
    """What must not move, one row each: points, lines, and the slope across clamped lines."""
    step = min(grid.sides_mm)
    rows = [grid.at(cell, supports.points.reshape(-1, 2))]
    for line in (*supports.edges, *supports.clamped):
        places, _ = dotted(line, step)
        rows.append(grid.at(cell, places))
    for line in supports.clamped:
        places, across = dotted(line, step)
        rows.append(step * grid.slopes(cell, places, across))
    return csc_array(vstack(rows))
