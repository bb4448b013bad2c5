"""Ways to make a part side by side, by real clicks and keys."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from fabsched.desktop.compare.bodies import joined
from fabsched.desktop.compare.page import ComparePage
from fabsched.desktop.compare.words import plate_lines, way_rows
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.project import Part, Work
from fabsched.model.spread import Spread
from fabsched.session.plates_request import PlatesRequest, PlatesResponse
from fabsched.session.pool import Failed, Finished
from fabsched.session.project_session import Session
from fabsched.session.way_records import Altered, Body, Figures, Miss, Sag, ShownWay, WaysResponse
from fabsched.session.ways import WaysRequest
from tests.desktop import shapes
from tests.desktop.conftest import finish
from tests.desktop.fakes import SVG, FakeAsks, FakePool
from tests.desktop.hands import click, press, write

FIGURES = Figures(
    printing_s=7080.0,
    cutting_s=0.0,
    hands_s=900,
    mass_g=51.0,
    sheet_mm2=0.0,
    cost=1.11,
    trips=1,
    warp="medium",
    fails=0.06,
    lost_mean_s=4440.0,
    lost_p90_s=7260.0,
    lost_s=300.0,
)
WHOLE = ShownWay(pick=(), on_time=0.57, standard_error=0.006, figures=FIGURES)


def plates() -> ShownWay:
    """A way with one plate and one piece."""
    plate = Part(
        id="cradle_plate1",
        name="Cradle plate",
        file="parts/cradle_plate1.svg",
        route=Route.CUT,
        material="plywood",
        thickness_mm=3.0,
    )
    piece = Part(
        id="cradle_piece1",
        name="Cradle piece",
        file="parts/cradle_piece1.stl",
        route=Route.PRINT,
        material="PLA",
    )
    fit = Work(
        id="cradle_fit",
        name="Fit the cradle",
        minutes=Spread(5, 8, 15),
        after=("cradle_plate1", "cradle_piece1"),
    )
    wedge = shapes.wedge()
    return ShownWay(
        pick=(0,),
        on_time=0.63,
        standard_error=0.006,
        figures=FIGURES,
        sags=(Sag(plate=1, sag_mm=0.42, bosses=((20.0, 30.0, 0.1),)),),
        press_n=10.0,
        parted_by=(1,),
        screws=(("M3 x 10", 4),),
        bodies=(
            Body(label="1", mesh=wedge, colour=(0, 0, 1)),
            Body(label="a", mesh=wedge, colour=(1, 0, 0)),
        ),
        parts=(plate, piece),
        works=(fit,),
        own_files={plate.file: SVG, piece.file: b"solid x\nendsolid x\n"},
        files={"cradle_plate1.svg": SVG, "joints.csv": b"plate,piece\n"},
    )


HINDERED = ShownWay(pick=(1,), hindered=InputError(Fault.NO_PLATES, "parts/cradle.stl"))


def response(ident: int) -> WaysResponse:
    """Three ways: whole, with a plate, and one that cannot be made."""
    return WaysResponse(
        id=ident,
        part="cradle",
        ways=(WHOLE, plates(), HINDERED),
        plates=((3.0, 12942.0),),
        misses=(Miss(area_mm2=800.0, code="lattice", facts={"share": "60%", "web": 0.8}),),
        best=1,
        code="surer",
        facts={"plates": "1", "chance": 0.63, "other": 0.57, "lost": 1.2, "other_lost": 2.0},
    )


def session_of(window: MainWindow) -> Session:
    """The session the window shows."""
    assert window.desk.session is not None
    return window.desk.session


@pytest.fixture
def asked(planned: MainWindow, pool: FakePool) -> WaysRequest:
    """The comparison that is asked for by the button on the part's page."""
    click(planned.parts.rows.rows["cradle"].picture)
    click(planned.part.compare)
    (request,) = pool.of(WaysRequest)
    assert isinstance(request, WaysRequest)
    return request


@pytest.fixture
def compared(qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest) -> MainWindow:
    """A window in which the ways to make the cradle are known."""
    pool.end(asked.id, Finished(asked.id, response(asked.id)))
    qtbot.waitUntil(lambda: len(planned.deciding.compare.cards) == 3)
    return planned


