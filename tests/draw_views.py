"""Draws every view of the window with the sample project: `python -m tests.draw_views FOLDER`.

The pictures are looked at after a change; the best of them stand in the README. Two scale factors need
two runs: `QT_SCALE_FACTOR=2 python -m tests.draw_views FOLDER`; in German with `FABSCHED_LANGUAGE=de`.
"""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic, sleep

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from fabsched.desktop import theme
from fabsched.desktop.app import dress
from fabsched.desktop.background import Background
from fabsched.desktop.desk import Desk
from fabsched.desktop.translating import speak
from fabsched.desktop.window import MainWindow
from fabsched.session.language import language
from fabsched.session.pool import Pool

SAMPLE = Path(__file__).parent.parent / "sample_projects" / "balcony_station"
NOW = datetime(2027, 3, 5, 17, tzinfo=UTC)
SIZES = ((1400, 900), (1024, 700))
PAGES = (
    "lanes",
    "steps",
    "part",
    "needs",
    "beds",
    "odds",
    "compare",
    "shop",
    "testcut",
    "log",
    "advice",
)
"""Actions that bring a page to the front."""
LATER = timedelta(hours=2)
LATER_PAGES = ("choices", "log", "lanes")
"""Drawn once more after a failure."""
CHOSEN, SHOWN = "funnel", "funnel"
"""The block that is selected, and the part that is shown."""
PATIENCE_S = 180.0
BREATH_S = 0.005
"""So long the threads that draw have the interpreter to themselves."""
SETTLE_S, QUIET = 0.5, 3
"""A page is looked at after so many seconds, and is done when nothing was asked for so many times."""


class Clock:
    """Stands still until it is moved."""

    def __init__(self) -> None:
        """At the beginning."""
        self.moment = NOW

    def __call__(self) -> datetime:
        """What time it is."""
        return self.moment


def live(app: QApplication, seconds: float) -> None:
    """Let the window live for a while."""
    end = monotonic() + seconds
    while monotonic() < end:
        app.processEvents()
        sleep(BREATH_S)


def settle(app: QApplication, background: Background) -> None:
    """Let the window live until nothing is worked out any more."""
    end = monotonic() + PATIENCE_S
    quiet = 0
    while quiet < QUIET and monotonic() < end:
        live(app, SETTLE_S)
        quiet = 0 if background.busy else quiet + 1


def views(
    app: QApplication, window: MainWindow, background: Background
) -> Iterator[tuple[str, MainWindow]]:
    """Every page, each with its name."""
    parts = list(window.parts.rows.rows)
    window.parts.chosen.emit(SHOWN if SHOWN in parts else parts[0])
    for page in PAGES:
        getattr(window.actions_, page).trigger()
        window.plan.timeline.select(CHOSEN)
        settle(app, background)
        if page == "compare":
            window.deciding.compare.go.click()
            settle(app, background)
        yield page, window


def main(folder: Path) -> None:
    """Draw everything into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    app = QApplication([sys.argv[0]])
    dress(app)
    speak(app, language())
    with tempfile.TemporaryDirectory() as work:
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            os.environ[name] = f"{work}/{name}"
        project = Path(shutil.copytree(SAMPLE, f"{work}/station"))
        background = Background(Pool())
        clock = Clock()
        window = MainWindow(Desk(background, clock))
        window.resize(*SIZES[0])
        window.show()
        live(app, SETTLE_S)
        window.grab().save(str(folder / "start.png"))
        window.open_folder(project)
        while window.plan.timeline.scene is None:
            settle(app, background)
        for page, shown in views(app, window, background):
            draw(app, shown, folder / page, background)
        under_way(app, window, background, clock, folder)
        for page in LATER_PAGES:
            getattr(window.actions_, page).trigger()
            draw(app, window, folder / f"later-{page}", background)
        window.close()


def under_way(
    app: QApplication, window: MainWindow, background: Background, clock: Clock, folder: Path
) -> None:
    """Begin the weekend at the bench: the first run is started, and fails after a while."""
    small = window.making.small
    window.actions_.bench.trigger()
    for code in ("say-started", "say-failed"):
        settle(app, background)
        small.grab().save(str(folder / f"bench-{code}.png"))
        next(row for row in small.rows if code in row.buttons).buttons[code].click()
        clock.moment += LATER
    settle(app, background)
    small.close()


def draw(app: QApplication, window: MainWindow, stem: Path, background: Background) -> None:
    """One page, light and dark, in every size."""
    for dark in (False, True):
        app.setPalette(theme.palette(dark=dark))
        for size in SIZES:
            window.resize(*size)
            settle(app, background)
            shade = "dark" if dark else "light"
            window.grab().save(f"{stem}-{shade}-{size[0]}.png")
    app.setPalette(theme.palette(dark=False))
    window.resize(*SIZES[0])


if __name__ == "__main__":
    main(Path(sys.argv[1]))
