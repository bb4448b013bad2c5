"""Starting the program."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = """
import multiprocessing
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from fabsched.desktop.app import dress, make_window
from fabsched.desktop.weekends import copy_sample

HEAVY = {"ortools", "trimesh", "numba", "scipy", "pandas", "manifold3d", "ezdxf"}


def loaded():
    return HEAVY & {name.partition(".")[0] for name in sys.modules}


app = QApplication([])
dress(app)
now = datetime(2027, 3, 1, 12, tzinfo=UTC)
window = make_window(lambda: now)
window.show()
app.processEvents()
assert window.isVisible()
assert not loaded(), f"shown with {loaded()}"

folder = Path(sys.argv[1])
copy_sample(folder, now)
window.open_folder(folder)
assert window.desk.busy
loop = QEventLoop()
QTimer.singleShot(400, loop.quit)
loop.exec()
assert not loaded(), f"working with {loaded()}"
assert multiprocessing.active_children()

window.close()
assert not window.desk.busy
assert not multiprocessing.active_children(), "left a process"
assert threading.active_count() == 1, threading.enumerate()
"""


def test_the_window_and_its_work_leave_heavy_libraries_to_the_pool(
    tmp_path: Path, checkout: Path
) -> None:
    """Shown, with a project open and being worked on, the window's own process has none of them.

    Closing it then ends the work at once and leaves neither process nor thread.
    """
    done = run_script(SCRIPT, checkout, str(tmp_path / "sample"))
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def run_script(script: str, checkout: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a script in a process of its own; warnings are errors."""
    return subprocess.run(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-W", "error", "-c", script, *arguments],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )


FAULTY = """
import sys

from PySide6.QtCore import QTimer

from fabsched.desktop import app

noted, said = [], []
make = app.make_window


def look(window):
    said.append(window.start.trouble.text)
    window.close()


def watched(now):
    window = make(now)
    QTimer.singleShot(0, window, lambda: {}["gone"])
    QTimer.singleShot(100, window, lambda: look(window))
    return window


app.make_window = watched
assert app.run(None, noted.append) == 0
assert [type(error) for error in noted] == [KeyError], noted
assert said[0].startswith("Sorry, this is a fault in fabsched itself"), said
assert sys.excepthook is sys.__excepthook__
"""


def test_a_fault_of_ours_is_owned_up_to_in_the_window(checkout: Path) -> None:
    """It is noted, told in a sentence where one looks, and the window stays open; no traceback."""
    done = run_script(FAULTY, checkout)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="these always have a screen")
def test_without_a_screen_the_window_is_refused_in_a_line(tmp_path: Path, checkout: Path) -> None:
    """As the command line refuses anything: one line, exit code 2."""
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    done = subprocess.run(
        [sys.executable, "-m", "fabsched"],
        env={k: v for k, v in os.environ.items() if k not in hidden}
        | {"PYTHONPATH": str(checkout)},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("fabsched: there is no screen")
    assert done.stderr.count("\n") == 1
