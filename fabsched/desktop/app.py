"""Opens the window."""

import os
import signal
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QSize, QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from fabsched.desktop.background import Background
from fabsched.desktop.desk import Clock, Desk
from fabsched.desktop.recovery import take_left
from fabsched.desktop.screen import check_screen
from fabsched.desktop.theme import apply_theme
from fabsched.desktop.translating import speak, wanted
from fabsched.desktop.window import MainWindow
from fabsched.files.resources import resource
from fabsched.session.pool import Pool

Note = Callable[[BaseException], object]
"""Notes a fault of the program."""

TITLE_PX = 32
"""Room for the bar above a window (our own choice: that of usual desktops)."""
HEARTBEAT_MS = 250
"""How often Python gets a chance to notice Ctrl-C in the terminal."""


def run(folder: Path | None, note: Note) -> int:
    """Open the window and stay until it is closed.

    Args:
        folder: a project to open at once.
        note: notes a fault of the program where faults are kept.

    Returns:
        The exit code.

    Raises:
        InputError: there is no screen to open it on.
    """
    check_screen()
    app = QApplication.instance() or QApplication([sys.argv[0]])
    if not isinstance(app, QApplication):
        raise TypeError("a Qt application without windows is running already")
    dress(app)
    speak(app, wanted(os.environ))
    window = make_window(now=lambda: datetime.now(UTC))
    window.recovered.tell(take_left())
    window.show()
    window.desk.prepare()
    if folder is not None:
        QTimer.singleShot(0, window, lambda: window.open_folder(folder))
    hook, sys.excepthook = sys.excepthook, lambda _kind, error, _trace: own_up(window, error, note)
    before = signal.signal(signal.SIGINT, lambda _number, _frame: window.close())
    heartbeat = _heartbeat(window)
    try:
        return app.exec()
    finally:
        sys.excepthook = hook
        heartbeat.stop()
        signal.signal(signal.SIGINT, before)
        window.deleteLater()


def own_up(window: MainWindow, error: BaseException, note: Note) -> None:
    """Say in the window that the program itself is at fault, and note how; it goes on."""
    note(error)
    window.desk.tell_fault(error)


def dress(app: QApplication) -> None:
    """Give the application its name, mark and colours."""
    app.setApplicationName("fabsched")
    app.setDesktopFileName("fabsched")
    app.setWindowIcon(QIcon(str(resource("icons/fabsched.svg"))))
    apply_theme(app)


def make_window(now: Clock) -> MainWindow:
    """A window with a pool of its own, which ends with it; no larger than the screen."""
    window = MainWindow(Desk(Background(Pool()), now))
    window.resize(window.size().boundedTo(room(window)))
    return window


def room(window: MainWindow) -> QSize:
    """How large a window can be on its screen, with the frame that is still to come around it."""
    return window.screen().availableSize() - QSize(0, TITLE_PX)


def _heartbeat(window: MainWindow) -> QTimer:
    """Let Python notice Ctrl-C in the terminal: Qt's loop does not return to it by itself."""
    heartbeat = QTimer(window)
    heartbeat.timeout.connect(lambda: None)
    heartbeat.start(HEARTBEAT_MS)
    return heartbeat
