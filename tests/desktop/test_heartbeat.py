"""The window goes on while large files are taken in and shown: its loop never stops coming round.

How long it may be kept at most is held in `tests/benchmarks/test_window_speed.py`.
"""

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.solid.view import SolidView
from fabsched.desktop.window import MainWindow
from fabsched.estimate.coarse import coarsened
from fabsched.files.parts import read_part
from fabsched.model.shapes import Drawing, Mesh
from tests.desktop.fakes import FakePool
from tests.desktop.heartbeat import Beats, beats_until, lines, ring

PATIENCE_S = 60.0


def test_beats_are_counted_and_what_keeps_them_is_measured(
    qtbot: QtBot, qapp: QApplication
) -> None:
    """A loop that is kept busy for a while says so, whatever else runs on the machine."""
    beats = Beats()
    for _ in range(3):
        beats.beat()
    assert beats.count == 3
    quiet = beats.longest_s
    sum(range(3_000_000))
    beats.beat()
    assert beats.longest_s > quiet
    steady = beats_until(lambda: qtbot is not None, qapp, PATIENCE_S)
    assert steady.count >= 1


def test_large_files_are_shown_while_the_loop_beats(
    planned: MainWindow, pool: FakePool, tmp_path: Path
) -> None:
    """A solid of 80,000 triangles and a drawing of 4,000 lines appear; meanwhile beats are counted."""
    solid, flat = tmp_path / "ring.stl", lines(tmp_path / "circle.dxf", 4000)
    assert ring(solid, 200) == 80_000
    session = planned.desk.session
    assert session is not None
    pool.looks |= {"ring": shape_of(solid), "circle": shape_of(flat)}
    planned.desk.add_files([solid, flat])
    view = planned.part.view
    for ident in ("ring", "circle"):
        planned.show_part(ident)
        beats = beats_until(partial(is_shown, view, pool.looks[ident]), planned, PATIENCE_S)
        assert beats.count >= 2


def is_shown(view: SolidView, shape: Mesh | Drawing) -> bool:
    """Whether a shape is seen: something of it is drawn in the middle row of the view."""
    if view.shape is not shape:
        return False
    seen = view.grab().toImage()
    row = seen.height() // 2
    ground = seen.pixel(2, 2)
    return any(seen.pixel(x, row) != ground for x in range(2, seen.width() - 2))


def shape_of(path: Path) -> Mesh | Drawing:
    """What a file looks like, read as a worker would."""
    unit = "mm"
    shape, _ = read_part(path, unit)
    assert isinstance(shape, Mesh | Drawing)
    return coarsened(shape, 40_000) if isinstance(shape, Mesh) else shape
