"""A field for lengths of time, written as one likes."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QSpinBox, QWidget

from fabsched.desktop.steady_fields import Count
from fabsched.session.spans import minutes_of, minutes_text
from fabsched.session.wording import phrase

NARROW = "10 h 30 min"
"""What has to be seen of it where there is little room."""
LONGEST = 24
"""Letters that are repeated of what was written (our own choice)."""


def shortened(text: str) -> str:
    """The beginning of a text that is too long to be repeated."""
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}\u2026"


class SpanBox(Count):
    """Holds whole minutes; takes `1 h 20`, `90 min`, `1:30` or `1.5 h`.

    Signals:
        refused: what was written and cannot be taken, and why; the field is as it was before.
    """

    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a field of zero minutes."""
        super().__init__(parent)
        self.setSingleStep(5)
        # Else what one passes on the way to "200 h" would be taken, were that refused in the end.
        self.setKeyboardTracking(False)

    def be_narrow(self) -> None:
        """Take no more room than a day's work needs; up and down keys step it."""
        self.setButtonSymbols(QSpinBox.ButtonSymbols.NoButtons)
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance(NARROW))

    def textFromValue(self, val: int) -> str:  # noqa: N802 - Qt's name
        """Hours and minutes."""
        return minutes_text(val)

    def valueFromText(self, text: str) -> int:  # noqa: N802 - Qt's name
        """What was written, in whole minutes; what cannot be read leaves the field as it was."""
        minutes = minutes_of(text)
        return self.value() if minutes is None else round(minutes)

    def fixup(self, input: str) -> str:  # noqa: A002 - Qt's name
        """Tell what cannot be taken; Qt then brings back what stood there."""
        most = minutes_text(self.maximum())
        self.refused.emit(phrase("span-refused", text=shortened(input.strip()), most=most))
        return input

    def validate(self, input: str, pos: int) -> tuple[QValidator.State, str, int]:  # noqa: A002 - Qt's name
        """Whether it is a length of time within the range, or may become one."""
        minutes = minutes_of(input)
        if minutes is None:
            return QValidator.State.Intermediate, input, pos
        inside = self.minimum() <= round(minutes) <= self.maximum()
        state = QValidator.State.Acceptable if inside else QValidator.State.Intermediate
        return state, input, pos
