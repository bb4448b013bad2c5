"""After a failure: the choices side by side, one look and one click."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from fabsched.desktop.bench.teller import Facts
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import WorkerLost
from fabsched.model.log import Cure, Event
from fabsched.session.bench import Bench
from fabsched.session.log_requests import OptionRequest, PiecesRequest, PiecesResponse, PoseRequest
from fabsched.session.pool import Failed, Finished
from fabsched.session.requests import PlanRequest
from fabsched.session.sayings import Verb
from fabsched.session.ways import standing
from tests.desktop.bench.conftest import Settle
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, press

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


@pytest.fixture
def failed(planned: MainWindow, bench: Bench, clock: Clock, settle: Settle) -> MainWindow:
    """A window in which a print has failed, and the first answer is there."""
    teller = planned.making.teller
    teller.tell(Verb.START, "louvres.start")
    settle()
    clock.moment_s += 4 * 3600
    teller.tell(Verb.FAIL, "louvres", Facts(share=0.5))
    settle(PlanRequest)
    assert bench.replanned is not None
    return planned


def test_the_page_opens_by_itself_and_cards_fill_one_by_one(
    failed: MainWindow, pool: FakePool
) -> None:
    """Every choice has its card at once, and the first its chance; the others as soon as it is known."""
    page = failed.making.choices
    assert failed.plan.pages.currentWidget() is page
    assert [card.title.text() for card in page.cards.cards] == [
        "Make Louvre plates (6) again as it was",
        "Make Louvre plates (6) on Small printer",
        "Leave Louvre plates (6) out",
        "Break Sensor cradle off to free its machine",
    ]
    first, *others = page.cards.cards
    assert first.chance.text() == "61 in 100"
    assert {card.chance.text() for card in others} == {"\u2026"}
    second = pool.of(OptionRequest)[1]
    assert second.remedy.cure is Cure.MACHINE
    pool.answer_one(second)
    assert [card.chance.text() for card in page.cards.cards][1:3] == ["83 in 100", "\u2026"]


def test_cards_tell_what_becomes_of_the_weekend(failed: MainWindow, settle: Settle) -> None:
    """Chance, finish, hands, machine and material; the best chance is named; what is gone stands apart."""
    settle()
    page = failed.making.choices
    again, machine, drop, cancel, _ = page.cards.cards
    assert again.chance.text() == "61 in 100"
    assert "half by Sun 09:40, nine in ten by Sun 17:30" in again.facts.text()
    assert "6 h of hands" in again.facts.text()
    assert "material: 180 g" in machine.facts.text()
    assert "machine time" not in drop.facts.text()
    assert [card.best.text() for card in page.cards.cards] == ["", "", "most often in time", "", ""]
    assert "30 min of machine time and about 12 g of material" in cancel.spent.text()
    assert "should not weigh" in cancel.spent.text()
    assert "4 h of machine time" in page.gone.text()
    assert "should not weigh" in page.gone.text()
    assert "83 in 100" in machine.take.accessibleName()


def test_one_click_changes_the_plan_and_one_undo_brings_it_back(
    failed: MainWindow, bench: Bench, settle: Settle
) -> None:
    """Picking a card writes the choice down and shows the plan; after undo the cards are there again."""
    settle()
    page = failed.making.choices
    click(page.cards.cards[1].take)
    assert bench.log.state.remedies["louvres"].cure is Cure.MACHINE
    assert failed.plan.pages.currentIndex() == 0
    settle()
    assert not page.cards.cards
    failed.actions_.undo.trigger()
    settle()
    assert not bench.log.state.remedies
    assert failed.plan.pages.currentWidget() is page
    assert len(page.cards.cards) == 5


def test_other_poses_come_after_the_first_choices(
    failed: MainWindow, bench: Bench, pool: FakePool, settle: Settle
) -> None:
    """They are looked for meanwhile; each gets a card of its own, and can be picked like the others."""
    page = failed.making.choices
    assert page.more.isVisible()
    assert pool.of(PoseRequest)[0].id > max(request.id for request in pool.of(OptionRequest))
    settle()
    assert not page.more.isVisible()
    card = page.cards.cards[-1]
    assert card.isVisible()
    assert card.title.text() == (
        "Print Louvre plates (6) in another pose, turned by 90\u00b0, 0\u00b0, 0\u00b0"
    )
    assert card.chance.text() == "90 in 100"
    assert "stands on 90 \u00d7 40 mm, 12 mm high" in card.facts.text()
    assert "material: 180 g" in card.facts.text()
    before = next(p.turn_deg for p in bench.project.parts if p.id == "louvre")
    click(card.take)
    settle()
    assert next(p.turn_deg for p in bench.project.parts if p.id == "louvre") == (90.0, 0.0, 0.0)
    failed.actions_.undo.trigger()
    settle()
    assert next(p.turn_deg for p in bench.project.parts if p.id == "louvre") == before
    assert failed.plan.pages.currentWidget() is page


def test_a_search_for_poses_that_fails_leaves_the_rest(failed: MainWindow, pool: FakePool) -> None:
    """The note that they are looked for goes; the other choices stay."""
    page = failed.making.choices
    request = pool.of(PoseRequest)[0]
    pool.end(request.id, Failed(request.id, WorkerLost()))
    QApplication.processEvents()
    assert not page.more.isVisible()
    assert len(page.cards.cards) == 4


def test_keys_pick_a_choice(failed: MainWindow, bench: Bench, settle: Settle) -> None:
    """Tab goes from card to card, space picks."""
    settle()
    first, second = (card.take for card in failed.making.choices.cards.cards[:2])
    first.setFocus()
    press(first, Qt.Key.Key_Tab)
    assert second.hasFocus()
    press(second, Qt.Key.Key_Space)
    assert bench.log.entries[-1].kind is Event.CHOSEN


def test_deciding_later_leaves_the_choices(failed: MainWindow, settle: Settle) -> None:
    """The timeline is shown; the page still has them."""
    settle()
    click(failed.making.choices.later)
    assert failed.plan.pages.currentIndex() == 0
    failed.actions_.choices.trigger()
    assert len(failed.making.choices.cards.cards) == 5


def test_a_choice_that_cannot_be_worked_out_says_so(failed: MainWindow, pool: FakePool) -> None:
    """Its card tells why, and can be picked all the same."""
    request = pool.of(OptionRequest)[0]
    pool.end(request.id, Failed(request.id, WorkerLost()))
    QApplication.processEvents()
    card = failed.making.choices.cards.cards[0]
    assert "worker process died" in card.fault.text
    assert card.take.isEnabled()


def test_what_failed_can_be_compared_with_plates(
    failed: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A button for each printed part leads to the ways to make it; it goes with the choices."""
    asked = list[str]()
    monkeypatch.setattr(failed.deciding.compare, "compare_part", asked.append)
    page = failed.making.choices
    (button,) = page.plates
    assert button.text() == "Plate or print? Louvre plate"
    assert button.isVisible()
    click(button)
    assert asked == ["louvre"]
    assert failed.plan.pages.currentWidget() is failed.deciding.compare
    drop = next(card for card in page.cards.cards if card.remedy.cure is Cure.DROP)
    failed.making.show_choices()
    click(drop.take)
    assert not page.plates or not page.plates[0].isVisible()


