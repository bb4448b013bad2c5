"""The project on the desk and the work that keeps it up to date."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.model.errors import Fault, InputError, WorkerLost
from fabsched.session.bench import Bench
from fabsched.session.pool import Failed, Finished
from fabsched.session.requests import EstimateRequest, PlanRequest, WarmRequest
from tests.desktop import made
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakePool


@pytest.fixture
def desk(make_desk: Callable[[], Desk], project: Path) -> Desk:
    """A desk with a project on it, whose estimates are under way."""
    made_desk = make_desk()
    made_desk.open(Bench.open(project))
    return made_desk


@pytest.fixture
def session(desk: Desk) -> Bench:
    """The session on the desk."""
    assert desk.session is not None
    return desk.session


def settle(qtbot: QtBot, pool: FakePool, desk: Desk) -> None:
    """Answer everything until the desk rests."""
    while desk.busy:
        qtbot.waitUntil(lambda: bool(pool.held) or not desk.busy)
        pool.answer()
        qtbot.wait(1)


def test_estimates_come_first_and_then_the_plan(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """Opening asks for every part; only when all are known a plan is asked for, and once."""
    asked = [request.part.id for request in pool.of(EstimateRequest)]
    assert asked == ["louvre", "cradle", "base"]
    assert not pool.of(PlanRequest)
    pool.answer()
    qtbot.waitUntil(lambda: bool(pool.of(PlanRequest)))
    assert len(pool.held) == 1
    with qtbot.waitSignal(desk.rested):
        pool.answer()
    assert session.answer is not None
    assert session.answer_is_current
    assert not desk.busy


def test_compiling_is_shown_and_waited_for(
    qtbot: QtBot, pool: FakePool, make_desk: Callable[[], Desk], project: Path
) -> None:
    """Looking whether there is something to compile is not seen; compiling is, and comes first."""
    desk = make_desk()
    desk.prepare()
    (warm,) = pool.of(WarmRequest)
    seen = [desk.busy]
    with qtbot.waitSignal(desk.working) as told:
        pool.tell(warm.id, 0.25, "compiling")
    assert told.args == [0.25, "compiling", 0, 1]
    seen.append(desk.busy)
    assert seen == [False, True]
    desk.open(Bench.open(project))
    assert not pool.of(EstimateRequest)
    pool.end(warm.id, Finished(warm.id, None))
    qtbot.waitUntil(lambda: len(pool.of(EstimateRequest)) == 3)


def test_compiling_that_is_stopped_or_fails_is_in_nobodys_way(
    qtbot: QtBot, pool: FakePool, make_desk: Callable[[], Desk], project: Path
) -> None:
    """Estimates then have compiled what they need themselves."""
    desk = make_desk()
    desk.prepare()
    (warm,) = pool.of(WarmRequest)
    with qtbot.waitSignal(desk.working):
        pool.tell(warm.id, 0.25, "compiling")
    desk.open(Bench.open(project))
    pool.end(warm.id, Failed(warm.id, WorkerLost()))
    qtbot.waitUntil(lambda: len(pool.of(EstimateRequest)) == 3)
    desk.prepare()
    desk.stop()
    assert not pool.held


def test_a_change_plans_again_after_a_moment_and_once(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """Three changes in a row make one new plan; meanwhile the old one is out of date."""
    settle(qtbot, pool, desk)
    for days in (1, 2, 3):
        session.set_deadline(session.project.deadline + timedelta(days=days))
    assert not session.answer_is_current
    assert not pool.held
    qtbot.waitUntil(lambda: bool(pool.held))
    (request,) = pool.of(PlanRequest)
    assert request.project.deadline == session.project.deadline
    settle(qtbot, pool, desk)
    assert session.answer_is_current


def test_a_change_drops_the_plan_that_is_being_made(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """The request for the project as it was is cancelled, and its answer never taken in."""
    pool.answer()
    qtbot.waitUntil(lambda: bool(pool.of(PlanRequest)))
    (old,) = pool.of(PlanRequest)
    session.set_deadline(session.project.deadline + timedelta(days=1))
    assert pool.cancelled == [old.id]
    qtbot.waitUntil(lambda: bool(pool.of(PlanRequest)))
    (new,) = pool.of(PlanRequest)
    assert new.id != old.id
    settle(qtbot, pool, desk)
    assert session.answer_is_current


@pytest.mark.usefixtures("desk")
def test_removing_a_part_drops_its_estimate(qtbot: QtBot, pool: FakePool, session: Bench) -> None:
    """What nobody needs any more is not worked out to the end."""
    (base,) = (request for request in pool.of(EstimateRequest) if request.part.id == "base")
    session.remove(["base"])
    qtbot.waitUntil(lambda: base.id in pool.cancelled)
    assert {request.part.id for request in pool.of(EstimateRequest)} == {"louvre", "cradle"}


def test_stopping_ends_everything_until_the_next_change(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """Cancel leaves nothing running and starts nothing by itself; a change goes on."""
    with qtbot.waitSignal(desk.rested):
        desk.stop()
    assert not pool.held
    qtbot.wait(350)
    assert not pool.held
    assert desk.stopped
    session.set_deadline(session.project.deadline + timedelta(days=1))
    qtbot.waitUntil(lambda: bool(pool.held))
    assert not desk.stopped


def test_planning_again_takes_the_time_of_now(
    qtbot: QtBot, pool: FakePool, desk: Desk, clock: Clock
) -> None:
    """Time has gone on though nothing has changed: the new plan starts from now."""
    settle(qtbot, pool, desk)
    clock.moment_s = made.at(14, 9)
    desk.plan_again()
    (request,) = pool.of(PlanRequest)
    assert request.now_s == made.at(14, 9)
    settle(qtbot, pool, desk)
    assert not pool.held


def test_a_deadline_in_the_past_is_told_at_the_deadline(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """No plan is asked for; a later deadline clears the message."""
    settle(qtbot, pool, desk)
    before = session.project.deadline
    session.set_deadline(before - timedelta(days=9))
    qtbot.waitUntil(lambda: bool(desk.errors(Place.DEADLINE)))
    (error,) = desk.errors(Place.DEADLINE)
    assert isinstance(error, InputError)
    assert error.code is Fault.DEADLINE_PAST
    assert not pool.held
    assert not desk.errors(Place.PLAN)
    session.set_deadline(before)
    settle(qtbot, pool, desk)
    assert not desk.errors(Place.DEADLINE)


def test_files_that_are_no_parts_are_refused_by_name_and_the_others_taken(
    tmp_path: Path, desk: Desk, session: Bench
) -> None:
    """One bad file does not keep the good one out."""
    good, bad = tmp_path / "lid.stl", tmp_path / "notes.docx"
    good.write_bytes(b"solid")
    bad.write_bytes(b"x")
    desk.add_files([bad, good])
    QApplication.processEvents()
    (error,) = desk.errors(Place.PARTS)
    assert isinstance(error, InputError)
    assert error.where.endswith("notes.docx")
    assert "lid" in [part.id for part in session.project.parts]
    desk.add_files([good])
    assert not desk.errors(Place.PARTS)


def test_a_part_nobody_can_make_is_told_and_no_plan_is_asked_for(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench
) -> None:
    """The fault of the file is known by part; the desk rests."""
    fault = InputError(Fault.FILE_TRUNCATED, "parts/louvre.stl", have=1, want=2)
    with qtbot.waitSignal(desk.rested):
        pool.answer(errors={"louvre": fault})
    assert session.problems["louvre"][0].code is Fault.FILE_TRUNCATED
    assert desk.errors(Place.PLAN)
    assert not pool.held


def test_of_what_was_tried_the_last_refusal_is_told(desk: Desk) -> None:
    """A folder that could not be opened is spoken of no more once a picture cannot be written.

    Errors that last and those told beside what they are about stay.
    """

    def refuse(place: Place) -> None:
        def deed() -> None:
            raise InputError(Fault.DEADLINE_PAST, str(place))

        assert not desk.attempt(place, deed)

    for place in (Place.SHOP, Place.PARTS, Place.START, Place.FILES):
        refuse(place)
    assert [place for place in Place if desk.errors(place)] == [
        Place.PARTS,
        Place.FILES,
        Place.SHOP,
    ]
    refuse(Place.START)
    assert desk.errors(Place.START)
    assert not desk.errors(Place.FILES)


def test_a_lost_worker_is_told_at_its_part_and_not_tried_forever(
    qtbot: QtBot, pool: FakePool, desk: Desk
) -> None:
    """The others go on; planning again tries once more."""
    (base,) = (request for request in pool.of(EstimateRequest) if request.part.id == "base")
    pool.end(base.id, Failed(base.id, WorkerLost()))
    qtbot.waitUntil(lambda: "base" in desk.lost)
    settle(qtbot, pool, desk)
    assert not pool.held
    desk.plan_again()
    assert [request.part.id for request in pool.of(EstimateRequest)] == ["base"]
    assert not desk.lost


def test_a_plan_that_cannot_be_made_is_told_at_the_plan(
    qtbot: QtBot, pool: FakePool, desk: Desk
) -> None:
    """What the planner refuses stands there until the next plan."""
    pool.answer()
    qtbot.waitUntil(lambda: bool(pool.of(PlanRequest)))
    (request,) = pool.of(PlanRequest)
    error = InputError(Fault.NO_MACHINE, "parts/base.svg", route="cut")
    pool.end(request.id, Failed(request.id, error))
    qtbot.waitUntil(lambda: desk.errors(Place.PLAN) == (error,))
    assert not desk.busy
    desk.plan_again()
    settle(qtbot, pool, desk)
    assert not desk.errors(Place.PLAN)


def test_progress_counts_the_parts_that_are_done(qtbot: QtBot, pool: FakePool, desk: Desk) -> None:
    """Of three parts one is done and one half done: half of the work is told as done."""
    told: list[tuple[float, str, int, int]] = []
    desk.working.connect(lambda *facts: told.append(facts))
    first, second, _ = pool.of(EstimateRequest)
    others = {ident: entry for ident, entry in pool.held.items() if ident != first.id}
    for ident in others:
        del pool.held[ident]
    pool.answer()
    pool.held.update(others)
    pool.tell(second.id, 0.5, "sections")
    qtbot.waitUntil(lambda: bool(told) and told[-1][1] == "sections")
    assert told[-1] == (0.5, "sections", 1, 3)


def test_another_project_ends_the_work_on_the_first(
    tmp_path: Path, pool: FakePool, desk: Desk, project: Path
) -> None:
    """Its requests are cancelled and its changes no longer heard."""
    first = desk.session
    held = set(pool.held)
    other = tmp_path / "other"
    project.rename(other)
    desk.open(Bench.open(other))
    assert held <= set(pool.cancelled)
    assert desk.session is not first
    desk.open(None)
    assert not pool.held


def test_edits_made_elsewhere_are_taken_in(
    qtbot: QtBot, pool: FakePool, desk: Desk, session: Bench, project: Path
) -> None:
    """Coming back to the window, a changed project.toml is read; a broken one is told."""
    settle(qtbot, pool, desk)
    path = project / "project.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("copies = 6", "copies = 5"), "utf-8")
    with qtbot.waitSignal(desk.changed):
        desk.look_outside()
    assert session.project.parts[0].copies == 5
    path.write_text("name = ", "utf-8")
    desk.look_outside()
    assert desk.errors(Place.PROJECT)
    assert session.project.parts[0].copies == 5
    path.write_text(text, "utf-8")
    desk.look_outside()
    assert not desk.errors(Place.PROJECT)
