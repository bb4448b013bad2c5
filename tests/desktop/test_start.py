"""Starting the program."""

import subprocess
import sys
from pathlib import Path

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
    done = subprocess.run(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-W", "error", "-c", SCRIPT, str(tmp_path / "sample")],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
