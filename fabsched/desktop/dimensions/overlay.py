"""Critical dimensions drawn over the solid: lines with their values, circles for what is round."""

from dataclasses import dataclass
from itertools import product

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from fabsched.desktop.solid.camera import Floats, Stand
from fabsched.desktop.timeline.look import ORANGE, VERMILLION, Look, faded
from fabsched.estimate.rotation import rotation
from fabsched.model.project import Fit, FitKind, Point

AROUND = 48
"""Chords of a circle."""
ARROW_PX = 7.0
"""Length of the heads of a line."""
AIR_PX = 4.0
"""Room around a value."""
AXES = ("x", "y", "z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One dimension to draw.

    Attributes:
        text: its value.
        at_mm: middle of the feature, in the file's coordinates.
        size_mm: its extent.
        ends_mm: between which points it is measured; None draws a box.
        axis: number of the coordinate a circle lies across; None draws no circle.
        strong: whether it stands out: it is chosen, or being measured.
    """

    text: str
    at_mm: Point
    size_mm: Point
    ends_mm: tuple[Point, Point] | None = None
    axis: int | None = None
    strong: bool = False


def drawn_of(fit: Fit, text: str, *, strong: bool) -> Drawn:
    """A critical dimension that is kept."""
    across = AXES.index(fit.axis)
    sides = [size for place, size in enumerate(fit.size_mm) if place != across]
    is_round = fit.kind in {FitKind.HOLE, FitKind.PEG} and abs(sides[0] - sides[1]) < 1e-2
    wide = fit.drawn_mm is not None and abs(fit.drawn_mm - sides[0]) < 1e-2
    return Drawn(
        text=text,
        at_mm=fit.at_mm,
        size_mm=fit.size_mm,
        ends_mm=fit.ends_mm,
        axis=across if is_round and wide else None,
        strong=strong,
    )


def paint(
    painter: QPainter, stand: Stand, looks: Look, drawn: Drawn, turn_deg: tuple[float, float, float]
) -> None:
    """Draw one dimension.

    Args:
        painter: on the view.
        stand: from where the solid is seen.
        looks: fonts and colours.
        drawn: the dimension.
        turn_deg: how the part is turned.
    """
    colour = QColor(VERMILLION if drawn.strong else ORANGE)
    painter.save()
    ends = np.array(drawn.ends_mm or (drawn.at_mm, drawn.at_mm), float)
    points = _seen(ends, stand, turn_deg)
    if drawn.axis is not None:
        _polygon(painter, _seen(_circle(drawn, drawn.axis), stand, turn_deg), colour, looks)
    if drawn.ends_mm is None:
        _box(painter, _seen(_corners(drawn), stand, turn_deg), colour)
    else:
        _line(painter, points, colour, looks)
    _value(painter, (points[0] + points[1]) / 2, _Plate(drawn.text, colour, stand), looks)
    painter.restore()


def _seen(points: Floats, stand: Stand, turn_deg: tuple[float, float, float]) -> list[QPointF]:
    pixels = stand.project(points @ rotation(turn_deg).T)
    return [QPointF(x, y) for x, y in pixels[:, :2].tolist()]


def _circle(drawn: Drawn, axis: int) -> Floats:
    """The circle of what is round, half-way along it."""
    turns = np.linspace(0.0, 2 * np.pi, AROUND, endpoint=False)
    one, other = (axis + 1) % 3, (axis + 2) % 3
    points = np.tile(np.array(drawn.at_mm, float), (AROUND, 1))
    points[:, one] += drawn.size_mm[one] / 2 * np.cos(turns)
    points[:, other] += drawn.size_mm[other] / 2 * np.sin(turns)
    return points


def _corners(drawn: Drawn) -> Floats:
    signs = np.array(list(product((-0.5, 0.5), repeat=3)))
    corners: Floats = np.array(drawn.at_mm) + signs * np.array(drawn.size_mm)
    return corners


def _polygon(painter: QPainter, points: list[QPointF], colour: QColor, looks: Look) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for pen in (QPen(faded(looks.scheme.ground, 0.8), 4.0), QPen(colour, 1.6)):
        painter.setPen(pen)
        painter.drawPolygon(QPolygonF(points))


def _box(painter: QPainter, corners: list[QPointF], colour: QColor) -> None:
    """The edges of the box around a feature of which nothing more is known."""
    painter.setPen(QPen(colour, 1.4, Qt.PenStyle.DashLine))
    for number in range(8):
        for bit in (1, 2, 4):
            if not number & bit:
                painter.drawLine(corners[number], corners[number | bit])


def _line(painter: QPainter, ends: list[QPointF], colour: QColor, looks: Look) -> None:
    """A line with heads, on a ground of its own so that it is seen everywhere."""
    painter.setPen(QPen(faded(looks.scheme.ground, 0.8), 4.0))
    painter.drawLine(ends[0], ends[1])
    painter.setPen(QPen(colour, 1.6))
    painter.drawLine(ends[0], ends[1])
    painter.setBrush(colour)
    for tip, tail in ((ends[0], ends[1]), (ends[1], ends[0])):
        _head(painter, tip, tail)


def _head(painter: QPainter, tip: QPointF, tail: QPointF) -> None:
    way = tail - tip
    length = (way.x() ** 2 + way.y() ** 2) ** 0.5
    if length < 3 * ARROW_PX:
        painter.drawEllipse(tip, 2.0, 2.0)
        return
    along = way * (ARROW_PX / length)
    aside = QPointF(-along.y(), along.x()) * 0.4
    painter.drawPolygon(QPolygonF([tip, tip + along + aside, tip + along - aside]))


@dataclass(frozen=True, slots=True)
class _Plate:
    """What stands on a plate, its colour, and the view it stands in."""

    text: str
    colour: QColor
    stand: Stand


def _value(painter: QPainter, at: QPointF, plate: _Plate, looks: Look) -> None:
    """The value on a plate of its own beside the line, inside the view."""
    painter.setFont(looks.small.font)
    middle = QPointF(*plate.stand.middle_px)
    box = QRectF(painter.fontMetrics().boundingRect(plate.text)).adjusted(-AIR_PX, -2, AIR_PX, 2)
    box.moveCenter(at - QPointF(0, box.height()))
    room = QRectF(QPointF(0, 0), middle * 2).adjusted(2, 2, -2, -2)
    box.moveLeft(max(room.left(), min(box.left(), room.right() - box.width())))
    box.moveTop(max(room.top(), min(box.top(), room.bottom() - box.height())))
    painter.setPen(QPen(plate.colour, 1.2))
    painter.setBrush(QColor(looks.scheme.ground))
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(QColor(looks.scheme.ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, plate.text)
