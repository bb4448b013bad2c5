"""What was foretold against what happened, on the page of the odds: pixels, words and keys."""

from collections.abc import Sequence

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QImage, QPainter

from fabsched.desktop.odds.judged import COLOURS, draw_judged, square
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import DARK, LIGHT, Look, mixed, sized
from fabsched.desktop.window import MainWindow
from fabsched.model.experience import Seen, WorkSeen
from fabsched.session.experience import Experiences
from fabsched.session.foresight_request import BearingRequest
from fabsched.session.judged_records import Timed, Times, Verdict
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, press
from tests.session.judged_seen import several

WIDE, HIGH = 420, 240
CTRL = Qt.KeyboardModifier.ControlModifier


def drawn(times: Sequence[Times], looks: Look) -> QImage:
    """The plot on the ground of a scheme."""
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(QColor(looks.scheme.ground))
    painter = QPainter(image)
    draw_judged(painter, looks, Rect(x=0, y=0, w=WIDE, h=HIGH), times)
    painter.end()
    return image


def one(sort: Timed, *points: tuple[float, float]) -> Times:
    """Times of a sort at these places."""
    return Times(sort=sort, points=points, inside=0, longer=0, verdict=Verdict.FEW)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("scheme", [LIGHT, DARK])
@pytest.mark.parametrize("sort", [*Timed])
def test_marks_lie_where_they_should(scheme: object, sort: Timed) -> None:
    """In the middle of a mark is its colour, in both schemes; nowhere else in that corner is any."""
    looks = Look(DARK if scheme is DARK else LIGHT, sized(QFont(), 13))
    image = drawn([one(sort, (0.3, 0.7))], looks)
    area = square(Rect(x=0, y=0, w=WIDE, h=HIGH), looks)
    x, y = round(area.x + 0.3 * area.w), round(area.bottom - 0.7 * area.h)
    colour = mixed(QColor(COLOURS[sort]), QColor("#FFFFFF"), looks.scheme.lift)
    assert image.pixelColor(x, y) == colour
    assert image.pixelColor(x + 14, y) == QColor(looks.scheme.lane)


@pytest.mark.usefixtures("qapp")
def test_sorts_differ_without_colour() -> None:
    """Each sort has a shape of its own: in grey no two pictures are alike."""
    looks = Look(LIGHT, sized(QFont(), 13))
    grey = [
        drawn([one(sort, (0.5, 0.5))], looks).convertToFormat(QImage.Format.Format_Mono)
        for sort in Timed
    ]
    assert grey[0] != grey[1] != grey[2] != grey[0]


@pytest.fixture
def knowing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A user whose log has taught something."""
    seen: tuple[Seen, ...] = several()
    monkeypatch.setattr(Experiences, "seen", property(lambda _self: seen))


def test_nothing_finished_yet_is_told(planned: MainWindow) -> None:
    """A fresh user reads that there is nothing to judge, and sees no empty plot."""
    press(planned, Qt.Key.Key_7, CTRL)
    chapter = planned.deciding.odds.judged
    assert chapter.isVisible()
    assert not chapter.view.isVisible()
    assert not chapter.reading.isVisible()
    assert chapter.told.text().startswith("Nothing that was foretold has been finished yet")
    assert chapter.learnt.text().startswith("Nothing has been learnt yet")


@pytest.mark.usefixtures("knowing")
def test_the_page_shows_how_right_it_was(planned: MainWindow) -> None:
    """Plot, score and its reference, and how many it rests on; all of it without a pointer."""
    press(planned, Qt.Key.Key_7, CTRL)
    chapter = planned.deciding.odds.judged
    assert chapter.view.isVisible()
    assert "left of the line it took less" in chapter.reading.text()
    told = chapter.told.text()
    assert "Prints: 8 of 10" in told
    assert "Brier score 0.18" in told
    assert "Resting on 2" in told
    assert "solder" in chapter.learnt.text()
    assert chapter.lessons.known.texts == [
        "PLA (10 logged)",
        "Printer (10 logged)",
        "solder (6 logged)",
    ]
    assert chapter.view.accessibleDescription() == told
    assert chapter.view.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert chapter.told.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_what_was_learnt_is_left_out_and_counted_again(planned: MainWindow) -> None:
    """One button takes a kind of work out, and the plan is asked for anew; the one in its place undoes it."""
    session = planned.deciding.odds._desk.session
    assert session is not None
    seen = [one for one in several() if isinstance(one, WorkSeen)]
    session.experiences._changed(session.experiences._file.sync("log/", seen))
    press(planned, Qt.Key.Key_7, CTRL)
    lessons = planned.deciding.odds.judged.lessons
    (button,) = lessons.known.buttons
    assert "solder" in button.toolTip()
    click(button)
    assert session.experiences.seen == ()
    assert not session.answer_is_current
    assert not lessons.known.isVisible()
    click(lessons.out.buttons[0])
    assert session.experiences.seen == tuple(seen)
    assert lessons.known.texts == ["solder (6 logged)"]


def test_buttons_stay_as_small_as_they_are(planned: MainWindow, pool: FakePool) -> None:
    """With nothing being found out the button for a picture does not take the whole line."""
    press(planned, Qt.Key.Key_7, CTRL)
    page = planned.deciding.odds
    assert pool.of(BearingRequest)
    click(page.stop)
    assert not page.stage.isVisible()
    assert page.save.width() < page.width() / 2
    assert page.save.geometry().right() > page.width() / 2


@pytest.mark.usefixtures("knowing")
def test_points_can_be_copied(planned: MainWindow) -> None:
    """The key for copying takes the points with their heads."""
    press(planned, Qt.Key.Key_7, CTRL)
    view = planned.deciding.odds.judged.view
    view.setFocus()
    press(view, Qt.Key.Key_C, CTRL)
    rows = QGuiApplication.clipboard().text().splitlines()
    assert rows[0].split("\t") == ["", "foretold", "seen"]
    assert len(rows) == 1 + 16
    assert rows[1].startswith("prints\t0.0")
