"""The smallest feature of a part: how thick it is where it is thinnest.

Rays along all three axes measure what lies between two surfaces that face away from each other: a
wall, a floor, a pin, a web. Surfaces that meet at an angle, as at the edge of a block or the tip of
a cone, bound no feature and are left out.
"""

import math

import numpy as np
from numba import njit

from fabsched.estimate.arrays import Floats
from fabsched.estimate.columns import UP, Columns, Hits, columns_of, normal_of
from fabsched.estimate.placing import Placed
from fabsched.model.shapes import Faces, Points3

APART_DEG = 30.0
"""Surfaces count as facing away from each other up to this angle off (own assumption)."""
LEAST_MM2 = 0.5
"""Surface that has to be so thin before it counts: less is a blemish of the mesh (own
assumption)."""
FEW = 64
"""Thinnest spots looked at; each stands for 0.15 mm^2 at least, so that these are enough."""
TIES = 1.0 - 1e-9
"""Walls at 45 degrees to two axes are measured along both."""


@njit(cache=True, nogil=True, error_model="numpy")
def _between(points: Points3, faces: Faces, enter: int, leave: int, up: int) -> float:
    """Thickness over the length of a ray that enters and leaves; 0 if it does not count.

    With unit normals m where it enters and n where it leaves, u the direction of n - m and d that
    of the ray, the ball that touches both surfaces there is (d u) / (u n) times the ray wide:
    exact for parallel walls, for pins and for tapers (elementary geometry). Only the rays along
    the axis nearest to u count, so that every surface is counted once.
    """
    m, n = normal_of(points, faces, enter), normal_of(points, faces, leave)
    apart = -(m[0] * n[0] + m[1] * n[1] + m[2] * n[2])
    if apart < math.cos(math.radians(APART_DEG)):
        return 0.0
    most = max(abs(n[0] - m[0]), abs(n[1] - m[1]), abs(n[2] - m[2]))
    along: float = n[up] - m[up]
    return along / (1.0 + apart) if along >= TIES * most else 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def _measure(points: Points3, faces: Faces, hits: Hits, up: int) -> tuple[Floats, Floats]:
    """Thickness wherever a ray finds one, and how many cells of surface it stands for."""
    thick = np.empty(hits.height.size)
    cells = np.empty(hits.height.size)
    n = 0
    for column in range(hits.begin.size - 1):
        inside = enter = 0
        for i in range(hits.begin[column], hits.begin[column + 1]):
            if not hits.leaves[i]:
                if inside == 0:
                    enter = i
                inside += 1
                continue
            inside = max(0, inside - 1)
            if inside or hits.height[i] <= hits.height[enter]:
                continue
            share = _between(points, faces, hits.face[enter], hits.face[i], up)
            if share > 0.0:
                thick[n] = share * (hits.height[i] - hits.height[enter])
                cells[n] = 1.0 / share
                n += 1
    return thick[:n].copy(), cells[:n].copy()


def smallest_mm(placed: Placed, upright: Columns | None = None) -> float:
    """Thickness of the thinnest feature of a part.

    Features smaller than the distance between rays across the direction in which they are thin may
    be missed; walls and floors are not, however thin.

    Args:
        placed: the part.
        upright: its columns along z, if they are known already.

    Returns:
        Its thickness in mm: the least at which `LEAST_MM2` of the surface are that thin or
        thinner. Where no surfaces face away from each other it is the part's least extent.
    """
    found = [_measured(placed, upright if up == UP and upright else None, up) for up in range(3)]
    thick = np.concatenate([part[0] for part in found])
    area = np.concatenate([part[1] for part in found])
    few = np.argpartition(thick, FEW)[:FEW] if thick.size > FEW else np.arange(thick.size)
    order = few[np.argsort(thick[few])]
    enough = int(np.searchsorted(np.cumsum(area[order]), LEAST_MM2))
    thinnest = [float(thick[order[enough]])] if enough < order.size else []
    return min(*thinnest, *placed.size_mm)


def _measured(placed: Placed, known: Columns | None, up: int) -> tuple[Floats, Floats]:
    """Thicknesses along one axis, and the surface in mm^2 that each stands for."""
    columns = known or columns_of(placed, up=up)
    thick, cells = _measure(placed.mesh.vertices, placed.mesh.faces, columns.hits, up)
    return thick, cells * columns.grid.cell**2
