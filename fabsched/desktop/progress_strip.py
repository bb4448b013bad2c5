"""The foot of the window: what is under the pointer, and what is being computed."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.rows import ShortLabel
from fabsched.desktop.words import capital
from fabsched.session.wording import stage

STEPS = 1000
"""Resolution of the progress bar."""


class ProgressStrip(QWidget):
    """Follows the work of a desk."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a strip that follows a desk."""
        super().__init__(parent)
        self.told, self.stage = ShortLabel(self), QLabel(self)
        self.bar = QProgressBar(self)
        self.stop = QPushButton(self.tr("Cancel"), self)
        self._lay_out()
        self.stop.clicked.connect(desk.stop)
        desk.working.connect(self._show_work)
        desk.rested.connect(self._rest)
        self._rest()

    def _lay_out(self) -> None:
        self.setFixedHeight(self.stop.sizeHint().height())
        self.bar.setRange(0, STEPS)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(180)
        self.bar.setAccessibleName(self.tr("Progress"))
        self.stop.setToolTip(self.tr("Stop what is being worked out (Esc)"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.told, 1)
        for widget in (self.stage, self.bar, self.stop):
            row.addWidget(widget)

    def tell(self, text: str) -> None:
        """Say something about what is under the pointer, in one line."""
        self.told.setText("  \u00b7  ".join(text.splitlines()))

    def _show_work(self, done: float, code: str, count: int, total: int) -> None:
        text = capital(stage(code))
        if total > 1:
            text = self.tr("%s (%d of %d parts)") % (text, min(count + 1, total), total)
        self.stage.setText(text)
        self.bar.setValue(round(STEPS * done))
        for widget in (self.stage, self.bar, self.stop):
            widget.show()

    def _rest(self) -> None:
        for widget in (self.stage, self.bar, self.stop):
            widget.hide()
