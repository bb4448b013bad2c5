"""Beds as 3MF: every part an object of its own, every copy an item of the build.

After the 3MF Core Specification 1.3: a package (ECMA-376 part 2) with one model part; transforms
are twelve numbers, row by row, for row vectors.
"""

import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import quoteattr

import numpy as np
from numpy.typing import NDArray

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.names import printable
from fabsched.model.shapes import Mesh

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
CONTENT_TYPES = (
    f'{DECLARATION}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
RELATIONS = (
    f"{DECLARATION}<Relationships "
    'xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="model" Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)
DIGITS = 9
"""Significant digits of a coordinate: a single float survives them."""


@dataclass(frozen=True, slots=True, eq=False)
class BedObject:
    """A part on a bed.

    Attributes:
        name: name shown.
        mesh: the part in mm, standing on z = 0.
        poses: (4, 4) matrices for row vectors, one for each copy: (x, y, z, 1) @ pose is where a
            point of the mesh lies on the bed.
    """

    name: str
    mesh: Mesh
    poses: tuple[NDArray[np.float64], ...]

    def meshes(self) -> tuple[Mesh, ...]:
        """The copies where they lie."""
        points = self.mesh.vertices
        return tuple(
            Mesh(points @ pose[:3, :3] + pose[3, :3], self.mesh.faces) for pose in self.poses
        )


def joined(objects: Sequence[BedObject]) -> Mesh:
    """Everything on a bed as one mesh, for formats that know no objects."""
    meshes = [mesh for each in objects for mesh in each.meshes()]
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])[:-1]
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]
    vertices = np.concatenate([mesh.vertices for mesh in meshes])
    return Mesh(vertices, np.concatenate(faces).astype(np.int32))


def write_3mf(path: Path, objects: Sequence[BedObject]) -> None:
    """Write a bed, in one step.

    Raises:
        InputError: the file cannot be written.
    """
    write_bytes_atomic(path, threemf_bytes(objects))


def threemf_bytes(objects: Sequence[BedObject]) -> bytes:
    """A bed as 3MF; the same bed gives the same bytes."""
    entries = {
        "[Content_Types].xml": CONTENT_TYPES,
        "_rels/.rels": RELATIONS,
        "3D/3dmodel.model": "".join(_model(objects)),
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as package:
        for name, text in entries.items():
            package.writestr(zipfile.ZipInfo(name), text.encode(), zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _model(objects: Sequence[BedObject]) -> Iterator[str]:
    yield f'{DECLARATION}<model unit="millimeter" xml:lang="en" xmlns="{CORE}">\n<resources>\n'
    for number, each in enumerate(objects, start=1):
        yield f'<object id="{number}" type="model" name={quoteattr(printable(each.name))}><mesh>\n'
        yield from _mesh(each.mesh)
        yield "</mesh></object>\n"
    yield "</resources>\n<build>\n"
    for number, each in enumerate(objects, start=1):
        for pose in each.poses:
            numbers = " ".join(_number(value) for value in pose[:, :3].ravel().tolist())
            yield f'<item objectid="{number}" transform="{numbers}"/>\n'
    yield "</build>\n</model>\n"


def _mesh(mesh: Mesh) -> Iterator[str]:
    yield "<vertices>\n"
    for x, y, z in mesh.vertices.tolist():
        yield f'<vertex x="{_number(x)}" y="{_number(y)}" z="{_number(z)}"/>\n'
    yield "</vertices>\n<triangles>\n"
    for a, b, c in mesh.faces.tolist():
        yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n'
    yield "</triangles>\n"


def _number(value: float) -> str:
    """A number in its shortest form.

    >>> _number(20.0), _number(-0.0), _number(0.1 + 0.2)
    ('20', '0', '0.3')
    """
    return f"{value + 0.0:.{DIGITS}g}"
