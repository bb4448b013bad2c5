"""Sheets as SVG: a page as large as the sheet, in mm, with a group for each operation.

Groups bear the names of the operations as ids, which our reader goes by. The border of the sheet, its
outline where it is an offcut, and what has to stay free on it are in a group `ignore`.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from fabsched.model.shop import Border

NAMESPACE = "http://www.w3.org/2000/svg"
DIGITS = 5
"""Decimals of a millimetre: far below what any machine resolves."""
COLOURS = {
    Operation.ENGRAVE: "#009E73",
    Operation.SCORE: "#0072B2",
    Operation.CUT: "#D55E00",
    Operation.IGNORE: "#808080",
}
"""Only to tell operations apart on a screen: those of the timeline (Okabe & Ito)."""

IGNORE = Operation.IGNORE.value
"""Id of the group that holds the border."""


def write_svg(
    path: Path, drawing: Drawing, size_mm: tuple[float, float], marks: Sequence[Border] = ()
) -> None:
    """Write a sheet, in one step.

    Raises:
        InputError: the file cannot be written.
    """
    write_bytes_atomic(path, svg_bytes(drawing, size_mm, marks))


def svg_bytes(
    drawing: Drawing, size_mm: tuple[float, float], marks: Sequence[Border] = ()
) -> bytes:
    """A sheet as SVG.

    Args:
        drawing: the paths in mm from the lower left corner, in the order they are run over.
        size_mm: width and height of the sheet.
        marks: closed lines that are only to be seen, in the group `ignore`.
    """
    groups = [
        (operation.value, COLOURS[operation], paths)
        for operation in (Operation.ENGRAVE, Operation.SCORE, Operation.CUT)
        if (paths := [path for path in drawing.outlines if path.operation is operation])
    ]
    return svg_groups_bytes(groups, size_mm, marks)


def svg_groups_bytes(
    groups: Iterable[tuple[str, str, Iterable[Outline]]],
    size_mm: tuple[float, float],
    marks: Sequence[Border] = (),
) -> bytes:
    """Groups of lines as SVG.

    Args:
        groups: id, colour and paths of each, in the order they are run over.
        size_mm: width and height of the sheet, whose border is drawn in a group `ignore`.
        marks: closed lines that are drawn there, too.
    """
    wide, high = (_number(side) for side in size_mm)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="{NAMESPACE}" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">',
        f'{_opening(IGNORE, COLOURS[Operation.IGNORE])}<rect width="{wide}" height="{high}"/>',
        *(_path(Outline(np.array(ring), closed=True), size_mm[1]) for ring in marks),
        "</g>",
    ]
    for ident, colour, paths in groups:
        lines += [_opening(ident, colour), *(_path(path, size_mm[1]) for path in paths), "</g>"]
    return ("\n".join([*lines, "</svg>"]) + "\n").encode()


def _opening(ident: str, colour: str) -> str:
    return f'<g id="{ident}" fill="none" stroke="{colour}" stroke-width="0.1">'


def _path(path: Outline, height_mm: float) -> str:
    """A path with y pointing down."""
    points = [f"{_number(x)} {_number(height_mm - y)}" for x, y in path.points_mm.tolist()]
    return f'<path d="M {" L ".join(points)}{" Z" if path.closed else ""}"/>'


def _number(value: float) -> str:
    """A number without needless digits.

    >>> _number(300.0), _number(-0.0), _number(1 / 3)
    ('300', '0', '0.33333')
    """
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
