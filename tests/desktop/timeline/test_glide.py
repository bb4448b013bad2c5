"""Stand-ins for the timeline while it moves: where things lie, and that rest makes them exact."""

from dataclasses import replace

import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.canvas import scene_sizes
from fabsched.desktop.timeline.easel import REST_MS
from fabsched.desktop.timeline.geometry import Frame, Scale
from fabsched.desktop.timeline.glide import Drawing, View
from fabsched.desktop.timeline.look import LIGHT, Look, sized
from fabsched.desktop.timeline.scene import Scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.units import HOUR_S
from tests.desktop import made
from tests.desktop.timeline.crowded import crowded

WIDTH, HEIGHT = 900, 420


@pytest.fixture(scope="module")
def shown() -> Scene:
    """A thousand blocks."""
    return crowded(1000)


@pytest.fixture
def view(qtbot: QtBot, shown: Scene) -> View:
    """A day of them."""
    del qtbot
    look = Look(LIGHT, sized(TimelineView().font(), 12))
    frame = Frame(sizes=scene_sizes(shown, look), lanes=len(shown.lanes), width_px=WIDTH)
    left = frame.sizes.gutter
    scale = Scale(
        start_s=made.BEGIN + 8 * HOUR_S, left_px=left, width_px=WIDTH - left, span_s=12 * HOUR_S
    )
    return View(
        scene=shown,
        frame=frame,
        scale=scale,
        look=look,
        now_s=made.BEGIN,
        size_px=(WIDTH, HEIGHT),
    )


def fine(drawing: Drawing, view: View) -> QImage:
    """A view drawn to the end."""
    while not drawing.ink(view):
        pass
    return drawing.shown(view).toImage()


def at_once(drawing: Drawing, view: View) -> QImage:
    """What is shown of a view at once."""
    return drawing.shown(view).toImage()


def afresh(view: View) -> QImage:
    """The view drawn finely by a drawing that knows no other."""
    return fine(Drawing(), view)


def alike(view: View, one: QImage, other: QImage, left: int, right: int) -> float:
    """The share of pixels between two x that are the same, where blocks lie."""
    slots = [view.frame.slot(lane) for lane in range(view.frame.lanes)]
    rows = [y for slot in slots for y in range(round(slot.y), round(slot.bottom), 3)]
    columns = range(left, right, 2)
    same = sum(one.pixel(x, y) == other.pixel(x, y) for y in rows for x in columns)
    return same / (len(rows) * len(columns))


def test_at_rest_it_is_the_drawing_itself(view: View) -> None:
    """After any movement, rest shows what a fresh drawing shows, to the pixel."""
    drawing = Drawing()
    fine(drawing, view)
    for scale in (view.scale.moved(37), view.scale.zoomed(1.3, 400), view.scale.zoomed(0.7, 500)):
        there = replace(view, scale=scale)
        at_once(drawing, there)
        assert fine(drawing, there) == afresh(there)


@pytest.mark.parametrize("px", [42, -42, 174, -174])
def test_moved_in_time_everything_lies_where_it_belongs(view: View, px: int) -> None:
    """Moved by whole pixels and hatchings, what was seen before is the same but for labels at the edges."""
    drawing = Drawing()
    fine(drawing, view)
    there = replace(view, scale=view.scale.moved(px))
    moving, full = at_once(drawing, there), afresh(there)
    left, right = round(view.scale.left_px), WIDTH
    assert alike(view, moving, full, left + abs(px) + 30, right - abs(px) - 30) > 0.985
    assert alike(view, moving, full, left, right) > 0.9


def test_many_small_steps_do_not_drift(view: View) -> None:
    """After a hundred steps of 1.7 pixels blocks lie where one long step would have put them."""
    drawing, there = Drawing(), view
    moving = fine(drawing, view)
    for _ in range(100):
        there = replace(there, scale=there.scale.moved(1.7))
        moving = at_once(drawing, there)
    full = afresh(there)
    best = max(
        alike(view, moving.copy(shift, 0, WIDTH - 2, HEIGHT), full, 150, WIDTH - 300)
        for shift in (0, 1)
    )
    assert best > 0.8


def test_names_and_hours_are_never_stretched(view: View) -> None:
    """What lies beside and above the lanes is exact in a stand-in too."""
    drawing = Drawing()
    fine(drawing, view)
    there = replace(view, scale=view.scale.zoomed(1.4, 500))
    moving, full = at_once(drawing, there), afresh(there)
    gutter, head = round(view.scale.left_px) - 2, round(view.frame.sizes.scale) - 12
    assert moving.copy(0, 0, gutter, HEIGHT) == full.copy(0, 0, gutter, HEIGHT)
    assert moving.copy(0, 0, WIDTH, head) == full.copy(0, 0, WIDTH, head)


def test_few_blocks_are_always_drawn_in_full(view: View) -> None:
    """A weekend of ordinary size needs no stand-in."""
    few = replace(view, scene=crowded(100))
    drawing = Drawing()
    fine(drawing, few)
    there = replace(few, scale=few.scale.zoomed(1.4, 500))
    assert at_once(drawing, there) == afresh(there)


def test_far_away_all_of_it_is_rough_at_first(view: View) -> None:
    """Where most of the view was not seen before, it is as it is for who knows no other view."""
    drawing = Drawing()
    fine(drawing, view)
    there = replace(view, scale=view.scale.moved(0.8 * WIDTH))
    assert at_once(drawing, there) == at_once(Drawing(), there) != afresh(there)


def test_another_view_ends_a_fine_drawing_that_was_begun(view: View) -> None:
    """Half drawn, it is left; the next is whole."""
    drawing, there = Drawing(), replace(view, scale=view.scale.moved(60))
    assert not drawing.ink(view)
    assert not drawing.is_fine(view)
    at_once(drawing, there)
    assert fine(drawing, there) == afresh(there)


def test_the_window_is_exact_soon_after_it_moved(qtbot: QtBot, shown: Scene) -> None:
    """A short rest after the last step of a zoom, the widget shows the full drawing."""
    timeline, other = TimelineView(), TimelineView()
    for each in (timeline, other):
        qtbot.addWidget(each)
        each.resize(WIDTH, HEIGHT)
        each.set_scene(shown)
        each.set_now(made.BEGIN)
        with qtbot.waitExposed(each):
            each.show()
    timeline.zoom(4)
    timeline.viewport().grab()
    timeline.zoom(1.2)
    other.look_at(timeline.scale.start_s, timeline.scale.span_s)
    rough = timeline.viewport().grab().toImage()

    def exact() -> None:
        assert timeline.viewport().grab().toImage() == other.viewport().grab().toImage() != rough

    qtbot.waitUntil(exact, timeout=100 * REST_MS)
