"""Fields that the wheel turns only while they have the focus.

Qt's own take the focus and the step from a wheel that is meant for the page they lie in: who scrolls past
would change a figure without seeing it.
"""

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QDateTimeEdit, QDoubleSpinBox, QSlider, QSpinBox, QWidget

if TYPE_CHECKING:
    Field = QWidget
else:  # beside a field of Qt's there can be no second widget
    Field = object


class _Steady(Field):
    """What all of them have; stands before the field it is mixed into."""

    def __init__(self, *args: Any) -> None:
        """As the field is made."""
        super().__init__(*args)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the wheel to the page while somebody only passes by."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class Count(_Steady, QSpinBox):
    """A whole number."""


class Amount(_Steady, QDoubleSpinBox):
    """A number."""


class OneOf(_Steady, QComboBox):
    """One of several."""


class Moment(_Steady, QDateTimeEdit):
    """A day with its hour."""


class Slide(_Steady, QSlider):
    """A share that is dragged."""