def test_the_part_leads_to_its_comparison(planned: MainWindow, asked: WaysRequest) -> None:
    """The page comes to the front with the part chosen, and work begins at once."""
    page = planned.deciding.compare
    assert page.isVisible()
    assert asked.part.id == page.chosen == "cradle"
    assert page.stop.isVisible()
    assert [page.parts.itemData(i) for i in range(page.parts.count())] == ["louvre", "cradle"]


def test_a_part_with_plates_is_offered_first(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """Until then the first part is; whoever has chosen one keeps it."""
    page = planned.deciding.compare
    assert not pool.of(PlatesRequest)  # not before the page is looked at
    planned.actions_.compare.trigger()
    (request,) = pool.of(PlatesRequest)
    assert isinstance(request, PlatesRequest)
    assert [part.id for part in request.parts] == ["louvre", "cradle"]
    assert page.chosen == "louvre"
    pool.end(request.id, Finished(request.id, PlatesResponse(id=request.id, part="cradle")))
    qtbot.waitUntil(lambda: page.chosen == "cradle")
    planned.actions_.lanes.trigger()
    planned.actions_.compare.trigger()
    assert not pool.of(PlatesRequest)


def test_a_part_that_was_chosen_stays(planned: MainWindow, pool: FakePool) -> None:
    """Looking for one with plates ends when somebody chooses."""
    page = planned.deciding.compare
    planned.actions_.compare.trigger()
    page.parts.setFocus()
    press(page.parts, Qt.Key.Key_Down)
    press(page.parts, Qt.Key.Key_Up)
    assert page.chosen == "louvre"
    assert not pool.of(PlatesRequest)


def test_ways_appear_one_by_one(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest
) -> None:
    """Each is shown as soon as it is known, the whole part first; the verdict comes at the end."""
    page = planned.deciding.compare
    for way in (WHOLE, plates()):
        pool.tell(asked.id, 0.3, "comparing", way)
        qtbot.waitUntil(lambda way=way: way in [card.way for card in page.cards])  # type: ignore[misc]  # bound here
        assert not page.verdict.isVisible()
    first = page.cards[0]
    pool.end(asked.id, Finished(asked.id, response(asked.id)))
    qtbot.waitUntil(page.verdict.isVisible)
    assert page.cards[0] is first
    assert len(page.cards) == 3
    assert page.verdict.text().startswith("Cut no. 1 from sheet")
    assert "60% of it are webs thinner than 0.8 mm" in page.plates.text()


def test_a_column_tells_everything(compared: MainWindow) -> None:
    """Chance, failures, times, material, cost, trips, warp, deflection with its caution, screws."""
    page = compared.deciding.compare
    values = {name: label.text() for name, label in page.cards[1].values.items()}
    assert values["in time"] == "63 in 100 (give or take 1)"
    assert (
        values["a failure costs"]
        == "1 h 14 min on average; nine failures in ten less than 2 h 1 min"
    )
    assert values["printing"] == "1 h 58 min"
    assert values["plastic"] == "51 g"
    assert values["trips"] == "1"
    assert values["pulling off the bed"] == "medium"
    assert values["plate 1 gives"].startswith("about 0.42 mm under 10 N; a boss at 20 \u00d7 30 mm")
    assert values["print in halves"].startswith("plate 1 parts the print into two halves")
    assert values["screws"] == "4 \u00d7 M3 \u00d7 10"
    assert "press a sample of your own" in page.caution.text
    assert "What comes out best" in page.cards[1].mark.text()
    assert not page.cards[2].take.isEnabled()
    assert not page.cards[2].mark.text()
    assert "parts/cradle.stl" in page.cards[2].values["cannot be made"].text()
    for card in page.cards[:2]:
        assert card.view.grab().toImage().width() > 0


def test_all_ways_stand_in_one_table(compared: MainWindow) -> None:
    """What counts most of each, the best in bold; what cannot be made says so."""
    table = compared.deciding.compare.overview
    rows = [[cell.text() for cell in table.cells(row)] for row in range(3)]
    assert rows[0][:3] == ["Whole", "57 in 100", "2 h 1 min"]
    assert rows[1][0] == "Plate 1"
    assert rows[1][-2:] == ["0.4 mm", "medium"]
    assert rows[2][1] == "cannot be made"
    assert [table.cells(row)[0].font().bold() for row in range(3)] == [False, True, False]


def test_a_small_window_shows_as_many_ways_as_fit(qtbot: QtBot, compared: MainWindow) -> None:
    """The whole part and the best, and instead of the latter whichever row is chosen; no sideways bar."""
    compared.resize(1024, 700)
    page = compared.deciding.compare
    qtbot.waitUntil(lambda: [card.isVisible() for card in page.cards] == [True, True, False])
    page.overview.setFocus()
    page.overview.setCurrentCell(1, 0)
    press(page.overview, Qt.Key.Key_Down)
    qtbot.waitUntil(page.cards[2].isVisible)
    shown = [card for card in page.cards if card.isVisible()]
    assert len(shown) == 2
    for card in shown:
        assert card.mapTo(page, card.rect().topRight()).x() <= page.width()
    table = page.overview
    assert sum(table.columnWidth(k) for k in range(table.columnCount())) <= table.width()
    assert all(
        table.columnWidth(k) >= table.sizeHintForColumn(k) for k in range(1, table.columnCount())
    )


def test_what_the_part_is_changed_for_is_told() -> None:
    """In words and millimetres, on the card of that way and in the list of what is nearly a plate."""
    facts = {"sheet": 3.0, "thick": 2.8, "shift": 0.2, "volume": 900.0}
    altered = Altered(plate=2, code="thickness", facts=facts)
    rows = dict(way_rows(replace(plates(), changes=(altered,)), "EUR"))
    assert "moves by 0.2 mm" in rows["changes"]
    miss = Miss(area_mm2=4500.0, code="thickness", facts=facts, number=2)
    (*_, line) = plate_lines(replace(response(1), misses=(miss,)))
    assert line.startswith("Could be plate 2, 4500 mm")


def test_taking_a_way_is_one_step(qtbot: QtBot, compared: MainWindow, pool: FakePool) -> None:
    """Its parts and work are in the project, its files in the folder; undo takes all of it back."""
    session = session_of(compared)
    before = session.project
    click(compared.deciding.compare.cards[1].take)
    assert {"cradle_plate1", "cradle_piece1"} <= {part.id for part in session.project.parts}
    assert session.project.forks[0].chosen == "plates"
    assert (session.folder / "parts/cradle_plate1.svg").read_bytes() == SVG
    assert "It is made this way now" in compared.deciding.compare.cards[1].mark.text()
    assert compared.actions_.undo.text() == "&Undo: make it of plates and pieces"
    compared.actions_.undo.trigger()
    assert session.project == before
    assert "It is made this way now" in compared.deciding.compare.cards[0].mark.text()
    finish(qtbot, compared, pool)


def test_it_can_be_left_to_the_planner(qtbot: QtBot, compared: MainWindow, pool: FakePool) -> None:
    """Both ways stay in the project, none of them chosen; printing it whole takes the other out."""
    session = session_of(compared)
    page = compared.deciding.compare
    before = session.project
    click(page.cards[1].leave)
    assert session.project.forks[0].chosen == ""
    assert "The planner chooses" in page.cards[1].mark.text()
    assert not page.cards[0].leave.isVisible()
    click(page.cards[0].take)
    assert session.project == before
    assert compared.actions_.undo.text() == "&Undo: print it whole"
    finish(qtbot, compared, pool)


def test_pieces_can_be_written_into_a_folder(
    compared: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """A folder is asked for; the foot of the window says what went there."""
    asks.path = tmp_path / "out"
    click(compared.deciding.compare.cards[1].write)
    assert sorted(path.name for path in asks.path.iterdir()) == [
        "cradle_plate1.svg",
        "exploded.svg",
        "joints.csv",
    ]
    assert "Files written: 3" in compared.strip.told.text()


def test_a_folder_that_cannot_be_written_is_told_in_place(
    compared: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """A file where the folder should be: the page says so."""
    asks.path = tmp_path / "out"
    asks.path.write_text("in the way")
    click(compared.deciding.compare.cards[1].write)
    assert compared.deciding.compare.trouble.isVisible()


def test_joints_are_shown_and_changed(compared: MainWindow, pool: FakePool) -> None:
    """Other measures make what is shown outdated; comparing again uses them."""
    page = compared.deciding.compare
    assert not page.joints.isVisible()
    click(page.open_joints)
    field = page.joints.fields["tab_mm"]
    assert field.value() == 12.0
    assert field.suffix() == " mm"
    field.setFocus()
    field.selectAll()
    write(field, "15")
    press(field, Qt.Key.Key_Return)
    page.joints.screw.setCurrentText("M4")
    assert page.stale.isVisible()
    click(page.go)
    (request,) = pool.of(WaysRequest)
    assert (request.joinery.tab_mm, request.joinery.screw) == (15.0, "M4")
    assert not page.cards
    assert not page.stale.isVisible()
    click(page.joints.reset)
    assert page.joints.joinery.tab_mm == 12.0


def test_cancel_keeps_what_is_there(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest
) -> None:
    """The ways known so far stay; work ends."""
    page = planned.deciding.compare
    pool.tell(asked.id, 0.1, "comparing", WHOLE)
    qtbot.waitUntil(lambda: len(page.cards) == 1)
    click(page.stop)
    assert not pool.of(WaysRequest)
    assert len(page.cards) == 1
    assert page.go.isEnabled()


def content_with_two(qtbot: QtBot, page: ComparePage, pool: FakePool, asked: WaysRequest) -> None:
    """Let two ways be known, and ask for no more."""
    for way in (WHOLE, plates()):
        pool.tell(asked.id, 0.3, "comparing", way)
    qtbot.waitUntil(lambda: len(page.cards) == 2)
    click(page.stop)


def test_cancel_ends_with_a_verdict(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest
) -> None:
    """Where plates can be judged already they are; a second click ends at once."""
    page = planned.deciding.compare
    content_with_two(qtbot, page, pool, asked)
    assert pool.contented == [asked.id]
    assert pool.of(WaysRequest)
    click(page.stop)
    assert not pool.of(WaysRequest)
    assert page.go.isEnabled()


def test_a_verdict_on_the_ways_so_far(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest
) -> None:
    """The response that comes early is shown like any other."""
    page = planned.deciding.compare
    content_with_two(qtbot, page, pool, asked)
    early = replace(response(asked.id), ways=(WHOLE, plates()))
    pool.end(asked.id, Finished(asked.id, early))
    qtbot.waitUntil(page.verdict.isVisible)
    assert len(page.cards) == 2
    assert not page.stop.isVisible()


def test_a_rare_dear_failure_is_told_in_words() -> None:
    """Where one print among many cuts is what costs, the average lies above what nine in ten lose."""
    assert WHOLE.figures is not None
    dear = replace(WHOLE.figures, lost_mean_s=420.0, lost_p90_s=53.0)
    told = dict(way_rows(replace(WHOLE, figures=dear), "EUR"))["a failure costs"]
    assert (
        told == "nine failures in ten less than 53 s, the tenth so much that it is 7 min on average"
    )


def test_faults_are_told_in_place(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: WaysRequest
) -> None:
    """A file that is no solid: the page says what is wrong with it."""
    page = planned.deciding.compare
    pool.end(asked.id, Failed(asked.id, InputError(Fault.FILE_EMPTY, "parts/cradle.stl")))
    qtbot.waitUntil(page.trouble.isVisible)
    assert "parts/cradle.stl" in page.trouble.text
    assert not page.stop.isVisible()


def test_another_part_forgets_the_one_before(compared: MainWindow) -> None:
    """Nothing of the old comparison stays when another part is chosen."""
    page = compared.deciding.compare
    page.parts.setFocus()
    press(page.parts, Qt.Key.Key_Up)
    assert page.chosen == "louvre"
    assert not page.cards
    assert page.hint.isVisible()


def test_bodies_are_joined_in_order() -> None:
    """Faces keep to their own corners."""
    wedge = shapes.wedge()
    both = joined([wedge, wedge])
    count = len(wedge.vertices)
    assert np.array_equal(both.faces[len(wedge.faces) :] - count, wedge.faces)
    assert len(both.vertices) == 2 * count
