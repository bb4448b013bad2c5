"""The odds: their page, the sentence that leads there, and the picture at a glance."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from fabsched.desktop.odds.picture import draw_odds
from fabsched.desktop.timeline.look import DARK, LIGHT
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError
from fabsched.model.weekend import Swap, Turn
from fabsched.odds.told import Danger, Decision, Mishap, Setback
from fabsched.schedule.chains import Gain
from fabsched.schedule.isolation import Alone, Isolated
from fabsched.session.foresight_request import BearingRequest, BearingResponse
from fabsched.session.odds_records import OddsTold
from fabsched.session.pool import Failed, Finished
from tests.desktop import made
from tests.desktop.fakes import FakeAsks, FakePool
from tests.desktop.hands import click, press

CTRL = Qt.KeyboardModifier.ControlModifier


def bearing(ident: int) -> BearingResponse:
    """All that bears on the odds of the made-up weekend."""
    told = OddsTold(
        odds=made.answer().odds,
        setbacks=(
            Setback(kind=Mishap.FAILS, id="funnel", cost=0.06, chance=0.14),
            Setback(kind=Mishap.OVERRUNS, id="assemble", cost=0.012, chance=0.5),
            Setback(kind=Mishap.FAULT, id="bench", cost=0.001, chance=0.3),
        ),
        dangers=(Danger(id="funnel", cost=0.07, wrong=0.24, wrong_if_late=0.55),),
        decisions=(Decision(id="funnel", by_s=made.at(14, 14), not_done=0.2, on_time=0.61),),
        outlooks=made.outlooks(),
    )
    swap = Swap(
        id="s",
        kind=Turn.BED,
        name="Feet and cradle",
        out=frozenset({"feet", "cradle"}),
        into=frozenset({"x"}),
    )
    apart = Isolated(
        swap=swap, runs=("feet", "cradle"), code=Alone.RISK, lost_s=3000.0, saved_s=900
    )
    gain = Gain(activity="assemble", quicker_s=1800, sooner_s=5400)
    return BearingResponse(id=ident, told=told, gains=(gain,), isolated=(apart,))


@pytest.fixture
def asked(qtbot: QtBot, planned: MainWindow, pool: FakePool) -> MainWindow:
    """A window on whose page of the odds everything is known."""
    press(planned, Qt.Key.Key_7, CTRL)
    (request,) = pool.of(BearingRequest)
    pool.end(request.id, Finished(request.id, bearing(request.id)))
    qtbot.waitUntil(lambda: planned.deciding.book.found is not None)
    return planned


def test_the_page_is_reached_by_keys_and_asks_once_seen(
    planned: MainWindow, pool: FakePool
) -> None:
    """Only time needed against time left is found out before somebody looks."""
    assert not pool.of(BearingRequest)
    press(planned, Qt.Key.Key_7, CTRL)
    page = planned.deciding.odds
    assert page.isVisible()
    assert len(pool.of(BearingRequest)) == 1
    assert page.stop.isVisible()
    assert page.sentence.text().startswith("You will very likely be done")


def test_everything_is_told(asked: MainWindow) -> None:
    """Setbacks by cost, the most dangerous, decision hours, what moves the finish, what is apart."""
    page = asked.deciding.odds
    assert [label.text() for label in page.costs.labels] == [
        "Rain funnel fails: 14 in 100 weekends",
        "Assemble the station takes longer than likely: 50 in 100 weekends",
    ]
    assert [bar.accessibleName() for bar in page.costs.bars] == ["6 points", "1 point"]
    assert "Most dangerous: Rain funnel" in page.danger.text.text()
    assert "55 in 100 of those that end too late" in page.danger.text.text()
    assert "If Rain funnel is not done by Saturday 14:00" in page.decisions.text.text()
    assert page.gains.text.text().startswith("30 min less for Assemble the station")
    assert "1 h 30 min sooner" in page.gains.text.text()
    assert "Feet (4), Sensor cradle: each on its own" in page.apart.text.text()
    assert not page.stop.isVisible()


def test_a_setback_leads_to_its_block(asked: MainWindow) -> None:
    """One press shows the timeline with the first block of what costs most marked."""
    click(asked.deciding.odds.costs.buttons[0])
    assert asked.plan.timeline.isVisible()
    block = asked.plan.timeline.chosen
    assert block == "funnel.start"


def test_the_sentence_at_the_top_leads_there(planned: MainWindow) -> None:
    """By pointer and by keys; it can be reached with Tab."""
    sentence = planned.headline.odds
    click(sentence)
    assert planned.deciding.odds.isVisible()
    planned.plan.show_lanes()
    assert sentence.focusPolicy() & Qt.FocusPolicy.TabFocus
    sentence.setFocus()
    press(sentence, Qt.Key.Key_Return)
    assert planned.deciding.odds.isVisible()


def test_a_glance_stands_beside_the_sentence(asked: MainWindow) -> None:
    """It shows band and line, and leads to the page."""
    glance = asked.headline.glance
    assert (glance.width(), glance.height()) == (160, 40)
    seen = glance.grab().toImage()
    assert len({seen.pixel(x, 20) for x in range(0, seen.width(), 2)}) > 3
    asked.plan.show_lanes()
    click(glance)
    assert asked.deciding.odds.isVisible()


def test_another_plan_makes_the_old_odds_go(
    qtbot: QtBot, asked: MainWindow, pool: FakePool
) -> None:
    """While it is out of date nothing of them is shown; the new plan is looked into by itself."""
    click(asked.parts.rows.rows["cradle"].remove)
    page = asked.deciding.odds
    assert not page.spread.isVisible()
    assert not page.costs.labels
    qtbot.waitUntil(lambda: bool(pool.held))
    pool.answer(only=type(pool.of(object)[0]))
    qtbot.waitUntil(lambda: len(pool.of(BearingRequest)) == 1)
    assert page.spread.isVisible()


def test_a_fault_is_told_in_place_and_tried_again(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """What went wrong stands on the page, with a button that tries once more."""
    press(planned, Qt.Key.Key_7, CTRL)
    page = planned.deciding.odds
    (request,) = pool.of(BearingRequest)
    error = InputError(Fault.FILE_EMPTY, "parts/lid.stl")
    pool.end(request.id, Failed(request.id, error))
    qtbot.waitUntil(page.trouble.isVisible)
    click(page.again)
    assert len(pool.of(BearingRequest)) == 1
    assert not page.trouble.isVisible()


def test_finding_out_can_be_called_off(planned: MainWindow, pool: FakePool) -> None:
    """Cancel ends the computation; what is seen at a glance stays."""
    press(planned, Qt.Key.Key_7, CTRL)
    click(planned.deciding.odds.stop)
    assert not pool.of(BearingRequest)
    assert planned.headline.glance.isVisible()
    assert planned.deciding.odds.again.isVisible()


def test_a_picture_of_it_can_be_saved(asked: MainWindow, asks: FakeAsks, tmp_path: Path) -> None:
    """The button asks for a file and says where it went."""
    asks.path = tmp_path / "odds.png"
    click(asked.deciding.odds.save)
    assert not QImage(str(asks.path)).isNull()
    assert str(asks.path) in asked.strip.told.text()


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("dark", [False, True])
def test_pictures_are_light_or_dark(tmp_path: Path, planned: MainWindow, dark: bool) -> None:
    """The ground is the scheme's, and setbacks make it higher."""
    assert planned.desk.session is not None
    project = planned.desk.session.project
    heights = []
    for found in (None, bearing(1)):
        path = tmp_path / "odds.png"
        draw_odds(
            project,
            made.weekend(),
            made.answer(),
            path,
            outlooks=made.outlooks(),
            found=found,
            now_s=made.BEGIN,
            dark=dark,
        )
        image = QImage(str(path))
        heights.append(image.height())
        assert image.pixelColor(3, 3) == QColor((DARK if dark else LIGHT).ground)
    assert heights[1] > heights[0] + 40


def test_pictures_are_vectors_as_well(tmp_path: Path, planned: MainWindow) -> None:
    """An SVG holds the sentences as text; any other ending is refused."""
    assert planned.desk.session is not None
    project, path = planned.desk.session.project, tmp_path / "odds.svg"
    weekend, answer = made.weekend(), made.answer()
    draw_odds(project, weekend, answer, path, outlooks=made.outlooks(), now_s=made.BEGIN)
    text = path.read_text("utf-8")
    assert "half by Sun 09:40" in text
    assert "time left" in text
    with pytest.raises(InputError):
        draw_odds(project, weekend, answer, tmp_path / "odds.bmp", now_s=made.BEGIN)
