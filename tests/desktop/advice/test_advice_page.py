"""Advice, by real clicks and keys."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QSignalSpy
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.advise.counsel import Advice, Counsel, Counselled, Early, Gain, Look, Need, TakeOut
from fabsched.advise.fits import Barrier, Fit, Lever, Obstacle
from fabsched.desktop.desk import SETTLE_MS
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.session.advice_request import AdviceRequest, AdviceResponse
from fabsched.session.bench import Bench
from fabsched.session.fit_request import FitRequest, FitResponse
from fabsched.session.pool import Failed, Finished
from fabsched.session.sayings import Saying, Verb
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click

DROP = Advice(
    code=Counsel.DROP,
    subject="louvre",
    facts={"what": "Louvre plate"},
    on_time=0.96,
    gain=0.03,
    error=0.002,
    action=TakeOut(items=("louvre",)),
)
NEEDED = Advice(
    code=Counsel.DROP_NEEDED,
    subject="cradle",
    facts={"what": "Sensor cradle"},
    on_time=0.95,
    gain=0.02,
)
LOOK = Advice(
    code=Counsel.LOOK,
    subject="fit",
    facts={"what": "Test fit of the cradle", "seconds": 600.0},
    on_time=0.94,
    gain=0.01,
    action=Need(item="fit"),
)
SEEN = Look(
    swap="fit",
    name="Test fit of the cradle",
    taken=True,
    hands_s=600.0,
    machine_s=0.0,
    without=0.91,
    gain=Gain(on_time=0.93, gain=0.02, error=0.001),
)


def session_of(window: MainWindow) -> Bench:
    """The session the window shows."""
    assert window.desk.session is not None
    return window.desk.session


@pytest.fixture
def asked(planned: MainWindow, pool: FakePool) -> AdviceRequest:
    """What is asked for once the page is seen."""
    assert not pool.of(AdviceRequest)
    planned.actions_.advice.trigger()
    (request,) = pool.of(AdviceRequest)
    assert isinstance(request, AdviceRequest)
    return request


@pytest.fixture
def advised(qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: AdviceRequest) -> MainWindow:
    """A window that shows three pieces of advice."""
    told = Counselled(advice=(DROP, NEEDED, LOOK), looks=(SEEN,))
    pool.end(asked.id, Finished(asked.id, AdviceResponse(id=asked.id, told=told)))
    qtbot.waitUntil(lambda: len(planned.deciding.advice.advice.texts) == 3)
    return planned


def test_advice_is_sorted_and_numbered(advised: MainWindow) -> None:
    """Each says what it wins; only what one step can do has a button."""
    page = advised.deciding.advice
    assert page.advice.texts[0].startswith("Leave out Louvre plate: 96 in 100")
    assert "3 points more" in page.advice.texts[0]
    assert "Without Sensor cradle" in page.advice.texts[1]
    assert [button.text() for button in page.advice.buttons] == ["Take it out", "Always look"]
    assert page.looks.texts == [
        (
            "Test fit of the cradle (planned): 2 points of a hundred, for 10 min of hands and 0 min of "
            "a machine if nothing goes wrong"
        )
    ]
    assert not page.stop.isVisible()


def test_advice_begins_at_the_top(advised: MainWindow) -> None:
    """With nothing to say or to wait for there is no empty line above it."""
    page = advised.deciding.advice
    QApplication.processEvents()
    assert not page.hint.isVisible()
    assert page.advice.mapTo(page, QPoint(0, 0)).y() < page.fontMetrics().height()


def test_one_press_carries_it_out_and_undo_takes_it_back(
    qtbot: QtBot, advised: MainWindow, pool: FakePool
) -> None:
    """The project changes in one step; the page waits for the next plan."""
    session = session_of(advised)
    before = session.project
    page = advised.deciding.advice
    click(page.advice.buttons[0])
    assert "louvre" not in {part.id for part in session.project.parts}
    assert not page.advice.isVisible()
    assert "advice comes with the next" in page.hint.text()
    advised.actions_.undo.trigger()
    assert session.project == before
    qtbot.waitUntil(lambda: bool(pool.held))
    finish_plan(qtbot, advised, pool)
    assert len(pool.of(AdviceRequest)) == 1


def test_work_is_let_be_done_before_by_one_press(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: AdviceRequest
) -> None:
    """The button says so; pressed, the work may be done before the weekend, and undo takes it back."""
    session = session_of(planned)
    work = next(work for work in session.project.works if not work.early)
    facts: dict[str, Fact] = {"what": work.name}
    told = Advice(
        code=Counsel.EARLY,
        subject=work.id,
        facts=facts,
        on_time=0.97,
        gain=0.04,
        action=Early(item=work.id),
    )
    response = AdviceResponse(id=asked.id, told=Counselled(advice=(told,)))
    pool.end(asked.id, Finished(asked.id, response))
    page = planned.deciding.advice
    qtbot.waitUntil(lambda: len(page.advice.texts) == 1)
    assert page.advice.buttons[0].text() == "Let it be done before"
    before = session.project
    click(page.advice.buttons[0])
    assert {each.id for each in session.project.works if each.early} >= {work.id}
    planned.actions_.undo.trigger()
    assert session.project == before
    qtbot.waitUntil(lambda: bool(pool.held))


def finish_plan(qtbot: QtBot, window: MainWindow, pool: FakePool) -> None:
    """Let plans be answered, advice not."""
    for _ in range(4):
        for request in [r for r in pool.of(object) if not isinstance(r, AdviceRequest)]:
            pool.answer(only=type(request))
        qtbot.wait(20)
    qtbot.waitUntil(lambda: session_of(window).answer_is_current)


def test_nothing_is_looked_for_that_is_not_needed(asked: AdviceRequest, pool: FakePool) -> None:
    """A plan as sure as wanted need not be made to fit."""
    assert asked.answer.odds.on_time == 0.93
    assert not pool.of(FitRequest)


def test_it_can_be_called_off_and_asked_for_again(
    planned: MainWindow, pool: FakePool, asked: AdviceRequest
) -> None:
    """Cancel ends it; a button asks once more."""
    page = planned.deciding.advice
    click(page.stop)
    assert asked.id in pool.cancelled
    click(page.again)
    assert len(pool.of(AdviceRequest)) == 1


def test_what_is_known_is_shown_while_test_prints_are_weighed(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: AdviceRequest
) -> None:
    """The first answer comes without coupons; called off, it stays, and the rest can be asked for."""
    page = planned.deciding.advice
    some = Counselled(advice=(DROP,), looks=(SEEN,))
    pool.tell(asked.id, 0.4, "drops", some)
    qtbot.waitUntil(lambda: len(page.advice.texts) == 1)
    assert "most promising test prints" in page.hint.text()
    (button,) = page.advice.buttons
    pool.tell(asked.id, 0.6, "coupons", replace(some))
    QApplication.processEvents()
    assert page.advice.buttons == [button]
    pool.tell(asked.id, 0.8, "coupons", Counselled(advice=(DROP, NEEDED), looks=(SEEN,)))
    qtbot.waitUntil(lambda: len(page.advice.texts) == 2)
    click(page.stop)
    assert asked.id in pool.cancelled
    assert len(page.advice.texts) == 2
    assert not page.hint.text()
    assert page.again.isVisible()


def test_faults_are_told_in_place(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, asked: AdviceRequest
) -> None:
    """What went wrong stands on the page."""
    page = planned.deciding.advice
    pool.end(asked.id, Failed(asked.id, InputError(Fault.FILE_EMPTY, "parts/lid.stl")))
    qtbot.waitUntil(page.trouble.isVisible)
    assert page.again.isVisible()


def test_what_has_to_be_bought_is_listed(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project_with_parts: None
) -> None:
    """Components that are short, with the latest day, what for, how they go in; room for wires."""
    del project_with_parts
    page = window.deciding.advice
    window.actions_.advice.trigger()
    text = page.ready.lacks.texts[0]
    assert text.startswith("Buy 3 \u00d7 Pressure sensor (0 in hand); by Saturday 08:26")
    assert "first for Wire the sensors" in text
    assert page.ready.notes.texts == ["Pressure sensor, easily mixed up: the dot faces the edge"]
    assert page.ready.in_hand.wirings.texts[0].startswith(
        "Duct: Wires (1) take 3.1 mm² of 19.6 mm², 16 %"
    )
    finish_plan(qtbot, window, pool)


def test_what_is_here_leaves_the_list(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project_with_parts: None
) -> None:
    """One press has all of it in hand, undo takes it back; filament and sheets lead to the shop."""
    del project_with_parts
    ready = window.deciding.advice.ready
    window.actions_.advice.trigger()
    assert [button.text() for button in ready.lacks.buttons] == ["It is here"]
    click(ready.lacks.buttons[0])
    assert session_of(window).project.components[0].have == 3
    assert not any("Pressure sensor" in text for text in ready.lacks.texts)
    assert ready.lacks.title.text() == "Ready?"
    window.actions_.undo.trigger()
    assert any("Pressure sensor" in text for text in ready.lacks.texts)
    click(ready.notes.buttons[0])
    assert ready.in_hand.component_form.way.text() == "the dot faces the edge"
    qtbot.wait(2 * SETTLE_MS)
    finish_plan(qtbot, window, pool)


def test_what_is_on_its_way_is_told_to_have_come(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project_with_parts: None
) -> None:
    """The log is told, and what waited for it may start."""
    del project_with_parts
    finish_plan(qtbot, window, pool)
    session, now_s = session_of(window), int(window.desk.now().timestamp())
    due = Saying(verb=Verb.DELAY, block="bmp", at_s=now_s, now_s=now_s, until_s=now_s + 7200)
    session.tell(due)
    ready = window.deciding.advice.ready
    window.actions_.advice.trigger()
    assert "on its way, here " in ready.lacks.texts[0]
    click(ready.lacks.buttons[0])
    assert session.log.state.earliest_s == {"bmp": 0}
    assert ready.lacks.texts == [
        "Everything is in hand, as far as the project and the shop file say."
    ]


@pytest.mark.parametrize(
    ("fault", "text"),
    [
        (Fault.HOURS_NEVER_MEET, "Show the shop"),
        (Fault.DEADLINE_PAST, "Change the deadline"),
        (Fault.NEEDS_CIRCLE, ""),
    ],
)
def test_what_stands_in_the_way_leads_to_where_it_is_changed(
    planned: MainWindow, monkeypatch: pytest.MonkeyPatch, fault: Fault, text: str
) -> None:
    """Hours are the shop's, the deadline has its field."""
    ready = planned.deciding.advice.ready
    error = InputError(fault, "project.toml: deadline")
    monkeypatch.setattr(planned.desk, "errors", lambda *_: (error,))
    monkeypatch.setattr("fabsched.desktop.advice.ready_chapter.say", str)
    ready.follow()
    assert [button.text() for button in ready.faults.buttons] == ([text] if text else [])
    if text == "Show the shop":
        click(ready.faults.buttons[0])
        assert planned.shop.isVisible()
    elif text:
        focused = QSignalSpy(ready.deadline_wanted)
        click(ready.faults.buttons[0])
        assert focused.count() == 1


