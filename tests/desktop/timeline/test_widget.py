"""The timeline in a window: mouse, wheel, touch and keys."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QHelpEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.plan import Block
from tests.desktop import made
from tests.desktop.hands import click, drag, hover, press, touch

SHOWN = scene(made.weekend(), made.answer())
NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier

RAISE = pytest.mark.qt_log_ignore("This plugin does not support raise")
"""Qt without a screen says so of every tooltip; it is no fault of ours."""


@pytest.fixture
def view(qtbot: QtBot) -> TimelineView:
    """A timeline that shows the weekend."""
    timeline = TimelineView()
    qtbot.addWidget(timeline)
    timeline.resize(1200, 500)
    timeline.set_scene(SHOWN)
    timeline.set_now(made.BEGIN)
    with qtbot.waitExposed(timeline):
        timeline.show()
    return timeline


def middle(view: TimelineView, ident: str) -> QPoint:
    """Where a block is drawn, in pixels of the viewport."""
    block, lane = SHOWN.block(ident), SHOWN.lane_of(ident)
    assert isinstance(block, Block)
    assert lane is not None
    rect = view.frame().lane(lane)
    x = view.scale.x((block.start_s + block.end_s) / 2)
    return QPoint(round(x), round(rect.y + rect.h / 2))


def wheel(view: TimelineView, at: QPointF, turn: QPoint, keys: Qt.KeyboardModifier = NONE) -> None:
    """Turn the wheel over a point."""
    there = QPointF(view.viewport().mapToGlobal(at.toPoint()))
    phase, buttons = Qt.ScrollPhase.NoScrollPhase, Qt.MouseButton.NoButton
    event = QWheelEvent(at, there, QPoint(), turn, buttons, keys, phase, False)
    QApplication.sendEvent(view.viewport(), event)


def test_a_click_selects_the_block_under_it(qtbot: QtBot, view: TimelineView) -> None:
    """Clicking a block selects it and tells so; clicking beside it lets it go."""
    with qtbot.waitSignal(view.selected) as told:
        click(view.viewport(), middle(view, "funnel"))
    assert told.args == ["funnel"]
    assert view.chosen == "funnel"
    assert "Rain funnel" in view.accessibleDescription()
    click(view.viewport(), QPoint(900, 5))
    assert view.chosen == ""


def test_hovering_tells_the_block_and_leaving_takes_it_back(view: TimelineView) -> None:
    """The block under the pointer is announced once, and nothing when there is none."""
    told: list[str] = []
    view.hovered.connect(told.append)
    hover(view.viewport(), middle(view, "louvres"))
    hover(view.viewport(), middle(view, "louvres") + QPoint(3, 0))
    hover(view.viewport(), QPoint(900, 5))
    assert told == ["louvres", ""]


@RAISE
def test_the_tooltip_tells_times_and_reason(view: TimelineView) -> None:
    """Resting on the cut tells when it is and that the workshop was closed before."""
    at = middle(view, "plates")
    QApplication.sendEvent(
        view.viewport(), QHelpEvent(QHelpEvent.Type.ToolTip, at, view.mapToGlobal(at))
    )
    text = QToolTip.text()
    QToolTip.hideText()
    assert "Base plate and back panel" in text
    assert "Sat 10:00" in text
    assert "Harbour workshop is closed until then" in text


@RAISE
def test_the_tooltip_tells_why_hours_are_closed(view: TimelineView) -> None:
    """Resting on a shaded stretch tells what is closed and until when."""
    lane = view.frame().lane(2)
    at = QPoint(round(view.scale.x(made.at(13, 23))), round(lane.y + 8))
    QApplication.sendEvent(
        view.viewport(), QHelpEvent(QHelpEvent.Type.ToolTip, at, view.mapToGlobal(at))
    )
    text = QToolTip.text()
    QToolTip.hideText()
    assert text == "Laser, Harbour workshop: closed, Fri 18:00 \u2013 Sat 10:00"


def test_the_wheel_zooms_around_the_pointer(view: TimelineView) -> None:
    """One notch forward shows less time, and what lies under the pointer stays there."""
    before, at = view.scale, QPointF(800, 200)
    wheel(view, at, QPoint(0, 120))
    assert view.scale.span_s < before.span_s
    assert view.scale.moment_s(800) == pytest.approx(before.moment_s(800), abs=1)
    wheel(view, at, QPoint(0, -120))
    assert view.scale.span_s == pytest.approx(before.span_s)


def test_shift_and_a_sideways_turn_move_in_time(view: TimelineView) -> None:
    """Both move later by the same stretch without zooming."""
    view.zoom(4)
    span_s, start_s = view.scale.span_s, view.scale.start_s
    wheel(view, QPointF(800, 200), QPoint(0, -120), SHIFT)
    first = view.scale.start_s
    assert first > start_s
    wheel(view, QPointF(800, 200), QPoint(-120, 0))
    assert view.scale.start_s - first == pytest.approx(first - start_s)
    assert view.scale.span_s == span_s


def test_dragging_moves_what_is_grabbed_with_the_pointer(view: TimelineView) -> None:
    """What was under the pointer when it went down is under it when it comes up; no selection."""
    view.zoom(4)
    grabbed_s = view.scale.moment_s(600)
    drag(view.viewport(), QPoint(600, 200), QPoint(700, 200))
    assert view.scale.moment_s(700) == pytest.approx(grabbed_s, abs=2)
    assert view.chosen == ""


def test_two_fingers_zoom_around_what_lies_between_them(view: TimelineView) -> None:
    """Spread to nearly twice their distance they show nearly half the time, without a drag."""
    before, device = view.scale, QTest.createTouchDevice()
    left, right = (QPoint(500, 200), QPoint(400, 200)), (QPoint(700, 200), QPoint(800, 200))
    touch(view.viewport(), device, left, right)
    assert view.scale.span_s < 0.6 * before.span_s
    assert view.scale.moment_s(600) == pytest.approx(before.moment_s(600), abs=900)
    assert view.chosen == ""


def test_one_finger_moves_in_time(view: TimelineView) -> None:
    """What was under the finger when it came down is under it when it is lifted."""
    view.zoom(4)
    grabbed_s, device = view.scale.moment_s(600), QTest.createTouchDevice()
    touch(view.viewport(), device, (QPoint(600, 200), QPoint(700, 200)))
    assert view.scale.moment_s(700) == pytest.approx(grabbed_s, abs=2)


def test_a_finger_selects_what_it_touches(view: TimelineView) -> None:
    """A tap is a click."""
    at = middle(view, "funnel")
    touch(view.viewport(), QTest.createTouchDevice(), (at, at))
    assert view.chosen == "funnel"


def test_keys_walk_zoom_move_and_let_go(view: TimelineView) -> None:
    """Arrows select, + and - zoom, Page Down moves, 0 shows everything, Escape lets go."""
    view.setFocus()
    span_s = view.scale.span_s
    for key, chosen in (
        (Qt.Key.Key_Right, "louvres"),
        (Qt.Key.Key_Right, "funnel"),
        (Qt.Key.Key_Down, "spare"),
        (Qt.Key.Key_Left, "feet"),
        (Qt.Key.Key_Escape, ""),
    ):
        press(view, key)
        assert view.chosen == chosen
    press(view, Qt.Key.Key_Plus)
    press(view, Qt.Key.Key_Plus)
    assert view.scale.span_s < span_s
    start_s = view.scale.start_s
    press(view, Qt.Key.Key_PageDown)
    assert view.scale.start_s > start_s
    press(view, Qt.Key.Key_Home)
    assert view.scale.start_s == SHOWN.shown_s[0]
    press(view, Qt.Key.Key_End)
    assert view.scale.start_s < made.DEADLINE < view.scale.end_s
    press(view, Qt.Key.Key_0)
    assert view.scale.span_s == pytest.approx(span_s)


def test_selecting_by_key_brings_the_block_into_view(view: TimelineView) -> None:
    """Zoomed in on Friday, walking to Saturday's run moves the view there."""
    view.setFocus()
    view.zoom(8, view.scale.x(made.BEGIN))
    press(view, Qt.Key.Key_Right)
    press(view, Qt.Key.Key_Right)
    assert view.chosen == "funnel"
    assert view.scale.start_s <= made.at(14, 8, 16) < view.scale.end_s


