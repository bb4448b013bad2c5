"""The view of a part, by mouse, wheel and keys."""

import threading

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.solid.camera import Camera
from fabsched.desktop.solid.view import SolidView, bed_lines
from fabsched.model.shapes import Drawing, Outline
from tests.desktop import shapes
from tests.desktop.hands import drag, press


@pytest.fixture
def view(qtbot: QtBot) -> SolidView:
    """A view of a box."""
    shown = SolidView()
    qtbot.addWidget(shown)
    shown.resize(400, 300)
    shown.show_shape(shapes.box())
    with qtbot.waitExposed(shown):
        shown.show()
    return shown


def test_it_is_drawn_quickly_then_sharply(qtbot: QtBot, view: SolidView) -> None:
    """At once on few pixels, soon on all of them; the thread that did it ends with the view."""
    assert view.picture is not None
    assert view.picture.shape[1] < 400
    qtbot.waitUntil(lambda: view.picture is not None and view.picture.shape[1] >= 400)
    view.hide()
    assert not [thread for thread in threading.enumerate() if thread.name.startswith("solid")]


def test_dragging_turns_it(view: SolidView) -> None:
    """To the right by half a degree a pixel; down tilts it towards the eye."""
    before = view.camera
    drag(view, QPoint(100, 100), QPoint(160, 120))
    assert view.camera.turn_deg == pytest.approx((before.turn_deg + 30) % 360)
    assert view.camera.tilt_deg == pytest.approx(before.tilt_deg + 10)


def test_wheel_and_keys(view: SolidView) -> None:
    """The wheel and + look closer, arrows turn, 0 leads back."""
    at = QPointF(50, 50)
    phase, none = Qt.ScrollPhase.NoScrollPhase, Qt.KeyboardModifier.NoModifier
    buttons, turn = Qt.MouseButton.NoButton, QPoint(0, 120)
    event = QWheelEvent(at, at, QPoint(), turn, buttons, none, phase, False)
    QApplication.sendEvent(view, event)
    assert view.camera.zoom > Camera(zoom=1.2).zoom
    press(view, Qt.Key.Key_Left)
    press(view, Qt.Key.Key_Up)
    assert view.camera.turn_deg == pytest.approx(20.0)
    press(view, Qt.Key.Key_0)
    assert view.camera == Camera(zoom=1.2)


def test_one_cannot_turn_it_over(view: SolidView) -> None:
    """However often one tilts, up stays up."""
    for _ in range(20):
        press(view, Qt.Key.Key_Down)
    assert view.camera.tilt_deg == pytest.approx(-89.0)


def test_flat_parts_and_none_are_shown_as_well(view: SolidView) -> None:
    """Outlines are drawn filled, their holes are not; the size is told to screen readers."""
    view.show_shape(shapes.flat())
    seen = view.grab().toImage()
    middle, ground = seen.pixelColor(200, 144), seen.pixelColor(5, 5)
    assert view.accessibleDescription() == "40.0 \u00d7 40.0 mm"
    assert middle == ground
    assert seen.pixelColor(100, 144) != ground
    view.show_shape(None)
    assert view.grab().toImage().pixelColor(100, 144) == ground


def test_the_bed_reaches_beyond_the_part() -> None:
    """Its lines lie on the bed, cover the part and are not too many, however large it is."""
    for side in (3.0, 80.0, 900.0):
        low, high = shapes.box(side, side, 4.0).bounds_mm
        lines = bed_lines(low, high)
        assert (lines[..., 2] == low[2]).all()
        assert np.all(lines.reshape(-1, 3)[:, :2].min(axis=0) < low[:2])
        assert np.all(lines.reshape(-1, 3)[:, :2].max(axis=0) > high[:2])
        assert len(lines) <= 64


def crowded(count: int = 4000) -> Drawing:
    """A circle of so many lines, each an outline of its own."""
    turns = np.linspace(0, 2 * np.pi, count + 1)
    points = np.column_stack([np.cos(turns), np.sin(turns)]) * 40
    return Drawing(tuple(Outline(points[i : i + 2], closed=False) for i in range(count)))


def test_crowded_drawings_are_drawn_on_another_thread(qtbot: QtBot, view: SolidView) -> None:
    """First there is nothing of them, soon all; a smaller view is drawn anew."""
    view.show_shape(crowded())
    ground = view.grab().toImage().pixelColor(5, 5)

    def is_there() -> bool:
        seen = view.grab().toImage()
        middle = seen.height() // 2
        return any(seen.pixelColor(x, middle) != ground for x in range(20, seen.width() // 2))

    assert not is_there()
    qtbot.waitUntil(is_there)
    view.resize(300, 260)
    view.show_shape(None)
    assert not is_there()
