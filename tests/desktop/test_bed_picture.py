"""Beds and sheets seen from above."""

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from fabsched.desktop.bed_picture import label_spot


def path(*boxes: QRectF) -> QPainterPath:
    """Boxes as one area; what lies inside another is an opening."""
    whole = QPainterPath()
    for box in boxes:
        whole.addRect(box)
    return whole


WHOLE, OPENING = QRectF(0, 0, 100, 100), QRectF(20, 30, 60, 30)


@pytest.mark.parametrize(
    ("body", "spot"),
    [
        (path(WHOLE), QPointF(50, 50)),
        (path(WHOLE, OPENING), QPointF(50, 80)),
        (path(QRectF(0, 0, 40, 100), QRectF(60, 0, 40, 100)), QPointF(50, 50)),
    ],
)
def test_a_name_stands_on_its_part(body: QPainterPath, spot: QPointF) -> None:
    """In the middle; beside an opening there, where there is most room; else in the middle still."""
    found = label_spot(body)
    assert found.x() == spot.x()
    assert found.y() == pytest.approx(spot.y(), abs=2)


def test_names_of_a_part_and_of_what_lies_in_its_opening_do_not_meet() -> None:
    """A ring is named on its rim, what is printed in its opening there."""
    ring, inner = path(WHOLE, QRectF(25, 25, 50, 50)), path(QRectF(40, 40, 20, 20))
    assert not QRectF(25, 25, 50, 50).contains(label_spot(ring))
    assert label_spot(inner) == QPointF(50, 50)