def test_a_channel_is_added_changed_taken_out_and_back(
    window: MainWindow, project_with_parts: None
) -> None:
    """The form tells at once whether there is room; each step is one that undo takes back."""
    del project_with_parts
    window.actions_.advice.trigger()
    place = window.deciding.advice.ready.in_hand
    before = session_of(window).project.channels
    click(place.add_channel)
    form = place.channel_form
    form.finish()
    assert form.note.text
    form.name.setText("Riser")
    form.cables.setText("thin")
    form.finish()
    assert session_of(window).project.channels == before
    form.cables.setText("6 x 2; 1,5")
    form.width_mm.setValue(10.0)
    assert "too crowded" not in form.room.text()
    form.width_mm.setValue(5.0)
    assert "too crowded" in form.room.text()
    click(form.keep)
    made = session_of(window).project.channels[-1]
    assert (made.id, made.cables_mm, made.size_mm) == ("riser", (2.0,) * 6 + (1.5,), (5.0,))
    assert place.wirings.texts[-1].startswith("Riser: Wires (7)")
    change, remove = place.wirings.buttons[-2:]
    assert (change.toolTip(), remove.toolTip()) == ("Change Riser", "Remove Riser")
    click(change)
    form.height_mm.setValue(8.0)
    click(form.keep)
    assert session_of(window).project.channels[-1].size_mm == (5.0, 8.0)
    click(place.wirings.buttons[-1])
    assert session_of(window).project.channels == before
    window.actions_.undo.trigger()
    assert session_of(window).project.channels[-1].size_mm == (5.0, 8.0)


