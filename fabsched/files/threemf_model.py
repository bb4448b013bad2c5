"""One model part of a 3MF file: its objects, and what it places on the build plate.

After the 3MF Core Specification 1.3 and, for parts that refer to other parts, its Production
Extension 1.1.
"""

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_raw import check_indices
from fabsched.files.mesh_text import SHOWN
from fabsched.files.threemf_package import KIND, Package
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Faces, Points3

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
READ_EXTENSIONS = {
    CORE,
    PRODUCTION,
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
}
"""Extensions that are read, or that leave the shape as it is."""
OBJECT_NAME = f"{CORE} object"
DEFAULT_UNIT = "millimeter"
DEFAULT_TYPE = "model"

Matrix = NDArray[np.float64]
"""(4, 4), for points as rows: p' = p M, the translation in the last row."""


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """An object put somewhere, by a component or on the plate.

    Attributes:
        part: the part it is in; None for the same one.
        object_id: its id there.
        matrix: where it is put.
    """

    part: str | None
    object_id: str
    matrix: Matrix


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """An object: triangles, or other objects put together.

    Attributes:
        kind: `model`, `support` and so on; means nothing for one put together of others.
        points: (n, 3) in the unit of the model.
        faces: (m, 3).
        components: what it is put together of.
    """

    kind: str
    points: Points3
    faces: Faces
    components: tuple[Reference, ...]


@dataclass(slots=True)
class Model:
    """A model part.

    Attributes:
        unit: of all its numbers.
        bodies: objects by id.
        items: what is placed on the plate.
    """

    unit: str = DEFAULT_UNIT
    bodies: dict[str, Body] = field(default_factory=dict)
    items: list[Reference] = field(default_factory=list)


def parse_model(package: Package, name: str) -> Model:
    """Read one model part of a package.

    Raises:
        InputError: it is damaged, no model, or something in it is wrong.
    """
    reading = _Reading(package.where)
    package.parse(name, reading.parser)
    if not reading.is_model:
        raise InputError(Fault.FILE_NOT_OF_KIND, package.where, kind=KIND)
    return reading.model


class _Reading:
    """Takes in the elements of one part as they come."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.model = Model()
        self.is_model = False
        self._prefixes: dict[str | None, str] = {}
        self._points = array("d")
        self._corners = array("q")
        self._components: list[Reference] = []
        self._object: dict[str, str] = {}
        self._starts: dict[str, Callable[[dict[str, str]], None]] = {
            f"{CORE} model": self._start_model,
            OBJECT_NAME: self._start_object,
            f"{CORE} vertex": self._vertex,
            f"{CORE} triangle": self._triangle,
            f"{CORE} component": self._component,
            f"{CORE} item": self._item,
        }
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartNamespaceDeclHandler = self._prefixes.__setitem__
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        act = self._starts.get(name)
        try:
            if act is not None:
                act(attributes)
        except KeyError as error:
            why = f"no {error.args[0]} on line {self.parser.CurrentLineNumber}"
            raise InputError(Fault.FILE_READER_FAILED, self.where, kind=KIND, why=why) from error

    def _start_model(self, attributes: dict[str, str]) -> None:
        self.is_model = True
        self.model.unit = attributes.get("unit", DEFAULT_UNIT)
        for prefix in attributes.get("requiredextensions", "").split():
            feature = self._prefixes.get(prefix, prefix)
            if feature not in READ_EXTENSIONS:
                raise InputError(Fault.FILE_FEATURE_UNKNOWN, self.where, kind=KIND, feature=feature)

    def _start_object(self, attributes: dict[str, str]) -> None:
        if attributes["id"] in self.model.bodies:
            raise InputError(Fault.NAME_TWICE, self.where, name=attributes["id"])
        self._object = attributes
        self._points, self._corners, self._components = array("d"), array("q"), []

    def _vertex(self, attributes: dict[str, str]) -> None:
        x, y, z = attributes["x"], attributes["y"], attributes["z"]
        try:
            self._points.extend((float(x), float(y), float(z)))
        except ValueError:
            raise self._malformed((x, y, z)) from None
        if "_" in x or "_" in y or "_" in z:  # Python reads 1_000, no other program does
            raise self._malformed((x, y, z))

    def _triangle(self, attributes: dict[str, str]) -> None:
        a, b, c = attributes["v1"], attributes["v2"], attributes["v3"]
        try:
            self._corners.extend((int(a), int(b), int(c)))
        except (ValueError, OverflowError):
            raise self._malformed((a, b, c)) from None
        if "_" in a or "_" in b or "_" in c:
            raise self._malformed((a, b, c))

    def _malformed(self, words: Sequence[str]) -> InputError:
        line = self.parser.CurrentLineNumber
        text = " ".join(words)[:SHOWN]
        return InputError(Fault.NUMBER_MALFORMED, self.where, text=text, line=line)

    def _component(self, attributes: dict[str, str]) -> None:
        self._components.append(self._reference(attributes))

    def _item(self, attributes: dict[str, str]) -> None:
        self.model.items.append(self._reference(attributes))

    def _reference(self, attributes: dict[str, str]) -> Reference:
        part = attributes.get(f"{PRODUCTION} path")
        return Reference(part, attributes["objectid"], self._matrix(attributes.get("transform")))

    def _matrix(self, text: str | None) -> Matrix:
        """Twelve numbers, row by row, as a (4, 4) matrix; the last column goes without saying."""
        matrix = np.eye(4)
        if text is None:
            return matrix
        try:
            numbers = [float(word) for word in text.split() if "_" not in word]
            matrix[:, :3] = np.array(numbers).reshape(4, 3)
        except ValueError:
            raise self._malformed(text.split()) from None
        if not np.isfinite(matrix).all():
            raise InputError(Fault.NUMBER_NOT_FINITE, self.where, what="transform")
        return matrix

    def _end(self, name: str) -> None:
        if name != OBJECT_NAME:
            return
        points = np.array(self._points).reshape(-1, 3)
        corners = np.array(self._corners, dtype=np.int64)
        check_indices(corners, len(points), self.where)
        self.model.bodies[self._object["id"]] = Body(
            kind=self._object.get("type", DEFAULT_TYPE),
            points=points,
            faces=corners.astype(np.int32).reshape(-1, 3),
            components=tuple(self._components),
        )