def test_zooming_ends_at_a_quarter_of_an_hour(view: TimelineView) -> None:
    """However often one zooms in, a quarter of an hour is seen; out, two weeks at most."""
    for _ in range(80):
        view.zoom(2)
    assert view.scale.span_s == 900
    for _ in range(80):
        view.zoom(0.5)
    assert view.scale.span_s == 14 * 86400


def test_the_scroll_bar_follows_and_leads(view: TimelineView) -> None:
    """Showing everything leaves nothing to scroll; zoomed in, the bar moves the view."""
    bar = view.horizontalScrollBar()
    assert bar.maximum() == 0
    view.zoom(4)
    assert bar.maximum() > 0
    bar.setValue(bar.maximum())
    assert view.scale.end_s == pytest.approx(SHOWN.shown_s[1], abs=10)
    bar.setValue(0)
    assert view.scale.start_s == pytest.approx(SHOWN.shown_s[0], abs=10)


def test_a_larger_window_shows_everything_still(qtbot: QtBot, view: TimelineView) -> None:
    """Whoever sees the whole weekend sees it after resizing; whoever zoomed keeps the zoom."""
    view.resize(1500, 500)
    qtbot.waitUntil(lambda: view.viewport().width() == 1500)
    assert view.scale.end_s == pytest.approx(SHOWN.shown_s[1], abs=1)
    view.zoom(4)
    px_s = view.scale.px_s
    view.resize(1100, 500)
    qtbot.waitUntil(lambda: view.viewport().width() == 1100)
    assert view.scale.px_s == pytest.approx(px_s)


def test_low_windows_scroll_the_lanes_over_the_names(view: TimelineView) -> None:
    """Where the lanes do not fit, the wheel over the names scrolls them."""
    view.resize(1200, 220)
    QApplication.processEvents()
    bar = view.verticalScrollBar()
    assert bar.maximum() > 0
    wheel(view, QPointF(20, 150), QPoint(0, -120))
    assert bar.value() > 0


def test_another_plan_keeps_the_view_and_drops_what_is_gone(view: TimelineView) -> None:
    """A new plan does not move the view; a selected block that is gone is let go."""
    view.zoom(3)
    scale = view.scale
    view.select("funnel")
    answer = made.answer()
    view.set_scene(scene(made.weekend(), answer))
    assert view.chosen == "funnel"
    assert view.scale.span_s == scale.span_s
    view.set_scene(None)
    assert view.chosen == ""
    view.grab()


def test_a_plan_out_of_date_is_dulled(view: TimelineView) -> None:
    """The drawing loses contrast while it no longer holds."""
    at = middle(view, "louvres")
    lively = view.grab().toImage().pixelColor(at)
    view.set_stale(stale=True)
    dull = view.grab().toImage().pixelColor(at)
    view.set_stale(stale=False)
    assert view.grab().toImage().pixelColor(at) == lively
    assert dull.saturation() < lively.saturation()
