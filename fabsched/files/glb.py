"""Binary glTF into triangles, as far as the STEP reader's library writes it.

After the glTF 2.0 specification (Khronos Group, ISO/IEC 12113:2022): a JSON chunk that describes
nodes, meshes and accessors, and a chunk of plain numbers. Lengths are metres.
"""

import json
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

HEADER = struct.Struct("<4sII")
CHUNK = struct.Struct("<I4s")
NUMBERS = {5121: np.uint8, 5123: np.uint16, 5125: np.uint32, 5126: np.float32}
"""Types of numbers by their code (section 3.6.2.2)."""
WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
TRIANGLES = 4
FACES = "TM_brep_faces"
"""Extension that says on which analytic face each triangle lies."""

Node = dict[str, Any]
Matrix = NDArray[np.float64]


class NotGlb(ValueError):  # noqa: N818 - reads as what it says
    """The bytes are no binary glTF, or of a kind that is not read here."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solid:
    """One mesh where it is placed.

    Attributes:
        name: its name; may be empty.
        source: number of its points in the file; the same for one mesh placed several times.
        points: (n, 3) float64 in metres, in the scene.
        triangles: (m, 3) int64.
        face: (m,) int64, number of the analytic face of every triangle; empty if not known.
        faces: what is known of the analytic faces, by number, in the mesh's own coordinates.
        matrix: (4, 4) from the mesh to the scene.
    """

    name: str
    source: int
    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    face: NDArray[np.int64]
    faces: tuple[Node, ...]
    matrix: Matrix


@dataclass(frozen=True, slots=True)
class Glb:
    """A file taken apart.

    Attributes:
        json: the description.
        numbers: the rest.
    """

    json: Node
    numbers: bytes

    @classmethod
    def of(cls, data: bytes) -> "Glb":
        """Find the two chunks.

        Raises:
            NotGlb: they are not there.
        """
        try:
            magic, version, _ = HEADER.unpack_from(data)
            size, kind = CHUNK.unpack_from(data, HEADER.size)
            start = HEADER.size + CHUNK.size
            text, rest = data[start : start + size], start + size
            if (magic, version, kind) != (b"glTF", 2, b"JSON"):
                raise NotGlb(magic)
            size, _ = CHUNK.unpack_from(data, rest)
            rest += CHUNK.size
            return cls(json.loads(text), data[rest : rest + size])
        except (struct.error, ValueError) as error:
            raise NotGlb(str(error)) from error

    def solids(self) -> Iterator[Solid]:
        """Every mesh as often as it is placed."""
        scene = self.json["scenes"][self.json.get("scene", 0)]
        stack = [(index, np.eye(4)) for index in reversed(scene.get("nodes", []))]
        while stack:
            index, outer = stack.pop()
            node = self.json["nodes"][index]
            matrix = outer @ _matrix(node)
            stack.extend((child, matrix) for child in reversed(node.get("children", [])))
            if "mesh" in node:
                yield from self._mesh(self.json["meshes"][node["mesh"]], matrix)

    def _mesh(self, mesh: Node, matrix: Matrix) -> Iterator[Solid]:
        for part in mesh["primitives"]:
            if part.get("mode", TRIANGLES) != TRIANGLES:
                continue
            points = self._values(part["attributes"]["POSITION"]).astype(np.float64)
            extra = part.get("extensions", {}).get(FACES, {})
            none = np.empty(0, np.int64)
            yield Solid(
                name=mesh.get("name", ""),
                source=part["attributes"]["POSITION"],
                points=points @ matrix[:3, :3].T + matrix[:3, 3],
                triangles=self._values(part["indices"]).astype(np.int64).reshape(-1, 3),
                face=self._values(extra["faceIndices"]).astype(np.int64).ravel() if extra else none,
                faces=tuple(face for face in extra.get("faces", ()) if face),
                matrix=matrix,
            )

    def _values(self, index: int) -> NDArray[Any]:
        """The numbers of an accessor, (count, width)."""
        accessor = self.json["accessors"][index]
        view = self.json["bufferViews"][accessor["bufferView"]]
        kind, width = np.dtype(NUMBERS[accessor["componentType"]]), WIDTHS[accessor["type"]]
        step = view.get("byteStride", kind.itemsize * width)
        return np.ndarray(
            shape=(accessor["count"], width),
            dtype=kind.newbyteorder("<"),
            buffer=self.numbers,
            offset=view.get("byteOffset", 0) + accessor.get("byteOffset", 0),
            strides=(step, kind.itemsize),
        )


def _matrix(node: Node) -> Matrix:
    """How a node lies in the one around it (section 3.5.3); a quaternion ends with its real part."""
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    x, y, z, w = node.get("rotation", (0.0, 0.0, 0.0, 1.0))
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    matrix = np.eye(4)
    matrix[:3, :3] = turn * np.array(node.get("scale", (1.0, 1.0, 1.0)))
    matrix[:3, 3] = node.get("translation", (0.0, 0.0, 0.0))
    return matrix
