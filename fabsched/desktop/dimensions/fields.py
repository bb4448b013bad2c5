"""Fields of the forms for critical dimensions, each with unit and tooltip."""

from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QWidget,
)

from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card
from fabsched.desktop.steady_fields import Amount, OneOf

DIGITS = 3
"""Lengths can be written to so many digits after the point."""


def length(owner: QWidget, text: str, low: float, high: float, step: float) -> QDoubleSpinBox:
    """A field for a length in mm.

    Args:
        owner: Qt owner.
        text: what it means: tooltip, and name for screen readers.
        low: least value.
        high: greatest.
        step: of its arrows.
    """
    field = Amount(owner)
    field.setDecimals(DIGITS)
    field.setRange(low, high)
    field.setSingleStep(step)
    field.setSuffix(owner.tr(" mm"))
    field.setToolTip(text)
    field.setAccessibleName(text)
    return field


def choice(owner: QWidget, text: str, entries: dict[str, str]) -> QComboBox:
    """A field for one of a few things.

    Args:
        owner: Qt owner.
        text: what it means: tooltip, and name for screen readers.
        entries: value to the name shown.
    """
    field = OneOf(owner)
    for value, name in entries.items():
        field.addItem(name, str(value))
    field.setToolTip(text)
    field.setAccessibleName(text)
    field.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    field.setMinimumContentsLength(8)
    return field


class Card(QFrame):
    """A form that opens in place, with two buttons at its foot; hidden until it is begun."""

    def __init__(self, keep: str, parent: QWidget | None = None) -> None:
        """Make it.

        Args:
            keep: what the button that takes it over says; empty for the usual word.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.keep = QPushButton(keep or self.tr("Keep"), self)
        self.leave = QPushButton(self.tr("Cancel"), self)
        self.keep.setToolTip(self.tr("Take over what stands here; undo takes it back"))
        self.leave.setToolTip(self.tr("Close this without changing anything"))
        self.column = card(self)
        self.form = QFormLayout()
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.leave.clicked.connect(self.hide)
        self.hide()

    def foot(self, *fields: QWidget) -> None:
        """Put the buttons at the end, and let Tab go through the fields to them.

        Args:
            fields: those above, from top to bottom.
        """
        for one, other in pairwise([*fields, self.keep, self.leave]):
            QWidget.setTabOrder(one, other)
        buttons = QHBoxLayout()
        for button in (self.keep, self.leave):
            buttons.addWidget(button)
        buttons.addStretch(1)
        self.column.addLayout(buttons)

    def told(self, parent: QWidget) -> QLabel:
        """A line of text that wraps."""
        label = Prose(parent)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setMinimumWidth(1)
        return label

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape leaves it."""
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)
