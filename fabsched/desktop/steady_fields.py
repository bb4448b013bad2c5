"""Fields that the wheel turns only while they have the focus.

Qt's own take the focus and the step from a wheel that is meant for the page they lie in: who scrolls past
would change a figure without seeing it.
"""

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QDateTimeEdit, QDoubleSpinBox, QSlider, QSpinBox, QWidget


def _passes(field: QWidget, event: QWheelEvent) -> bool:
    """Leave the wheel to the page while somebody only passes by."""
    passes = not field.hasFocus()
    if passes:
        event.ignore()
    return passes


class Count(QSpinBox):
    """A whole number."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make one of zero."""
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Step it while it has the focus."""
        if not _passes(self, event):
            super().wheelEvent(event)


class Amount(QDoubleSpinBox):
    """A number."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make one of zero."""
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Step it while it has the focus."""
        if not _passes(self, event):
            super().wheelEvent(event)


class OneOf(QComboBox):
    """One of several."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Choose the next while it has the focus."""
        if not _passes(self, event):
            super().wheelEvent(event)


class Moment(QDateTimeEdit):
    """A day with its hour."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make one of no particular moment."""
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Step it while it has the focus."""
        if not _passes(self, event):
            super().wheelEvent(event)


class Slide(QSlider):
    """A share that is dragged."""

    def __init__(self, orientation: Qt.Orientation, parent: QWidget | None = None) -> None:
        """Make one at its least."""
        super().__init__(orientation, parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Move it while it has the focus."""
        if not _passes(self, event):
            super().wheelEvent(event)
