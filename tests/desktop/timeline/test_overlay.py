"""What is drawn over the timeline for the block that is looked at."""

from dataclasses import replace

import pytest
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.marks import flag_rects, latest_rect
from fabsched.desktop.timeline.scene import Scene, scene
from fabsched.desktop.timeline.widget import TimelineView
from tests.desktop import made
from tests.desktop.hands import hover
from tests.desktop.timeline.test_widget import middle

RUN, LATER = "funnel", "assemble#1"


def shown() -> Scene:
    """The weekend, with a block that waits for a print and may start two hours later."""
    answer = made.answer()
    blocks = tuple(
        replace(block, needs=(RUN,), last_start_s=block.start_s + 7200)
        if block.id == LATER
        else block
        for block in answer.course.blocks
    )
    return scene(made.weekend(), replace(answer, course=replace(answer.course, blocks=blocks)))


@pytest.fixture
def view(qtbot: QtBot) -> TimelineView:
    """A timeline of it."""
    timeline = TimelineView()
    qtbot.addWidget(timeline)
    timeline.resize(1200, 500)
    timeline.set_scene(shown())
    with qtbot.waitExposed(timeline):
        timeline.show()
    return timeline


def picture(view: TimelineView) -> QImage:
    """What is seen."""
    return view.viewport().grab().toImage()


def changed(one: QImage, other: QImage, left: float, right: float, top: float, low: float) -> int:
    """How many points of a rectangle differ."""
    ratio = one.devicePixelRatio()
    xs = range(int(left * ratio), int(right * ratio))
    ys = range(int(top * ratio), int(low * ratio))
    return sum(one.pixel(x, y) != other.pixel(x, y) for x in xs for y in ys)


def test_what_a_block_waits_for_is_joined_to_it_under_the_pointer(view: TimelineView) -> None:
    """A curve comes from the end of the print to the work while the pointer is on the work."""
    before = picture(view)
    hover(view.viewport(), middle(view, LATER))
    after = picture(view)
    frame, scene_ = view.frame(), view.scene
    assert scene_ is not None
    source, target = scene_.block(RUN), scene_.block(LATER)
    assert source is not None
    assert target is not None
    x = (view.scale.x(source.end_s) + view.scale.x(target.start_s)) / 2
    top, low = frame.slot(0).y, frame.slot(scene_.lane_of(LATER) or 0).bottom
    assert changed(before, after, x - 1, x + 1, top, low) > 0
    hover(view.viewport(), middle(view, "louvres"))
    assert changed(before, picture(view), x - 1, x + 1, top, low) == 0


def test_the_latest_start_is_marked(view: TimelineView) -> None:
    """A post stands where the latest start is while the block is selected."""
    before = picture(view)
    view.select(LATER)
    scene_ = view.scene
    assert scene_ is not None
    block, lane = scene_.block(LATER), scene_.lane_of(LATER)
    assert block is not None
    assert lane is not None
    assert block.last_start_s is not None
    x, slot = view.scale.x(block.last_start_s), view.frame().slot(lane)
    assert changed(before, picture(view), x - 2, x + 2, slot.y, slot.bottom) > slot.h / 2


def test_its_flag_covers_nothing_in_the_lanes(view: TimelineView) -> None:
    """Beside the post the lane looks as before; what it says stands above all lanes."""
    before = picture(view)
    view.select(LATER)
    after = picture(view)
    scene_, frame = view.scene, view.frame()
    assert scene_ is not None
    block, lane = scene_.block(LATER), scene_.lane_of(LATER)
    assert block is not None
    assert lane is not None
    assert block.last_start_s is not None
    x, rail = view.scale.x(block.last_start_s), frame.lane(lane)
    assert changed(before, after, x + 3, x + 150, frame.slot(lane).bottom + 4, rail.bottom) == 0
    assert changed(before, after, x - 150, x + 150, 0, frame.sizes.scale) > 100


@pytest.mark.parametrize("minutes", range(-600, 900, 75))
def test_flags_do_not_lie_on_one_another(view: TimelineView, minutes: int) -> None:
    """However near the post is to the present or the deadline, each flag can be read."""
    look = view.look_now()
    assert look is not None
    canvas = look.canvas(QPainter())
    for mark_s in (canvas.now_s, canvas.scene.deadline_s):
        x = canvas.scale.x(mark_s + 60 * minutes)
        found = latest_rect(canvas, x, "latest Sunday 20:15")
        assert canvas.scale.left_px <= found.left()
        assert found.right() <= canvas.scale.right_px
        assert not any(found.intersects(other) for other in flag_rects(canvas))
