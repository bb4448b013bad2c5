"""Bodies drawn apart from each other, as SVG: an oblique look from above, far faces first.

Own drawing: triangles that look at the viewer are filled from back to front, sharp edges drawn over
them. Faces shade with how much they look up.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.names import printable
from fabsched.model.shapes import Mesh, Points3

Floats = NDArray[np.float64]

RIGHT = np.array([0.866025403784, -0.5, 0.0])
"""Direction of the part that points right in the picture: halfway between x and -y."""
UP = np.array([0.25, 0.433012701892, 0.866025403784])
"""Direction that points up: the part is looked at from 30 degrees above."""
TOWARDS = np.array([-0.433012701892, -0.75, 0.5])
"""Direction to the viewer."""
SHARP_COS = 0.9
"""Cosine between faces below which the edge between them is drawn."""
MARGIN_MM = 6.0
"""Room around the picture."""
LABEL_MM = 4.0
"""Height of letters."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One body in the picture.

    Attributes:
        label: name shown beside it.
        mesh: the body in mm.
        colour: three shares of red, green and blue, 0 to 1, in full light.
    """

    label: str
    mesh: Mesh
    colour: tuple[float, float, float]


def write_exploded(path: Path, bodies: Sequence[Drawn]) -> None:
    """Write a picture, in one step.

    Raises:
        InputError: the file cannot be written.
    """
    write_bytes_atomic(path, exploded_svg(bodies))


def exploded_svg(bodies: Sequence[Drawn]) -> bytes:
    """A picture of bodies where they are; the same bodies give the same bytes.

    Args:
        bodies: at least one, already moved apart.
    """
    faces: list[tuple[float, str]] = []
    for body in bodies:
        faces += _faces(body)
    faces.sort(key=lambda face: face[0])
    flat = np.concatenate([_flat(body.mesh.vertices) for body in bodies])
    low, high = flat.min(axis=0) - MARGIN_MM, flat.max(axis=0) + MARGIN_MM
    wide, tall = (f"{value:.2f}" for value in high - low)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{tall}mm" '
            f'viewBox="{low[0]:.2f} {-high[1]:.2f} {wide} {tall}">'
        ),
        f'<rect x="{low[0]:.2f}" y="{-high[1]:.2f}" width="{wide}" height="{tall}" fill="#ffffff"/>',
        '<g stroke-linejoin="round" stroke-linecap="round">',
        *(text for _, text in faces),
        "</g>",
        f'<g font-family="sans-serif" font-size="{LABEL_MM}" fill="#202020">',
        *(_label(body) for body in bodies),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()


def _flat(points: Points3) -> Floats:
    """Where points lie in the picture, (n, 2), y up."""
    return np.stack([points @ RIGHT, points @ UP], axis=1)


def _faces(body: Drawn) -> list[tuple[float, str]]:
    """Faces and sharp edges that can be seen, each with its nearness."""
    points, triangles = body.mesh.vertices, body.mesh.faces
    a, b, c = (points[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    lengths = np.linalg.norm(normals, axis=1)
    normals /= np.where(lengths > 0.0, lengths, 1.0)[:, None]
    seen = np.flatnonzero((normals @ TOWARDS > 1e-6) & (lengths > 1e-9))
    flat = _flat(points)
    near = points @ TOWARDS
    lit = 0.55 + 0.25 * normals[:, 2] + 0.2 * (normals @ TOWARDS)
    found = [
        (float(near[triangles[t]].mean()), _polygon(flat[triangles[t]], body.colour, float(lit[t])))
        for t in seen
    ]
    return found + _edges(body, normals, seen, flat, near)


def _edges(
    body: Drawn, normals: Floats, seen: NDArray[np.intp], flat: Floats, near: Floats
) -> list[tuple[float, str]]:
    """Edges at which the surface turns sharply or away, of triangles that are seen."""
    triangles = body.mesh.faces
    facing = np.zeros(len(triangles), bool)
    facing[seen] = True
    across: dict[tuple[int, int], int] = {}
    for t, corners in enumerate(triangles.tolist()):
        for i in range(3):
            across[corners[i], corners[(i + 1) % 3]] = t
    found = []
    for t in seen.tolist():
        corners = triangles[t].tolist()
        for p, q in ((corners[i], corners[(i + 1) % 3]) for i in range(3)):
            other = across.get((q, p), t)
            if facing[other] and (p > q or float(normals[t] @ normals[other]) > SHARP_COS):
                continue
            found.append((0.5 * float(near[p] + near[q]) + 0.05, _line(flat[p], flat[q])))
    return found


def _polygon(corners: Floats, colour: tuple[float, float, float], lit: float) -> str:
    """A filled triangle; its border has its own colour, so that no seams show."""
    fill = "#" + "".join(f"{round(255 * min(1.0, part * lit)):02x}" for part in colour)
    text = " ".join(f"{x:.2f},{-y:.2f}" for x, y in corners.tolist())
    return f'<polygon points="{text}" fill="{fill}" stroke="{fill}" stroke-width="0.15"/>'


def _line(start: Floats, end: Floats) -> str:
    (x0, y0), (x1, y1) = start.tolist(), end.tolist()
    return (
        f'<path d="M {x0:.2f} {-y0:.2f} L {x1:.2f} {-y1:.2f}" stroke="#303030" '
        'stroke-width="0.25" fill="none"/>'
    )


def _label(body: Drawn) -> str:
    """The name of a body at its right."""
    flat = _flat(body.mesh.vertices)
    x, y = float(flat[:, 0].mean()), float(flat[:, 1].max()) + 0.5
    name = escape(printable(body.label))
    return f'<text x="{x:.2f}" y="{-y:.2f}" text-anchor="middle">{name}</text>'
