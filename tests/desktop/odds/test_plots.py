"""Pictures of the odds, by the pixels they set."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtGui import QColor, QFont, QImage, QPainter

from fabsched.desktop.odds.costs import cost_text, draw_cost
from fabsched.desktop.odds.needed import KEY, draw_glance, draw_needed, key_places, most_s
from fabsched.desktop.odds.plot import Plot, inner
from fabsched.desktop.odds.spread import bin_s, draw_spread, span_of
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import LIGHT, Look, sized
from fabsched.model.units import HOUR_S
from fabsched.odds.told import Outlook
from fabsched.session.language import VARIABLE
from fabsched.session.wording import phrase
from tests.desktop import made

pytestmark = pytest.mark.usefixtures("qapp")
WIDE, HIGH = 400, 160


def drawn(draw: Callable[[QPainter, Look, Rect], object]) -> QImage:
    """What is drawn on the ground of the light scheme."""
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(QColor(LIGHT.ground))
    painter = QPainter(image)
    draw(painter, Look(LIGHT, sized(QFont(), 13)), Rect(x=0, y=0, w=WIDE, h=HIGH))
    painter.end()
    return image


def count(image: QImage, test: Callable[[QColor], bool]) -> int:
    """How many pixels pass a test."""
    pixels = ((x, y) for x in range(image.width()) for y in range(image.height()))
    return sum(test(image.pixelColor(x, y)) for x, y in pixels)


def reddish(colour: QColor) -> bool:
    """Whether something is marked as too late."""
    return colour.red() > colour.blue() + 60 and colour.red() > colour.green() + 30


def bluish(colour: QColor) -> bool:
    """Whether it belongs to the band or to bars in time."""
    return colour.blue() > colour.red() + 30


def course(needed_h: float, spread_h: float = 4.0) -> tuple[Outlook, ...]:
    """A weekend of two days in which so much is needed at the beginning."""
    return tuple(
        Outlook(
            moment_s=step * 12 * HOUR_S,
            left_s=(48 - 12 * step) * HOUR_S,
            p10_s=max(0, round((needed_h - spread_h - 12 * step) * HOUR_S)),
            p50_s=max(0, round((needed_h - 12 * step) * HOUR_S)),
            p90_s=max(0, round((needed_h + spread_h - 12 * step) * HOUR_S)),
            on_time=1.0,
        )
        for step in range(5)
    )


def test_only_what_exceeds_the_time_left_is_marked_late() -> None:
    """A band below the line has no mark; one above it has; the more, the later."""
    marked = [
        count(drawn(lambda p, look, rect, h=h: draw_glance(p, look, rect, course(h), 0)), reddish)  # type: ignore[misc]  # bound here
        for h in (30.0, 46.0, 52.0)
    ]
    assert marked[0] == 0 < marked[1] < marked[2]


def test_the_now_line_moves() -> None:
    """Two moments give two pictures."""
    seen = [
        drawn(lambda p, look, rect, s=s: draw_glance(p, look, rect, course(30), s * HOUR_S))  # type: ignore[misc]  # bound here
        for s in (6, 30)
    ]
    assert seen[0] != seen[1]


def test_nothing_is_drawn_of_less_than_two_moments() -> None:
    """The ground stays as it was."""
    for outlooks in ((), course(30)[:1]):
        image = drawn(
            lambda p, look, rect, o=outlooks: draw_needed(p, look, rect, o, 0, made.ZONE)  # type: ignore[misc]  # bound here
        )
        assert count(image, lambda colour: colour != QColor(LIGHT.ground)) == 0


@pytest.mark.parametrize("right", [150, 280, 400, 900])
def test_the_key_names_everything_at_any_width(right: int) -> None:
    """What has no room in a row stands in the next, from the left again; nothing is left out."""
    look = Look(LIGHT, sized(QFont(), 13))
    places = key_places(look, 40.0, right)
    assert len(places) == len(KEY)
    assert sorted(places, key=lambda place: (place[1], place[0])) == places
    for code, (x, _row) in zip(KEY, places, strict=True):
        assert x == 40.0 or x + look.small.width(phrase(code)) <= right
    assert (places[-1][1] == 0) == (right == 900)


def test_what_is_never_done_lies_above_everything() -> None:
    """A 90 % point that is not reached is late, and does not press the rest flat."""
    never = tuple(replace(each, p90_s=None) for each in course(30))
    image = drawn(lambda p, look, rect: draw_glance(p, look, rect, never, 0))
    assert count(image, reddish) > 0
    assert most_s(never) == most_s(course(30, spread_h=0.0))


def test_bars_after_the_deadline_look_otherwise() -> None:
    """All in time: no late bars; the deadline put forward: some."""
    odds = made.answer().odds
    last = odds.finishes_s[-1][0] + bin_s(odds.finishes_s)
    for deadline_s, late in ((last, False), (made.DEADLINE, True)):
        image = drawn(
            lambda p, look, rect, d=deadline_s: draw_spread(p, look, rect, odds, d, made.ZONE)  # type: ignore[misc]  # bound here
        )
        assert (count(image, reddish) > 0) is late
        assert count(image, bluish) > 0


def test_the_picture_holds_deadline_and_nearly_all_finishes() -> None:
    """From before the first finish to after the deadline; a long tail is cut off."""
    odds = made.answer().odds
    start_s, end_s = span_of(odds, made.DEADLINE)
    assert start_s < odds.finishes_s[0][0]
    assert end_s > made.DEADLINE
    lonely = replace(odds, finishes_s=(*odds.finishes_s, (made.DEADLINE + 900 * HOUR_S, 1)))
    assert span_of(lonely, made.DEADLINE)[1] < made.DEADLINE + 100 * HOUR_S
    assert span_of(replace(odds, finishes_s=()), made.DEADLINE)[0] < made.DEADLINE


def test_bars_are_as_long_as_they_cost() -> None:
    """Half the cost, half the bar; a cost below nothing has none to speak of."""
    areas = [
        count(drawn(lambda p, look, rect, c=c: draw_cost(p, look, rect, c, 0.08)), reddish)  # type: ignore[misc]  # bound here
        for c in (0.08, 0.04, -0.01)
    ]
    assert areas[0] == pytest.approx(2 * areas[1], rel=0.05)
    assert areas[2] < areas[1] / 10
    assert cost_text(0.01) == "1 point"


@pytest.mark.parametrize("shift_h", range(0, 24, 3))
def test_no_mark_of_an_hour_is_cut_off_at_an_edge(shift_h: int) -> None:
    """A text with no room at the left or right edge is left out: the outermost pixels stay bare."""
    start_s = made.BEGIN + shift_h * HOUR_S

    def draw(painter: QPainter, look: Look, rect: Rect) -> None:
        area = inner(rect, look)
        end_s = start_s + 48 * HOUR_S
        plot = Plot(
            painter=painter, look=look, area=area, start_s=start_s, end_s=end_s, zone=made.ZONE
        )
        plot.draw_hours()

    image = drawn(draw)
    ground = QColor(LIGHT.ground)
    edge = [image.pixelColor(x, y) for x in (0, WIDE - 1) for y in range(HIGH)]
    assert all(colour == ground for colour in edge)
    assert count(image, lambda colour: colour != ground) > WIDE


@pytest.mark.parametrize("code", ["en", "de"])
def test_the_number_behind_the_longest_bar_is_whole(
    code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All hundred points stand in a narrow bar, in every language: nothing reaches its right edge."""
    monkeypatch.setenv(VARIABLE, code)
    narrow = 150

    def draw(painter: QPainter, look: Look, rect: Rect) -> None:
        painter.setClipRect(0, 0, narrow, HIGH)
        draw_cost(painter, look, replace(rect, w=narrow), 1.0, 1.0)

    image = drawn(draw)
    ground = QColor(LIGHT.ground)
    edge = image.copy(narrow - 2, 0, 2, HIGH)
    assert count(edge, lambda colour: colour != ground) == 0
    assert count(image.copy(narrow - 30, 0, 28, HIGH), lambda colour: colour != ground) > 0