def test_plates_and_pieces_get_a_card_of_their_own(
    failed: MainWindow, bench: Bench, pool: FakePool, settle: Settle
) -> None:
    """They are looked for behind the other choices, with progress; one click takes, one undo brings back."""
    page = failed.making.choices
    (request,) = pool.of(PiecesRequest)
    assert request.id > max(other.id for other in pool.of(PoseRequest))
    pool.tell(request.id, 0.4, "comparing")
    QApplication.processEvents()
    assert page.pieces.isVisible()
    assert page.pieces.text().endswith("40 %")
    settle()
    assert len(page.cards.cards) == 5
    pool.answer_one(request)
    assert not page.pieces.isVisible()
    assert len(page.plates) == 1
    card = page.cards.cards[-1]
    assert card.title.text() == "Make it the other way: Louvre plate of plates"
    assert card.chance.text() == "98 in 100"
    assert "6 h of hands" in card.facts.text()
    assert "180 g, 1 x plywood 3 mm" in card.facts.text()
    assert [each.best.text() for each in page.cards.cards] == [*[""] * 5, "most often in time"]
    before = bench.project
    click(card.take)
    assert standing(bench.project, "louvre") == (
        "plates",
        {"louvre_plate1", "louvre_piece1", "louvre_fit"},
    )
    assert failed.plan.pages.currentIndex() == 0
    failed.actions_.undo.trigger()
    settle()
    assert bench.project == before
    assert failed.plan.pages.currentWidget() is page
    assert len(page.cards.cards) == 5


def test_where_there_are_no_plates_nothing_is_shown(failed: MainWindow, pool: FakePool) -> None:
    """No card comes, and what would show no more is not led to."""
    page = failed.making.choices
    (request,) = pool.of(PiecesRequest)
    nothing = PiecesResponse(id=request.id, part=request.part, pieces=None, more=False)
    pool.end(request.id, Finished(request.id, nothing))
    QApplication.processEvents()
    assert len(page.cards.cards) == 4
    assert not page.pieces.isVisible()
    assert not page.plates


def test_a_search_for_plates_that_fails_leaves_the_rest(failed: MainWindow, pool: FakePool) -> None:
    """Its line goes; the comparison is still led to."""
    page = failed.making.choices
    (request,) = pool.of(PiecesRequest)
    pool.end(request.id, Failed(request.id, WorkerLost()))
    QApplication.processEvents()
    assert not page.pieces.isVisible()
    assert len(page.cards.cards) == 4
    assert len(page.plates) == 1


def test_a_choice_that_is_taken_ends_the_search(
    failed: MainWindow, pool: FakePool, settle: Settle
) -> None:
    """Nobody waits for plates any more."""
    page = failed.making.choices
    (request,) = pool.of(PiecesRequest)
    settle()
    click(page.cards.cards[1].take)
    settle()
    assert request.id not in {left.id for left in pool.of(PiecesRequest)}
    assert not page.pieces.isVisible()