def test_a_component_is_added_and_changed(window: MainWindow, project_with_parts: None) -> None:
    """Spares, delivery and note go into the project; the list to buy follows."""
    del project_with_parts
    window.actions_.advice.trigger()
    page = window.deciding.advice
    place, form = page.ready.in_hand, page.ready.in_hand.component_form
    click(place.add_component)
    form.name.setText("M3 screws")
    for field, value in ((form.count, 12), (form.spares, 3), (form.have, 5), (form.days, 2)):
        field.setValue(value)
    form.way.setText("flat side down")
    click(form.keep)
    made = session_of(window).project.components[-1]
    assert (made.id, made.short, made.delivery_days) == ("m3-screws", 10, 2)
    assert place.components.texts[-1] == "M3 screws: 12 taken, 3 more wanted to spare, 5 in hand."
    assert any("M3 screws" in text for text in page.ready.lacks.texts)
    assert "M3 screws, easily mixed up: flat side down" in page.ready.notes.texts
    assert all(field.toolTip() and field.accessibleName() for field in (form.count, form.way))


@pytest.fixture
def project_with_parts(qtbot: QtBot, window: MainWindow, project: Path, pool: FakePool) -> None:
    """An open, planned project that takes a component."""
    path = project / "project.toml"
    text = path.read_text("utf-8")
    component = (
        '\n[[component]]\nid = "bmp"\nname = "Pressure sensor"\ncount = 2\nspares = 1\n'
        'needed_by = ["wire"]\ndelivery_days = 0\nnote = "the dot faces the edge"\n'
        '[[channel]]\nid = "duct"\ncables_mm = [2]\nwidth_mm = 5\n'
    )
    path.write_text(text + component, "utf-8")
    window.open_folder(path.parent)
    finish(qtbot, window, pool)


