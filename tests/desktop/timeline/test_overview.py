"""The strip that shows the whole: by mouse and keys, and its snapping as numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from fabsched.desktop.timeline.bars import bar_of, start_at
from fabsched.desktop.timeline.geometry import CLOSEST_S, Scale
from fabsched.desktop.timeline.overview import Grip, Overview, View, snapped
from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.units import HOUR_S
from tests.desktop import made
from tests.desktop.hands import click, drag, press

SHOWN = scene(made.weekend(), made.answer())


@pytest.fixture
def view(qtbot: QtBot) -> TimelineView:
    """A timeline that shows the weekend."""
    timeline = TimelineView()
    qtbot.addWidget(timeline)
    timeline.resize(1200, 500)
    return timeline


@pytest.fixture
def strip(qtbot: QtBot, view: TimelineView) -> Overview:
    """A strip under it, joined as in the window."""
    overview = Overview()
    qtbot.addWidget(overview)
    overview.resize(1200, overview.sizeHint().height())
    overview.set_scene(SHOWN)
    overview.set_now(made.BEGIN)
    view.moved.connect(lambda: overview.show_view(view.scale))
    overview.wanted.connect(view.look_at)
    view.set_scene(SHOWN)
    with qtbot.waitExposed(overview):
        overview.show()
    return overview


def at(strip: Overview, moment_s: float) -> QPoint:
    """Where a moment lies in the strip."""
    return QPoint(round(strip.scale().x(moment_s)), 6)


def test_the_strip_follows_the_timeline(view: TimelineView, strip: Overview) -> None:
    """Zooming the timeline narrows the view shown in the strip to the same moments."""
    view.zoom(4.0)
    assert strip.view.start_s == pytest.approx(view.scale.start_s)
    assert strip.view.end_s == pytest.approx(view.scale.end_s)


def test_dragging_the_view_moves_the_timeline(view: TimelineView, strip: Overview) -> None:
    """The timeline moves by what the pointer moves along the strip, and keeps its span."""
    view.look_at(made.at(14, 1, 30), 5 * HOUR_S)
    drag(strip, at(strip, made.at(14, 4)), at(strip, made.at(14, 13)))
    assert view.scale.start_s == pytest.approx(made.at(14, 10, 30), abs=0.5 * HOUR_S)
    assert view.scale.span_s == pytest.approx(5 * HOUR_S)


def test_a_click_beside_the_view_brings_it_there(view: TimelineView, strip: Overview) -> None:
    """The middle of the view comes to lie where the strip was clicked."""
    view.look_at(made.at(13, 18), 4 * HOUR_S)
    click(strip, at(strip, made.at(15, 10)))
    middle_s = view.scale.start_s + view.scale.span_s / 2
    assert middle_s == pytest.approx(made.at(15, 10), abs=0.3 * HOUR_S)


def test_dragging_an_edge_looks_closer_and_snaps_to_midnight(
    view: TimelineView, strip: Overview
) -> None:
    """The held edge moves, the other stays, and near a day's beginning it lies on it."""
    view.look_at(made.at(13, 20), 40 * HOUR_S)
    end_s = view.scale.end_s
    near_px = QPoint(4, 0)
    drag(strip, at(strip, made.at(13, 20)), at(strip, made.at(14, 0)) + near_px)
    assert view.scale.start_s == pytest.approx(made.at(14, 0), abs=2)
    assert view.scale.end_s == pytest.approx(end_s, abs=2)


def test_keys_move_the_view(view: TimelineView, strip: Overview) -> None:
    """End and Home bring the view to either end of the weekend, arrows a little on."""
    view.look_at(made.at(14, 8), 6 * HOUR_S)
    press(strip, Qt.Key.Key_End)
    assert view.scale.end_s == pytest.approx(SHOWN.shown_s[1])
    press(strip, Qt.Key.Key_Home)
    assert view.scale.start_s == pytest.approx(SHOWN.shown_s[0])
    press(strip, Qt.Key.Key_Right)
    assert view.scale.start_s == pytest.approx(SHOWN.shown_s[0] + 0.6 * HOUR_S)


@given(
    grip=st.sampled_from(Grip),
    by_s=st.floats(-1e6, 1e6),
    mark=st.floats(-1e6, 1e6),
    near_s=st.floats(0, 1e4),
)
def test_a_snap_is_small_or_none(grip: Grip, by_s: float, mark: float, near_s: float) -> None:
    """Snapping moves an edge by less than the reach of a mark, and the view stays above its least."""
    moved = View(0.0, 50_000.0).moved(grip, by_s)
    found = snapped(moved, grip, (mark,), near_s)
    for before, after in zip(moved.edges(grip), found.edges(grip), strict=True):
        assert abs(after - before) <= near_s
    assert found.end_s - found.start_s >= CLOSEST_S - 1e-6


@given(start=st.floats(0, 90_000), span=st.floats(900, 100_000))
def test_the_scroll_bar_leads_back_to_the_view(start: float, span: float) -> None:
    """The value of the bar stands for the moment the view starts at, to a step of the bar."""
    scale = Scale(start_s=start, left_px=0, width_px=800, span_s=span).kept_within(0, 100_000)
    found = bar_of(scale, 0, 100_000)
    back = start_at(found.value, scale, 0, 100_000)
    assert back == pytest.approx(scale.start_s, abs=max(1.0, 100_000 / 10_000))
