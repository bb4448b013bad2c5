"""Sheets as DXF: real millimetres, one layer for each operation.

Layers are named as our reader and most shops' readers take them: `engrave`, `score`, `cut`. The
border of the sheet, its outline where it is an offcut, and what has to stay free on it lie on a layer
`ignore`, which is not plotted, to show where the sheet lies.
"""

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from fabsched.model.shop import Border

VERSION = "R2010"
"""Old enough for any reader, new enough to hold units and light polylines."""
COLOURS = {
    Operation.ENGRAVE: 3,
    Operation.SCORE: 5,
    Operation.CUT: 1,
    Operation.IGNORE: 8,
}
"""Colour numbers of the layers, only to tell them apart on a screen (our own choice)."""


def write_dxf(
    path: Path, drawing: Drawing, size_mm: tuple[float, float], marks: Sequence[Border] = ()
) -> None:
    """Write a sheet, in one step.

    Raises:
        InputError: the file cannot be written.
    """
    write_bytes_atomic(path, dxf_bytes(drawing, size_mm, marks))


def dxf_bytes(
    drawing: Drawing, size_mm: tuple[float, float], marks: Sequence[Border] = ()
) -> bytes:
    """A sheet as DXF; the same sheet gives the same bytes.

    Args:
        drawing: the paths in mm from the lower left corner, in the order they are run over.
        size_mm: width and height of the sheet.
        marks: closed lines that are only to be seen, on the layer `ignore`.
    """
    layers = {operation.value: colour for operation, colour in COLOURS.items()}
    lines = [(path.operation.value, path) for path in drawing.outlines]
    seen = [(Operation.IGNORE.value, Outline(np.array(ring), closed=True)) for ring in marks]
    return dxf_layers_bytes((*seen, *lines), layers, size_mm)


def dxf_layers_bytes(
    lines: Iterable[tuple[str, Outline]], layers: Mapping[str, int], size_mm: tuple[float, float]
) -> bytes:
    """Lines on layers of any name as DXF.

    Args:
        lines: name of the layer and path in mm from the lower left corner, in the order they are
            run over.
        layers: colour number by the name of every layer; one called `ignore` is not plotted.
        size_mm: width and height of the sheet, whose border is drawn on `ignore`.
    """
    from ezdxf import units  # noqa: PLC0415 - half a second that readers of other formats save
    from ezdxf.filemanagement import new  # noqa: PLC0415 - as above

    with _without_date():
        document = new(VERSION, units=units.MM)
        for name, colour in layers.items():
            layer = document.layers.add(name, color=colour)
            layer.dxf.plot = int(name != Operation.IGNORE)
        space = document.modelspace()
        border = Outline(np.array(_border(size_mm)), closed=True)
        drawn = [*lines, (Operation.IGNORE.value, border)]
        for name, path in drawn:
            points = path.points_mm.tolist()
            space.add_lwpolyline(points, close=path.closed, dxfattribs={"layer": name})
        # The library copies the extents of the space into the header, unless they begin at zero.
        low, high = Drawing(tuple(path for _, path in drawn)).bounds_mm
        ends = (*low.tolist(), 0.0), (*high.tolist(), 0.0)
        space.reset_extents(*ends)
        document.header["$EXTMIN"], document.header["$EXTMAX"] = ends
        # The library lists the classes in the order of a set; sorted, the bytes stay the same.
        document.classes.add_required_classes(document.dxfversion)
        document.classes.classes = dict(sorted(document.classes.classes.items()))
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode(document.output_encoding)


def _border(size_mm: tuple[float, float]) -> list[tuple[float, float]]:
    x, y = size_mm
    return [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)]


@contextmanager
def _without_date() -> Iterator[None]:
    """Let the library write neither the present moment nor random numbers into a file."""
    from ezdxf._options import options  # noqa: PLC0415 - as above

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