def test_keys_lead_there(planned: MainWindow) -> None:
    """The action has keys of its own, and no two actions share any."""
    keys = [action.shortcut().toString() for action in planned.actions_.all]
    told = [each for each in keys if each]
    assert planned.actions_.advice.shortcut().toString()
    assert len(told) == len(set(told))


@pytest.fixture
def wanted(advised: MainWindow, pool: FakePool, monkeypatch: pytest.MonkeyPatch) -> FitRequest:
    """What is asked where the plan is too short of time: what would make it fit."""
    monkeypatch.setattr("fabsched.desktop.advice.page.is_short", lambda *_: True)
    advised.deciding.advice._ask()
    (request,) = pool.of(FitRequest)
    assert isinstance(request, FitRequest)
    return request


def test_what_would_make_it_fit_is_done_by_one_press(
    qtbot: QtBot, advised: MainWindow, pool: FakePool, wanted: FitRequest
) -> None:
    """Each change has a button that says what it does; undo takes it back."""
    page, session = advised.deciding.advice, session_of(advised)
    late = Fit(
        code=Lever.DEADLINE,
        size_s=1800,
        until_s=wanted.weekend.deadline_s + 1800,
        on_time=0.97,
        gain=0.04,
        enough=True,
    )
    drop = Fit(code=Lever.DROP, subject="louvre", name="Louvre plate", on_time=0.96, gain=0.03)
    pool.end(wanted.id, Finished(wanted.id, FitResponse(id=wanted.id, fits=(late, drop))))
    qtbot.waitUntil(page.fits.isVisible)
    assert [button.text() for button in page.fits.buttons] == ["Put it off", "Take it out"]
    before = session.project
    click(page.fits.buttons[0])
    assert (session.project.deadline - before.deadline).total_seconds() == 1800
    advised.actions_.undo.trigger()
    assert session.project == before


def test_nothing_is_advised_twice(
    qtbot: QtBot, advised: MainWindow, pool: FakePool, wanted: FitRequest
) -> None:
    """What would make it fit is not told a second time above, with a chance counted otherwise."""
    page = advised.deciding.advice
    assert sum("Sensor cradle" in text for text in page.advice.texts) == 1
    same = Fit(code=Lever.DROP_NEEDED, subject="cradle", name="Sensor cradle", on_time=0.94)
    pool.end(wanted.id, Finished(wanted.id, FitResponse(id=wanted.id, fits=(same,))))
    qtbot.waitUntil(page.fits.isVisible)
    assert not any("Sensor cradle" in text for text in page.advice.texts)
    assert "Sensor cradle" in page.fits.texts[0]
    assert any("Louvre plate" in text for text in page.advice.texts)


def test_a_set_of_changes_is_carried_out_by_one_press(
    qtbot: QtBot, advised: MainWindow, pool: FakePool, wanted: FitRequest
) -> None:
    """What stands in the way is told above; one press makes all changes, one undo takes them back."""
    page, session = advised.deciding.advice, session_of(advised)
    late_s = wanted.weekend.deadline_s + 900
    late = Fit(code=Lever.DEADLINE, size_s=900, until_s=late_s)
    drop = Fit(code=Lever.DROP, subject="louvre", name="Louvre plate")
    both = Fit(code=Lever.SET, parts=(drop, late), on_time=0.9, gain=0.9, enough=True)
    alone = Obstacle(code=Barrier.ALONE, name="Base", takes_s=14 * 3600, left_s=9 * 3600)
    response = FitResponse(id=wanted.id, fits=(both,), obstacles=(alone,))
    pool.end(wanted.id, Finished(wanted.id, response))
    qtbot.waitUntil(page.fits.isVisible)
    assert page.obstacles.texts == ["Base alone takes 14 h; 9 h are left."]
    assert page.fits.texts[0].startswith(
        "Together: Leave out Louvre plate; Put the deadline off by"
    )
    assert [button.text() for button in page.fits.buttons] == ["Do all of it"]
    before = session.project
    click(page.fits.buttons[0])
    assert (session.project.deadline - before.deadline).total_seconds() == 900
    assert "louvre" not in {item.id for item in session.project.items}
    advised.actions_.undo.trigger()
    assert session.project == before
