"""Real clicks, keys and fingers."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

STEPS = 10
"""A finger moves in so many steps."""

LEFT, NO_KEYS = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def click(widget: QWidget, at: QPoint | None = None) -> None:
    """Click into the middle of a widget, or at a point of it."""
    QTest.mouseClick(widget, LEFT, NO_KEYS, at or widget.rect().center())


def hover(widget: QWidget, at: QPoint) -> None:
    """Move the pointer to a point of a widget."""
    QTest.mouseMove(widget, at)


def drag(widget: QWidget, start: QPoint, end: QPoint) -> None:
    """Hold the button down from one point to another."""
    QTest.mousePress(widget, LEFT, NO_KEYS, start)
    QTest.mouseMove(widget, (start + end) / 2)
    QTest.mouseMove(widget, end)
    QTest.mouseRelease(widget, LEFT, NO_KEYS, end)


def press(widget: QWidget, key: Qt.Key, keys: Qt.KeyboardModifier = NO_KEYS) -> None:
    """Press a key."""
    QTest.keyClick(widget, key, keys)


def write(widget: QWidget, text: str) -> None:
    """Type a text."""
    QTest.keyClicks(widget, text)


def touch(widget: QWidget, device: QPointingDevice, *fingers: tuple[QPoint, QPoint]) -> None:
    """Put fingers on a screen, move each from one point to another in steps, and lift them."""
    for step in range(STEPS + 1):
        sequence = QTest.touchEvent(widget, device)
        deed = sequence.move if step else sequence.press
        for finger, (start, end) in enumerate(fingers):
            deed(finger, start + (end - start) * step / STEPS, widget)
        sequence.commit()
    sequence = QTest.touchEvent(widget, device)
    for finger, (_, end) in enumerate(fingers):
        sequence.release(finger, end, widget)
    sequence.commit()
