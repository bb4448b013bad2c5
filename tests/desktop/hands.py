"""Real clicks and keys."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

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
