"""3MF: objects in XML inside a ZIP archive, placed on a build plate.

After the 3MF Core Specification 1.3. What is placed together is one part here, as it lies on the
plate. An object meant as support is no part of it.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from fabsched.files.fanout import count_instances
from fabsched.files.mesh_raw import RawMesh, finished
from fabsched.files.source import read_source
from fabsched.files.threemf_model import Body, Matrix
from fabsched.files.threemf_package import Package
from fabsched.files.threemf_scene import PLATE, Scene, gathered
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Faces, Mesh, Points3

MOST_MB = 200
"""Larger archives are refused."""
MOST_TRIANGLES = 5_000_000
"""Triangles the objects may stand for, each counted as often as it is placed."""
MOST_OBJECTS = 20_000
"""Objects that may be placed, those inside others counted as often as they are."""
NO_PART = frozenset({"support", "solidsupport", "other"})
"""Types of objects that are not made: supports, which are planned here anyway, and `other`, which
must not be placed at all."""

FLAT = 1e-9
"""A transform that leaves less than this of a cube's volume flattens it."""


def read_3mf(path: Path, unit: str | None = None) -> tuple[Mesh, tuple[Finding, ...]]:
    """Read a 3MF file.

    Args:
        path: the file.
        unit: the unit of its numbers; None takes the file's own.

    Returns:
        The mesh in mm, mended, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why.
    """
    where = str(path)
    return finished(parse_3mf(read_source(path, MOST_MB), where), unit, where)


def parse_3mf(data: bytes, where: str) -> RawMesh:
    """All triangles on the plate of a 3MF file.

    Args:
        data: the whole file.
        where: its name.

    Raises:
        InputError: it is damaged, refers to what is not there, or stands for too much.
    """
    scene = gathered(Package(data, where), where)
    if not scene.placed[PLATE]:
        raise InputError(Fault.NOTHING_PLACED, where)
    count_instances(PLATE, scene.holds, MOST_OBJECTS, where)
    count_instances(PLATE, scene.contents, MOST_TRIANGLES, where)
    left_out: Counter[str] = Counter()
    pieces = list(_pieces(scene, left_out, where))
    points, faces = _joined(pieces)
    findings = _findings(len(pieces), left_out, where)
    return RawMesh(points=points, faces=faces, unit=scene.unit, findings=findings)


def _pieces(scene: Scene, left_out: Counter[str], where: str) -> Iterator[tuple[Points3, Faces]]:
    """The triangles of every object as often as it is placed, in the order of the file."""
    stack = list(reversed(scene.placed[PLATE]))
    while stack:
        key, matrix = stack.pop()
        body = scene.bodies[key]
        inner = reversed(scene.placed[key])
        stack.extend((child, _product(child_matrix, matrix)) for child, child_matrix in inner)
        if body.kind in NO_PART and not body.components:
            left_out[body.kind] += 1
        elif len(body.faces):
            yield _put(body, matrix, where)


def _product(left: Matrix, right: Matrix) -> Matrix:
    """Matrices one after the other; what is beyond all numbers is refused where it is put."""
    with np.errstate(over="ignore", invalid="ignore"):
        return np.asarray(left @ right)


def _put(body: Body, matrix: Matrix, where: str) -> tuple[Points3, Faces]:
    """A body where it belongs.

    A mirrored one keeps the sign of its volume (3MF Core Specification, section 3.3).
    """
    turn = matrix[:3, :3]
    scale = float(np.abs(turn).max())
    if not math.isfinite(scale):
        raise InputError(Fault.NUMBER_NOT_FINITE, where, what="transform")
    axes = turn / scale if scale else turn
    volume = float(axes[0] @ np.cross(axes[1], axes[2]))
    if abs(volume) <= FLAT:
        raise InputError(Fault.NO_VOLUME, where)
    faces = body.faces[:, ::-1] if volume < 0 else body.faces
    return _product(body.points, turn) + matrix[3, :3], faces


def _joined(pieces: Sequence[tuple[Points3, Faces]]) -> tuple[Points3, Faces]:
    """One mesh of many."""
    if not pieces:
        return np.empty((0, 3)), np.empty((0, 3), np.int32)
    starts = np.cumsum([0, *(len(points) for points, _ in pieces)], dtype=np.int32)
    faces = [faces + start for (_, faces), start in zip(pieces, starts, strict=False)]
    return np.concatenate([points for points, _ in pieces]), np.concatenate(faces)


def _findings(pieces: int, left_out: Counter[str], where: str) -> tuple[Finding, ...]:
    found = [
        Finding(
            code=Remark.SUPPORT_OBJECT_LEFT_OUT, where=where, facts={"count": count, "kind": kind}
        )
        for kind, count in left_out.items()
    ]
    if pieces > 1:
        found.append(Finding(code=Remark.OBJECTS_JOINED, where=where, facts={"count": pieces}))
    return tuple(found)
