"""Opening the window and leaving it again."""

import os
import signal
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from fabsched.desktop.app import TITLE_PX, run
from fabsched.desktop.window import LEAST_PX, MainWindow


def the_window() -> MainWindow:
    """The window that is open."""
    (window,) = (
        widget
        for widget in QApplication.topLevelWidgets()
        if isinstance(widget, MainWindow) and widget.isVisible()
    )
    return window


def test_it_stays_until_it_is_closed_and_opens_the_folder_it_is_given(
    dressed: QApplication, project: Path
) -> None:
    """Started with a project it shows that; closing the window ends it with code 0."""
    names: list[str] = []

    def look_and_close() -> None:
        names.append(the_window().windowTitle())
        the_window().close()

    QTimer.singleShot(50, dressed, look_and_close)
    assert run(project, print) == 0
    assert names == ["Balcony weather station \u2013 fabsched"]


def test_an_interrupt_in_the_terminal_closes_it(dressed: QApplication) -> None:
    """Ctrl-C ends it like closing the window; the handler that was there before comes back."""
    before = signal.getsignal(signal.SIGINT)
    QTimer.singleShot(50, dressed, lambda: os.kill(os.getpid(), signal.SIGINT))
    assert run(None, print) == 0
    assert signal.getsignal(signal.SIGINT) is before


def test_it_opens_no_larger_than_the_screen(dressed: QApplication) -> None:
    """Also where that is lower than the window usually is; its least size is kept."""
    sizes: list[tuple[int, int]] = []

    def look_and_close() -> None:
        window = the_window()
        sizes.append((window.width(), window.height()))
        window.close()

    QTimer.singleShot(50, dressed, look_and_close)
    run(None, print)
    screen = dressed.primaryScreen().availableSize()
    ((width, height),) = sizes
    assert LEAST_PX[0] <= width <= max(screen.width(), LEAST_PX[0])
    assert LEAST_PX[1] <= height <= max(screen.height() - TITLE_PX, LEAST_PX[1])
