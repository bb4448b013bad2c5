"""Notices when hands are needed: of the desktop where it has a tray, else in the window."""

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QSystemTrayIcon, QWidget

from fabsched.desktop import settings
from fabsched.desktop.bench.now import hands_between, next_hands_s
from fabsched.desktop.desk import Desk
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.session.clock import hour, up
from fabsched.session.wording import phrase

LONGEST_MS = 60_000
"""After a sleep of the machine clocks jump; it is looked at least so often (our own choice)."""
WANTED = "notices"
"""What is remembered."""


class Notices(QObject):
    """Tells when a block begins that needs hands.

    Signals:
        due: what is to be done, where the desktop cannot be told.
    """

    due = Signal(str)

    def __init__(self, desk: Desk, view: TimelineView, parent: QWidget) -> None:
        """Watch a plan.

        Args:
            desk: whose plan.
            view: the timeline, whose scene is read.
            parent: the window.
        """
        super().__init__(parent)
        self._desk, self._view, self._parent = desk, view, parent
        self._tray: QSystemTrayIcon | None = None
        self._seen_s = self._now_s
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.look)
        self.wanted = settings.flag(WANTED, otherwise=True)
        for signal in (desk.opened, desk.planned):
            signal.connect(self._wait)
        desk.closed.connect(self._end)

    @property
    def _now_s(self) -> int:
        return int(self._desk.now().timestamp())

    def want(self, *, wanted: bool) -> None:
        """Switch notices on or off, for good."""
        self.wanted = wanted
        settings.keep(WANTED, wanted)
        self._seen_s = self._now_s
        if self._tray is not None:
            self._tray.setVisible(wanted)
        self._wait()

    def look(self) -> None:
        """Tell of everything that has begun since the last look."""
        scene, now_s = self._view.scene, self._now_s
        session = self._desk.session
        if scene is not None and session is not None and session.answer_is_current:
            begun = hands_between(scene, self._seen_s, now_s)
            texts = [
                phrase("do-now", what=step.told, end=hour(up(step.block.end_s), scene.zone))
                for step in begun
            ]
            if texts:
                self._tell("\n".join(texts))
        self._seen_s = now_s
        self._wait()

    def _wait(self) -> None:
        """Wake when hands are needed next."""
        self._timer.stop()
        scene = self._view.scene
        if not self.wanted or scene is None or self._desk.session is None:
            return
        now_s = self._now_s
        next_s = next_hands_s(scene, max(now_s, self._seen_s))
        if next_s is not None:
            self._timer.start(min(LONGEST_MS, max(1, 1000 * (next_s - now_s))))

    def _tell(self, text: str) -> None:
        if QSystemTrayIcon.isSystemTrayAvailable() and QSystemTrayIcon.supportsMessages():
            self._tray_icon().showMessage(phrase("notice"), text, self._parent.windowIcon())
        else:
            self.due.emit(text)

    def _tray_icon(self) -> QSystemTrayIcon:
        """The icon notices hang on; a click on it or on a notice brings the window."""
        if self._tray is None:
            self._tray = QSystemTrayIcon(self._parent.windowIcon(), self)
            self._tray.setToolTip("fabsched")
            self._tray.activated.connect(self._bring)
            self._tray.messageClicked.connect(self._bring)
            self._tray.show()
        return self._tray

    def _bring(self) -> None:
        self._parent.show()
        self._parent.raise_()
        self._parent.activateWindow()

    def _end(self) -> None:
        self._timer.stop()
        if self._tray is not None:
            self._tray.hide()
