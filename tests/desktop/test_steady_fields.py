"""The wheel over fields one only passes by."""

from itertools import chain

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QComboBox, QSlider, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click
from tests.desktop.loaded import load
from tests.desktop.test_window import session_of

PAGES = ("lanes", "part", "compare", "shop", "testcut", "advice")
"""Those with fields on them; headline and lists stand beside each."""


def turn(field: QWidget, notches: int = -1) -> None:
    """Turn the wheel over a field."""
    at = QPointF(field.rect().center())
    event = QWheelEvent(
        at,
        QPointF(field.mapToGlobal(field.rect().center())),
        QPoint(0, 0),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(field, event)


def shown(field: QWidget) -> object:
    """What stands in a field."""
    match field:
        case QAbstractSpinBox():
            return field.text()
        case QComboBox():
            return field.currentText()
        case QSlider():
            return field.value()
    raise AssertionError(field)


def fields(window: MainWindow) -> list[QWidget]:
    """All fields that step."""
    kinds = (QAbstractSpinBox, QComboBox, QSlider)
    return [*chain.from_iterable(window.findChildren(kind) for kind in kinds)]


def test_the_wheel_changes_nothing_in_passing(planned: MainWindow, pool: FakePool) -> None:
    """On no page does scrolling change a figure, a choice, or what has the focus."""
    project, shop = session_of(planned).project, session_of(planned).shop
    click(planned.work.add)
    click(planned.work.form.more)
    seen = 0
    for page in PAGES:
        planned.show_part("louvre")
        getattr(planned.actions_, page).trigger()
        load(pool)
        planned.plan.timeline.setFocus()
        for field in (field for field in fields(planned) if field.isVisible()):
            before = shown(field)
            turn(field)
            assert shown(field) == before, (page, field.accessibleName())
            assert not field.hasFocus(), (page, field.accessibleName())
            seen += 1
    assert seen > 40
    assert session_of(planned).project == project
    assert session_of(planned).shop == shop


def test_no_field_takes_the_focus_from_the_wheel(planned: MainWindow, pool: FakePool) -> None:
    """Else the next notch would step it."""
    for page in PAGES:
        getattr(planned.actions_, page).trigger()
        load(pool)
    greedy = [
        (type(field).__name__, field.accessibleName())
        for field in fields(planned)
        if field.focusPolicy() == Qt.FocusPolicy.WheelFocus
    ]
    assert greedy == []


def test_the_wheel_steps_the_field_one_is_in(planned: MainWindow, qtbot: QtBot) -> None:
    """As everywhere."""
    copies = planned.parts.rows.rows["louvre"].copies
    copies.setFocus()
    qtbot.waitUntil(copies.hasFocus)
    turn(copies, 1)
    assert copies.value() == 7
