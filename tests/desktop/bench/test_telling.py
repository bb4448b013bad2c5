"""Telling at the timeline what happens, and putting it right."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from fabsched.desktop.bench.block_menu import menu_of
from fabsched.desktop.bench.details import Details
from fabsched.desktop.bench.teller import Facts
from fabsched.desktop.window import MainWindow
from fabsched.model.log import Event
from fabsched.model.project import Component
from fabsched.session.bench import Bench
from fabsched.session.hand_edits import with_component
from fabsched.session.sayings import Saying, Verb
from tests.desktop import made
from tests.desktop.bench.conftest import Settle, menu_at, menu_at_lane, pick, say
from tests.desktop.conftest import Clock
from tests.desktop.hands import click, press

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")
"""Qt without a screen says so of dialogs and menus; it is no fault of ours."""


def kinds(bench: Bench) -> list[Event]:
    """What was told, plans left out."""
    return [entry.kind for entry in bench.log.entries if entry.kind is not Event.PLANNED]


def asked(window: MainWindow) -> Details:
    """The question that is open."""
    (found,) = [each for each in window.findChildren(Details) if each.isVisible()]
    return found


def button(details: Details) -> QPushButton:
    """The button that takes what is shown."""
    found = details.buttons.button(details.buttons.StandardButton.Ok)
    assert found is not None
    return found


def test_a_right_click_says_that_something_has_begun(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """It is written down at the present moment, told at the foot, and the plan forms anew."""
    clock.moment_s += 600
    say(planned, "louvres", "Started")
    assert kinds(bench) == [Event.STARTED]
    assert bench.log.entries[-1].moment_s == clock.moment_s
    assert planned.making.bar.note.text.startswith("Louvre plates (6): started")
    assert not bench.answer_is_current
    settle()
    assert bench.replanned is not None
    assert bench.log.state.going.keys() == {"louvres"}
    shown = planned.plan.timeline.scene
    assert shown is not None
    assert [past.block.activity for past in shown.past.values()] == []


def test_what_has_happened_stays_where_it_was(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """Work that was done lies behind on the timeline, from its start to its end."""
    say(planned, "code#1", "Started")
    settle()
    clock.moment_s += 3600
    say(planned, "code#1", "Done")
    settle()
    assert bench.log.state.done.keys() == {"code"}
    shown = planned.plan.timeline.scene
    assert shown is not None
    (past,) = shown.past.values()
    assert (past.block.start_s, past.block.end_s) == (made.BEGIN, made.BEGIN + 3600)
    assert past.outcome is Event.FINISHED


def test_the_menu_opens_by_key_and_is_driven_by_keys(planned: MainWindow, bench: Bench) -> None:
    """Menu on the selected block, then Enter on the first thing that can be said."""
    view = planned.plan.timeline
    view.select("bench")
    view.setFocus()
    press(view, Qt.Key.Key_Menu)
    menu = menu_of(view)
    assert menu is not None
    texts = [action.text() for action in menu.actions() if not action.isSeparator()]
    assert texts == ["Started", "Done", "Found a fault", "Leave it out", "Not before\u2026"]
    press(menu, Qt.Key.Key_Return)
    assert kinds(bench) == [Event.STARTED]


def test_failing_asks_how_far_it_got_by_the_clock(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """The slider stands at the share of the estimate that has gone by; Enter takes it."""
    say(planned, "louvres", "Started")
    settle()
    clock.moment_s += 298 * 60
    say(planned, "louvres", "Failed\u2026")
    details = asked(planned)
    assert details.share.value() == 40  # 298 of 745 minutes
    assert details.told.text() == "40 %, 4 h 58 min of 12 h 25 min"
    press(details, Qt.Key.Key_Return)
    assert kinds(bench) == [Event.STARTED, Event.FAILED]
    assert bench.log.entries[-1].share == 0.4


def test_a_delay_asks_until_when(planned: MainWindow, bench: Bench) -> None:
    """Half an hour later than planned is proposed."""
    say(planned, "funnel", "Not before\u2026")
    details = asked(planned)
    assert not details.share.isVisible()
    click(button(details))
    (entry,) = [e for e in bench.log.entries if e.kind is Event.DELAYED]
    assert entry.until_s == made.at(14, 8, 46)


def test_a_delivery_is_late_and_arrives(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """What is late is picked by its name in the form; that it has come is said at the same block."""
    sensors = Component(id="sensors", name="Sensor boards", needed_by=("wire",))
    bench.change("component", with_component(sensors))
    settle()
    say(planned, "wire#1", "Not before\u2026")
    details = asked(planned)
    shown = [details.about.itemText(i) for i in range(details.about.count())]
    assert shown == ["Wire the sensors", "Sensor boards"]
    details.about.setFocus()
    press(details.about, Qt.Key.Key_Down)
    click(button(details))
    (entry,) = [e for e in bench.log.entries if e.kind is Event.DELAYED]
    assert (entry.subject, entry.meant.items) == ("sensors", (("wire", 1),))
    assert bench.log.state.earliest_s["sensors"] == entry.until_s
    settle()
    clock.moment_s += 600
    say(planned, "wire#1", "Sensor boards: it is there")
    assert bench.log.entries[-1].kind in {Event.ARRIVED, Event.PLANNED}
    assert bench.log.state.earliest_s["sensors"] == 0
    settle()
    menu = menu_at(planned, "wire#1")
    assert "Sensor boards: it is there" not in [action.text() for action in menu.actions()]
    menu.close()


def test_what_needs_nothing_is_not_asked_what_is_late(planned: MainWindow, bench: Bench) -> None:
    """Without components the form asks only until when; what was held back can come early as well."""
    say(planned, "funnel", "Not before\u2026")
    details = asked(planned)
    assert not details.about.isVisible()
    click(button(details))
    assert bench.log.state.earliest_s["funnel"]
    assert kinds(bench) == [Event.DELAYED]
    say(planned, "funnel", "Rain funnel: it is there")
    assert kinds(bench) == [Event.DELAYED, Event.ARRIVED]


def test_the_time_is_put_right_afterwards(
    planned: MainWindow, bench: Bench, clock: Clock, settle: Settle
) -> None:
    """The button beside what was told asks when it was; the log then holds that moment."""
    clock.moment_s += 1800
    say(planned, "louvres", "Started")
    settle()
    click(planned.making.bar.correct)
    details = asked(planned)
    details.at.setFocus()
    details.at.setCurrentSection(details.at.Section.MinuteSection)
    for _ in range(10):
        press(details.at, Qt.Key.Key_Down)
    click(button(details))
    assert bench.log.state.going["louvres"].start_s == made.BEGIN + 1200
    assert any(entry.replaces for entry in bench.log.entries)


def test_one_undo_takes_it_back_and_redo_brings_it_again(
    planned: MainWindow, bench: Bench, settle: Settle
) -> None:
    """Undo goes through the log like through edits, plans made since included."""
    say(planned, "louvres", "Started")
    settle()
    assert "what was told" in planned.actions_.undo.text()
    planned.actions_.undo.trigger()
    assert not bench.log.state.has_begun
    settle()
    planned.actions_.redo.trigger()
    assert bench.log.state.going.keys() == {"louvres"}


def test_a_machine_is_lost_until_a_moment(
    planned: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A right click on the name of a lane says that its machine cannot be had."""
    told: list[tuple[Verb, str, Facts]] = []
    monkeypatch.setattr(planned.making.teller, "tell", lambda *said: told.append(said))
    pick(menu_at_lane(planned, 0), "Not to be had until\u2026")
    click(button(asked(planned)))
    ((verb, subject, facts),) = told
    assert (verb, subject, facts.until_s) == (Verb.LOSE, "large", made.BEGIN + 7200)


def test_what_cannot_be_written_down_is_told_in_place(planned: MainWindow, bench: Bench) -> None:
    """A machine the shop does not know: nothing is written, and the plan's trouble says why."""
    pick(menu_at_lane(planned, 0), "Not to be had until\u2026")
    click(button(asked(planned)))
    assert not bench.log.entries
    assert "large" in planned.plan.trouble.text


def test_what_others_tell_appears(planned: MainWindow, bench: Bench, clock: Clock) -> None:
    """An entry another program writes is taken in at the next look, and the plan is made anew."""
    other = Bench.open(bench.folder)
    now_s = clock.moment_s
    other.tell(Saying(verb=Verb.START, block="louvres.start", at_s=now_s, now_s=now_s))
    assert not bench.log.state.has_begun
    planned.making.teller.look()
    assert bench.log.state.going.keys() == {"louvres"}
    assert planned.desk.busy


def test_ways_have_no_menu(planned: MainWindow) -> None:
    """Nothing is told of going from one place to another."""
    with pytest.raises(AssertionError):
        menu_at(planned, "mira.travel.1")
