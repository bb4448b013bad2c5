"""Areas and angles in TOML: what stays free on a bed, borders of offcuts, turns of a part."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fabsched.files.toml_read import Text, malformed, shown
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Border

FARTHEST_MM = 10_000.0
"""Coordinates lie within this; larger sheets are a slip of the pen."""
SMALLEST_MM2 = 1.0
"""An area below this is none."""
MOST_CORNERS = 10_000
"""Corners of a border; more are no border of a sheet."""
SIZE_EXAMPLE = "size_mm = [600, 400]"


@dataclass(frozen=True, slots=True)
class Area:
    """Corners of a polygon, or two opposite corners of a rectangle; perhaps a file it is drawn in.

    Attributes:
        file: whether a path may stand there instead.
    """

    file: bool = False
    example: str = "[[0, 0], [300, 0], [0, 200]]"

    def read(self, value: object, where: str) -> Border | str:
        """The corners, or the path."""
        if self.file and isinstance(value, str):
            return Text(self.example).read(value, where)
        if not isinstance(value, list) or not 2 <= len(value) <= MOST_CORNERS:
            raise malformed(value, where, self.example)
        corners = tuple(self._corner(corner, where) for corner in value)
        if len(corners) == 2:
            (x, y), (u, v) = corners
            corners = ((x, y), (u, y), (u, v), (x, v))
        if area_mm2(corners) < SMALLEST_MM2:
            raise malformed(value, where, self.example)
        return corners

    def _corner(self, value: object, where: str) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise malformed(value, where, self.example)
        x, y = (_within(number, where, self.example, 0.0, FARTHEST_MM) for number in value)
        return x, y


@dataclass(frozen=True, slots=True)
class Areas:
    """A list of areas."""

    example: str = "[[[0, 0], [40, 30]]]"

    def read(self, value: object, where: str) -> tuple[Border | str, ...]:
        """Each as its corners."""
        if not isinstance(value, list):
            raise malformed(value, where, self.example)
        return tuple(Area(example=self.example).read(area, where) for area in value)


@dataclass(frozen=True, slots=True)
class Turns:
    """Angles in degrees."""

    example: str = "[0, 180]"

    def read(self, value: object, where: str) -> tuple[float, ...]:
        """The angles, each once."""
        if not isinstance(value, list) or not 0 < len(value) <= 360:
            raise malformed(value, where, self.example)
        turns = (_within(turn, where, self.example, -360.0, 360.0) for turn in value)
        return tuple(dict.fromkeys(turns))


def _within(value: object, where: str, example: str, low: float, high: float) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise malformed(value, where, example)
    if not low <= value <= high:
        raise InputError(Fault.FIELD_OUT_OF_RANGE, where, value=value, low=low, high=high)
    return float(value)


def area_mm2(corners: Sequence[tuple[float, float]]) -> float:
    """Area of a polygon (the shoelace formula), without sign.

    >>> area_mm2(((0, 0), (4, 0), (0, 3)))
    6.0
    """
    pairs = zip(corners, (*corners[1:], *corners[:1]), strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairs)) / 2


def bordered(values: Mapping[str, Any], where: str, folder: Path | None) -> dict[str, Any]:
    """The values of a sheet with its border and the size that belongs to it.

    A border in a file is moved so that its lower left corner is (0, 0). Without a size the sheet is as
    large as its border.

    Args:
        values: as read.
        where: the sheet, for errors.
        folder: where the file is; without one its border stays unknown.

    Raises:
        InputError: there is neither size nor border, the border is larger than the size, or its file
            cannot be read.
    """
    outline, given = values.get("outline", ()), values.get("size_mm")
    if isinstance(outline, str):
        outline = _drawn(folder / outline, f"{where}: outline") if folder else ()
    if "outline" not in values and given is None:
        raise InputError(Fault.FIELD_MISSING, f"{where}: size_mm", example=SIZE_EXAMPLE)
    extent = tuple(max(corner[axis] for corner in outline) if outline else 1.0 for axis in (0, 1))
    for side, most in zip(extent, given or extent, strict=True):
        if side > most:
            facts = {"value": side, "low": 0.0, "high": most}
            raise InputError(Fault.FIELD_OUT_OF_RANGE, f"{where}: outline", **facts)
    return {**values, "outline": outline, "size_mm": given or extent}


def _drawn(path: Path, where: str) -> Border:
    """The outermost closed border in a DXF or SVG file, its lower left corner at (0, 0)."""
    from fabsched.files.parts import read_part  # noqa: PLC0415 - heavy, and seldom needed
    from fabsched.model.shapes import Drawing  # noqa: PLC0415 - brings in numpy

    try:
        shape = read_part(path, None)[0]
    except InputError as error:
        raise InputError(error.code, where, **error.facts) from error
    rings = (
        [outline.points_mm for outline in shape.outlines if outline.closed]
        if isinstance(shape, Drawing)
        else []
    )
    borders = [tuple((float(x), float(y)) for x, y in ring - ring.min(axis=0)) for ring in rings]
    border = max(borders, key=area_mm2, default=())
    if not SMALLEST_MM2 <= area_mm2(border) <= FARTHEST_MM**2:
        raise InputError(Fault.FIELD_MALFORMED, where, value=shown(path), example='"offcut.dxf"')
    return border
