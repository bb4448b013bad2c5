"""The foot of the window: what is under the pointer, and what is being computed."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.rows import ShortLabel
from fabsched.desktop.words import capital
from fabsched.session.wording import phrase, stage

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
        self.keep = QPushButton(phrase("keep-sofar"), self)
        self._lay_out()
        self._desk = desk
        self.stop.clicked.connect(desk.stop)
        self.keep.clicked.connect(self._keep)
        desk.bettered.connect(lambda _chance: self._offer())
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
        self.keep.setToolTip(
            self.tr("Search no longer; the best plan so far is finished and shown")
        )
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.told, 1)
        for widget in (self.stage, self.bar, self.keep, self.stop):
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
        self.keep.setVisible(self._desk.best is not None)

    def _offer(self) -> None:
        self.keep.setEnabled(True)
        self.keep.show()

    def _keep(self) -> None:
        self.keep.setEnabled(False)
        self._desk.keep()

    def _rest(self) -> None:
        for widget in (self.stage, self.bar, self.stop, self.keep):
            widget.hide()
        self.keep.setEnabled(True)
