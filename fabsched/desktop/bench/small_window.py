"""The small window at the bench: what to do now, next and until when, with one click for each."""

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop import settings
from fabsched.desktop.bench.now import Doing, doing
from fabsched.desktop.bench.sayings import STARTED, Say, by_hand_now, runs_alone
from fabsched.desktop.bench.teller import Teller
from fabsched.desktop.desk import Desk
from fabsched.desktop.plan_panel import NOW_MS
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.timeline.steps import Step
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.desktop.words import headline_words, next_code
from fabsched.model.plan import Block
from fabsched.model.state import State
from fabsched.session.clock import short, up
from fabsched.session.wording import phrase

USUAL_PX = QSize(360, 300)
"""Size at the first time."""
PLACE, ON_TOP = "bench/place", "bench/on-top"
"""What is remembered."""

Signature = tuple[tuple[str, str, tuple[Say, ...]], ...]
"""What the rows show; they are made anew only when that is something else."""


def said_tip(name: str, say: Say, block: Block) -> str:
    """What a button is for; for the start of what runs alone, whose start is meant as well."""
    alone = say == STARTED and runs_alone(block)
    return f"{name}\n{phrase('say-started-alone')}" if alone else name


class DoRow(QFrame):
    """One thing to do, with a button for everything that can be said of it in one click."""

    def __init__(self, step: Step, said: tuple[Say, ...], teller: Teller, parent: QWidget) -> None:
        """Make a row.

        Args:
            step: what is to be done.
            said: what can be said of it.
            teller: writes it down.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.step, self.what, self.until = step, Prose(self, step.told), QLabel(self)
        self.buttons: dict[str, QPushButton] = {}
        column = card(self)
        font = self.what.font()
        font.setBold(True)
        self.what.setFont(font)
        self.until.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        row = QHBoxLayout()
        for say in said:
            button = QPushButton(phrase(say.code).rstrip("\u2026"), self)
            button.setAccessibleName(f"{step.told}: {phrase(say.code)}")
            button.setToolTip(said_tip(button.accessibleName(), say, step.block))
            button.clicked.connect(lambda _c, say=say: teller.tell(say.verb, step.block.id))
            self.buttons[say.code] = button
            row.addWidget(button)
        row.addStretch(1)
        for item in (self.what, self.until):
            column.addWidget(item)
        column.addLayout(row)


class BenchWindow(QWidget):
    """Follows a desk's plan and log."""

    def __init__(self, desk: Desk, teller: Teller, view: TimelineView) -> None:
        """Make the window; it is hidden until it is shown, and goes with the desk.

        Args:
            desk: whose plan.
            teller: writes down what is clicked.
            view: the timeline, whose scene it reads.
        """
        super().__init__(None, Qt.WindowType.Window)
        self._desk, self._teller, self._view = desk, teller, view
        self._shown: Signature = ()
        self.rows: list[DoRow] = []
        self.odds, self.next = Prose(self), Prose(self)
        self.none = Prose(self)
        self.on_top = QCheckBox(self.tr("Stay on &top"), self)
        self._lay_out()
        self.on_top.toggled.connect(self._set_on_top)
        undo = QShortcut(QKeySequence(QKeySequence.StandardKey.Undo), self)
        undo.activated.connect(desk.undo)
        QShortcut(QKeySequence(QKeySequence.StandardKey.Close), self).activated.connect(self.close)
        self._clock = QTimer(self)
        self._clock.setInterval(NOW_MS)
        self._clock.timeout.connect(self.follow)
        self._clock.start()
        for signal in (desk.opened, desk.changed, desk.planned, desk.rested):
            signal.connect(self.follow)
        desk.closed.connect(self._end)

    def _lay_out(self) -> None:
        self.setWindowTitle(self.tr("At the bench \u2013 fabsched"))
        self.on_top.setToolTip(self.tr("Keep this window above all others"))
        self._column = QVBoxLayout(self)
        self._column.addWidget(self.none)
        self._column.addWidget(self.next)
        self._column.addStretch(1)
        self._column.addWidget(self.odds)
        self._column.addWidget(self.on_top)
        self.resize(USUAL_PX)

    def bring(self) -> None:
        """Show it where and as it was the last time."""
        if not self.isVisible():
            self.restoreGeometry(settings.data(PLACE))
            on_top = settings.flag(ON_TOP, otherwise=False)
            self.setWindowFlag(Qt.WindowType.WindowStaysOnTopHint, on_top)
            self.on_top.blockSignals(True)
            self.on_top.setChecked(on_top)
            self.on_top.blockSignals(False)
        self.show()
        self.raise_()
        self.activateWindow()

    def follow(self) -> None:
        """Show what is to be done now."""
        session, scene = self._desk.session, self._view.scene
        if session is None or scene is None or not self.isVisible():
            self._show_rows((), State())
            self.none.setText(phrase("no-plan"))
            self.next.setText("")
            return
        self._show(scene, session.log.state)
        words = headline_words(session, busy=self._desk.busy)
        self.odds.setText(words.odds if words.current else words.spare)

    def _show(self, scene: Scene, state: State) -> None:
        now_s = self._teller.now_s
        found: Doing = doing(scene, state, now_s)
        self._show_rows((*found.hands, *found.machines), state)
        for row in self.rows:
            end_s = row.step.block.end_s
            code = "bench-until" if end_s > now_s else "bench-late"
            row.until.setText(phrase(code, end=short(up(end_s), scene.zone, now_s)))
        self.none.setText("" if found.hands else phrase("bench-free"))
        self.none.setVisible(not found.hands)
        then = found.then
        start = short(up(then.block.start_s), scene.zone, now_s) if then else ""
        self.next.setText(phrase(next_code(scene), what=then.told, start=start) if then else "")
        self._fit()

    def _fit(self) -> None:
        """Be at least as high as what is shown needs at this width."""
        self.setMinimumHeight(max(0, self._column.totalHeightForWidth(self.width())))

    def _show_rows(self, steps: tuple[Step, ...], state: State) -> None:
        """Have these rows; where one of them had the focus, the first button has it then."""
        said = [(step, by_hand_now(step.block, state)) for step in steps]
        wanted = tuple((step.block.id, step.told, says) for step, says in said)
        if wanted == self._shown:
            return
        focused = any(button.hasFocus() for row in self.rows for button in row.buttons.values())
        for row in self.rows:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = [DoRow(step, says, self._teller, self) for step, says in said]
        self._shown = wanted
        for place, row in enumerate(self.rows):
            self._column.insertWidget(place, row)
        self._name_keys(focus=focused or self.focusWidget() is None)

    def _name_keys(self, *, focus: bool) -> None:
        """The first row can be told of by Alt and a letter as well."""
        buttons = list(self.rows[0].buttons.values()) if self.rows else []
        for button in buttons:
            button.setText(f"&{button.text()}")
        if focus and buttons:
            buttons[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def _set_on_top(self, on: bool) -> None:
        """Keep it above all others; Qt hides a window whose kind is changed."""
        settings.keep(ON_TOP, on)
        place = self.geometry()
        self.setWindowFlag(Qt.WindowType.WindowStaysOnTopHint, on)
        self.setGeometry(place)
        self.show()

    def _end(self) -> None:
        self._clock.stop()
        self.close()
        self.deleteLater()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what has changed meanwhile."""
        super().showEvent(event)
        self.follow()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Texts wrap otherwise at another width."""
        super().resizeEvent(event)
        self._fit()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Remember where it was."""
        if self.isVisible():
            settings.keep(PLACE, self.saveGeometry())
        super().closeEvent(event)
