"""Files of a part taken apart: outlines for the laser, meshes for the printer, a picture, a list."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.plates.frames import mesh_of
from fabsched.advise.plates.joint_list import joint_rows, screws_of
from fabsched.advise.plates.making import Made
from fabsched.advise.plates.splitting import Plate, Split
from fabsched.estimate.placing import place
from fabsched.estimate.turning import turned
from fabsched.files.dxf_out import dxf_bytes
from fabsched.files.exploded_svg import PICTURE, Drawn, exploded_svg
from fabsched.files.stl import stl_bytes
from fabsched.files.svg_out import svg_bytes
from fabsched.files.threemf_out import BedObject, threemf_bytes
from fabsched.model.shapes import Drawing, Mesh

PLATE_COLOUR = (0.55, 0.78, 0.95)
PIECE_COLOUR = (0.98, 0.72, 0.40)
APART = 0.35
"""How far bodies are moved apart, in sizes of the part."""
COLUMNS = ("plate", "piece", "join", "screw", "x_mm", "y_mm", "passes", "why")
"""Head of the list of joints."""


def files_of(split: Split, made: Made) -> dict[str, bytes]:
    """All files by name: those of `plain_files_of`, and the picture.

    Args:
        split: the part taken apart.
        made: the parts it becomes.
    """
    return {**plain_files_of(split, made), PICTURE: exploded_svg(tuple(moved_apart(split)))}


def plain_files_of(split: Split, made: Made) -> dict[str, bytes]:
    """Files by name: plates as DXF and SVG, pieces as STL and together as 3MF, and the lists of joints and screws.

    Args:
        split: the part taken apart.
        made: the parts it becomes; their files bear the names the project gives them.
    """
    found: dict[str, bytes] = {}
    for part in made.parts:
        shape, name = made.shapes[part.id], Path(part.file).name
        if isinstance(shape, Drawing):
            found[name] = dxf_bytes(shape, _size(shape))
            found[str(Path(name).with_suffix(".svg"))] = svg_bytes(shape, _size(shape))
        else:
            found[name] = stl_bytes(shape)
    if split.pieces:
        found["pieces.3mf"] = threemf_bytes(_objects(made))
    found["joints.csv"] = joints_csv(split)
    if screws := screws_of(split, made.copies):
        found["screws.csv"] = _csv(("screw", "count"), screws)
    return found


def part_files(made: Made) -> dict[str, bytes]:
    """The files a project needs, by the path it gives them."""
    return {
        part.file: dxf_bytes(shape, _size(shape))
        if isinstance(shape := made.shapes[part.id], Drawing)
        else stl_bytes(shape)
        for part in made.parts
    }


def _size(drawing: Drawing) -> tuple[float, float]:
    low, high = drawing.bounds_mm
    return float(high[0] - low[0]), float(high[1] - low[1])


def _objects(made: Made) -> list[BedObject]:
    """Pieces in the pose they are printed in, one beside the other."""
    found, x = [], 0.0
    for part in made.parts:
        shape = made.shapes[part.id]
        if not isinstance(shape, Mesh):
            continue
        placed = place(turned(shape, part.turn_deg), part.file)
        poses = []
        for _ in range(part.copies):
            pose = np.eye(4)
            pose[3, 0] = x
            poses.append(pose)
            x += placed.size_mm[0] + 5.0
        found.append(BedObject(part.name, placed.mesh, tuple(poses)))
    return found


def joints_csv(split: Split) -> bytes:
    """The list of joints, one line each; lengths in mm from the lower left corner of the plate."""
    rows = []
    for row in joint_rows(split):
        x, y = (f"{value:.2f}" for value in row.at_mm)
        passes = row.passes or ""
        rows.append((row.plate, row.piece, row.join.value, row.screw, x, y, passes, row.why))
    return _csv(COLUMNS, rows)


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """A table (RFC 4180, lines ended by a line feed)."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\n")
    lines.writerow(columns)
    lines.writerows(rows)
    return text.getvalue().encode()


def moved_apart(split: Split) -> Iterator[Drawn]:
    """Plates and pieces, moved away from each other, plates first."""
    bodies = [plate.body() for plate in split.plates]
    meshes = [mesh_of(body) for body in bodies] + [piece.mesh for piece in split.pieces]
    points = np.concatenate([mesh.vertices for mesh in meshes])
    middle = 0.5 * (points.min(axis=0) + points.max(axis=0))
    reach = APART * float(np.ptp(points, axis=0).max())
    for number, plate in enumerate(split.plates):
        # the largest plate stays, others leave the way they look
        away = _outwards(plate, meshes[number], middle) * (reach if number else 0.0)
        yield Drawn(str(number + 1), _moved(meshes[number], away), PLATE_COLOUR)
    for number, piece in enumerate(split.pieces):
        away = -np.array(piece.side) * reach
        name = chr(ord("a") + number % 26) * (1 + number // 26)
        yield Drawn(name, _moved(piece.mesh, away), PIECE_COLOUR)


def _outwards(plate: Plate, mesh: Mesh, middle: NDArray[np.float64]) -> NDArray[np.float64]:
    normal = plate.slab.frame.axes[2]
    away = mesh.vertices.mean(axis=0) - middle
    return np.asarray(normal if float(away @ normal) >= 0.0 else -normal)


def _moved(mesh: Mesh, by: NDArray[np.float64]) -> Mesh:
    return Mesh(mesh.vertices + by, mesh.faces)
