"""Every page in every size: nothing sticks out, nothing is cut, everything has a name and its turn."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QPushButton, QWidget

from fabsched.desktop.window import MainWindow
from tests.desktop.laid_out import faults, jumps, turns

SIZES = ((1024, 700), (1400, 900), (1920, 1080))


@pytest.mark.parametrize("factor", ["1", "2"])
@pytest.mark.parametrize("tongue", ["en", "de"])
def test_nothing_sticks_out_or_is_cut(
    factor: str, tongue: str, checkout: Path, tmp_path: Path
) -> None:
    """All pages at three sizes, at this scale factor and in this language.

    Every visible widget lies inside its parent, no button or field is lower than its text asks for,
    every tab of the plan can be reached, every control one can focus has a name, and Tab does not go
    back up within a column.
    """
    variables = {"QT_SCALE_FACTOR": factor, "FABSCHED_LANGUAGE": tongue}
    done = subprocess.run(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-m", "tests.desktop.laid_out", str(tmp_path / "station")],
        cwd=checkout,
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.splitlines() == [f"looked at {width} x {high}" for width, high in SIZES], (
        done.stdout + done.stderr
    )
    assert done.returncode == 0, done.stderr


def test_what_is_wrong_is_seen(planned: MainWindow) -> None:
    """The looks above notice a flat button, one pushed out, and one without a name."""
    planned.parts.add.setFixedHeight(4)
    planned.work.add.setFixedSize(planned.work.width() + 50, 30)
    planned.work.add.move(0, 0)
    planned.headline.plan.setText("")
    planned.headline.plan.setAccessibleName("")
    seen = " ".join(faults(planned))
    assert all(text in seen for text in ("is cut", "sticks out", "has no name"))


def test_the_order_of_tab_is_held_against_the_places(planned: MainWindow) -> None:
    """Controls of a column that are reached from below to above are noticed."""
    column = QWidget(planned)
    low, high = QPushButton("low", column), QPushButton("high", column)
    low.move(0, 100)
    column.show()
    assert turns(column) == [low, high]
    assert list(jumps(column))
