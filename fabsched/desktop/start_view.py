"""What one sees with no project open: what to do, and the ways to begin."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from fabsched.desktop.desk import Desk, Place
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.words import error_text
from fabsched.session.wording import phrase


class StartView(QWidget):
    """Offers the ways to begin."""

    def __init__(self, desk: Desk, ways: Sequence[QAction], parent: QWidget | None = None) -> None:
        """Make it.

        Args:
            desk: whose troubles it tells.
            ways: what can be done now; each becomes a large button.
            parent: the widget it lies in.
        """
        super().__init__(parent)
        self._desk = desk
        self.trouble = Note(Tone.ERROR, self)
        self.buttons = tuple(self._button(way) for way in ways)
        self._lay_out()
        desk.troubled.connect(self._show_trouble)

    def _button(self, way: QAction) -> QToolButton:
        button = QToolButton(self)
        button.setDefaultAction(way)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        button.setIconSize(QSize(32, 32))
        button.setMinimumSize(170, 92)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setAccessibleName(way.text().replace("&", ""))
        return button

    def _lay_out(self) -> None:
        title, text = QLabel(phrase("start-title"), self), QLabel(phrase("start-text"), self)
        font = title.font()
        font.setPointSizeF(font.pointSizeF() * 2)
        font.setWeight(font.Weight.DemiBold)
        title.setFont(font)
        text.setWordWrap(True)
        text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        ways = QHBoxLayout()
        ways.setSpacing(12)
        for button in self.buttons:
            ways.addWidget(button)
        ways.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(64, 48, 64, 48)
        column.setSpacing(18)
        column.addStretch(2)
        for part in (title, text):
            column.addWidget(part)
        column.addLayout(ways)
        column.addWidget(self.trouble)
        column.addStretch(3)

    def _show_trouble(self) -> None:
        self.trouble.say(" ".join(error_text(error) for error in self._desk.errors(Place.START)))
