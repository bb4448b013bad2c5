"""The whole way through the window, with nothing faked: files, estimates, plan, processes."""

import struct
from collections.abc import Iterator
from datetime import datetime
from itertools import product
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.background import Background
from fabsched.desktop.desk import Desk
from fabsched.desktop.window import MainWindow
from fabsched.model.plan import Kind
from fabsched.session.pool import Pool
from tests.desktop.fakes import FakeAsks, drop
from tests.desktop.hands import click, write

NOW = datetime(2027, 3, 5, 17, tzinfo=ZoneInfo("UTC"))
PATIENCE_MS = 120_000
"""Longer than the slowest machine needs; the test waits no longer than the work takes."""

FACES = (
    (0, 2, 3), (0, 3, 1), (4, 5, 7), (4, 7, 6), (0, 1, 5), (0, 5, 4),
    (2, 6, 7), (2, 7, 3), (0, 4, 6), (0, 6, 2), (1, 3, 7), (1, 7, 5),
)  # fmt: skip
"""The sides of a block in triangles, counter-clockwise from outside; corner 4 z + 2 y + x."""


def block_stl(x: float, y: float, z: float) -> bytes:
    """A block as a binary STL file."""
    corners = [(a * x, b * y, c * z) for c, b, a in product((0, 1), repeat=3)]
    body = b"".join(
        struct.pack("<12fH", 0, 0, 0, *(v for corner in face for v in corners[corner]), 0)
        for face in FACES
    )
    return bytes(80) + struct.pack("<I", len(FACES)) + body


@pytest.fixture
def window(qtbot: QtBot, dressed: QApplication, asks: FakeAsks) -> Iterator[MainWindow]:
    """An open window over a real pool."""
    desk = Desk(Background(Pool(workers=2)), lambda: NOW, dressed)
    made_window = MainWindow(desk, asks)
    qtbot.addWidget(made_window)
    with qtbot.waitExposed(made_window):
        made_window.show()
    yield made_window
    made_window.close()


def test_from_a_dropped_file_to_a_plan_and_on(
    qtbot: QtBot, window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """A block is dropped on the empty window, estimated, planned; work is added, and planned too.

    The block holds 20 x 20 x 8 mm = 3200 mm3 of solid; a bad file beside it is told at the list.
    """
    good, bad = tmp_path / "block.stl", tmp_path / "cut-short.stl"
    good.write_bytes(block_stl(20, 20, 8))
    bad.write_bytes(good.read_bytes()[:-70])
    asks.path = tmp_path / "project"
    assert drop(window, window.start, [good])
    session = window.desk.session
    assert session is not None
    qtbot.waitUntil(lambda: session.answer is not None, timeout=PATIENCE_MS)
    (estimate,) = session.estimates["block"].values()
    assert estimate.volume_mm3 == pytest.approx(3200, rel=1e-6)
    assert "min" in window.parts.rows.rows["block"].time.text()
    assert "simulated weekends are done by Sunday 21:00" in window.headline.odds.text()
    shown = window.plan.timeline.scene
    assert shown is not None
    runs = [b for lane in shown.lanes for b in lane.blocks if b.kind is Kind.RUN]
    assert len(runs) == 1

    click(window.work.add)
    write(window.work.form.name, "Sand the block")
    click(window.work.form.keep)
    drop(window, window.plan, [bad])
    qtbot.waitUntil(lambda: "cut-short" in session.problems, timeout=PATIENCE_MS)
    qtbot.waitUntil(lambda: not window.desk.busy, timeout=PATIENCE_MS)
    assert "the file ends early" in window.parts.rows.rows["cut-short"].errors.texts[0]
    assert "this cannot be made: " in window.plan.trouble.text
    click(window.parts.rows.rows["cut-short"].remove)
    qtbot.waitUntil(lambda: session.answer_is_current, timeout=PATIENCE_MS)
    shown = window.plan.timeline.scene
    assert shown is not None
    assert shown.block("sand-the-block") is not None


def test_closing_while_planning_leaves_no_process(
    qtbot: QtBot, window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """The window closes at once; what all tests share then finds nothing left running."""
    good = tmp_path / "block.stl"
    good.write_bytes(block_stl(60, 40, 30))
    asks.path = tmp_path / "project"
    drop(window, window.start, [good])
    assert window.desk.busy
    qtbot.wait(150)
    window.close()
    assert not window.isVisible()
    assert not window.desk.busy
