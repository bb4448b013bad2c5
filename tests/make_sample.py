"""Makes the part files of the sample project: `python -m tests.make_sample`.

The files are committed; a test makes them anew and compares.
"""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
from manifold3d import Manifold

from tests.sample import sheets, solids

PARTS = Path(__file__).parent.parent / "sample_projects" / "balcony_station" / "parts"

CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels"'
    ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def corners(body: Manifold) -> tuple[np.ndarray, np.ndarray]:
    """Vertices (n, 3) in mm, rounded to 0.1 micron as single floats, and triangles (m, 3)."""
    mesh = body.to_mesh()
    vertices = np.round(np.asarray(mesh.vert_properties)[:, :3], 4).astype(np.float32)
    return vertices, np.asarray(mesh.tri_verts)


def stl(body: Manifold) -> bytes:
    """Binary STL: 80 bytes of header, a count, then 50 bytes for each triangle."""
    vertices, triangles = corners(body)
    facets = np.zeros(
        len(triangles), dtype=[("normal", "<3f4"), ("corners", "<9f4"), ("rest", "<u2")]
    )
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    facets["normal"] = normals / np.where(lengths > 0, lengths, 1)
    facets["corners"] = np.hstack((a, b, c))
    return bytes(80) + np.uint32(len(triangles)).tobytes() + facets.tobytes()


def obj(body: Manifold) -> bytes:
    """Wavefront OBJ, in mm."""
    vertices, triangles = corners(body)
    lines = [f"v {x:.4f} {y:.4f} {z:.4f}" for x, y, z in vertices]
    lines += [f"f {a} {b} {c}" for a, b, c in triangles + 1]
    return ("\n".join(lines) + "\n").encode()


def ply(body: Manifold) -> bytes:
    """ASCII PLY, in mm."""
    vertices, triangles = corners(body)
    lines = ["ply", "format ascii 1.0", f"element vertex {len(vertices)}"]
    lines += [f"property float {axis}" for axis in "xyz"]
    lines += [f"element face {len(triangles)}", "property list uchar int vertex_indices"]
    lines += ["end_header", *(f"{x:.4f} {y:.4f} {z:.4f}" for x, y, z in vertices)]
    lines += [f"3 {a} {b} {c}" for a, b, c in triangles]
    return ("\n".join(lines) + "\n").encode()


def _model(body: Manifold) -> str:
    vertices, triangles = corners(body)
    points = "".join(f'<vertex x="{x:.4f}" y="{y:.4f}" z="{z:.4f}"/>\n' for x, y, z in vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n' for a, b, c in triangles)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">\n<resources>\n'
        '<object id="1" type="model"><mesh>\n'
        f"<vertices>\n{points}</vertices>\n<triangles>\n{faces}</triangles>\n"
        '</mesh></object>\n</resources>\n<build><item objectid="1"/></build>\n</model>\n'
    )


def threemf(body: Manifold) -> bytes:
    """3MF core package with one object, in millimetres; no time stamps of today."""
    entries = {
        "[Content_Types].xml": CONTENT_TYPES,
        "_rels/.rels": RELATIONS,
        "3D/3dmodel.model": _model(body),
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in entries.items():
            package.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


FILES: dict[str, Callable[[], bytes]] = {
    "louvre_plate.stl": lambda: stl(solids.louvre_plate()),
    "louvre_roof.obj": lambda: obj(solids.louvre_roof()),
    "funnel.stl": lambda: stl(solids.funnel()),
    "sensor_cradle.3mf": lambda: threemf(solids.sensor_cradle()),
    "foot.ply": lambda: ply(solids.foot()),
    "front_panel.stl": lambda: stl(solids.front_panel()),
    "base_plate.dxf": lambda: sheets.dxf(sheets.base_plate()),
    "back_panel.svg": lambda: sheets.svg(sheets.back_panel()),
}
"""How each file is made."""


def main() -> None:
    """Write every part file."""
    PARTS.mkdir(parents=True, exist_ok=True)
    for name, made in FILES.items():
        (PARTS / name).write_bytes(made())


if __name__ == "__main__":
    main()
