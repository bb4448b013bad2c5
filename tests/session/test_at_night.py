"""What goes wrong at two in the morning: each ends in a plan, or in one line with nothing lost."""

import sqlite3
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Event
from fabsched.session.bench import Bench
from fabsched.session.sayings import Verb
from tests.session.made import NOW
from tests.session.test_bench import HOUR, NOW_S, bench_of, opened, planned, say


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A planned box of a printed lid, and something to solder."""
    return planned(bench_of(tmp_path))


def test_a_machine_lost_for_hours(bench: Bench) -> None:
    """Nothing is started on it meanwhile."""
    bench.tell(say(Verb.LOSE, "printer", 0.5, until_s=NOW_S + 7 * HOUR))
    planned(bench, 0.5)
    assert bench.answer
    starts = [b.start_s for b in bench.answer.course.blocks if b.resource == "printer"]
    assert min(starts) >= NOW_S + 7 * HOUR


def test_a_person_gone(bench: Bench) -> None:
    """Nobody else is there: hands rest, and what comes then is planned."""
    person = bench.shop.people[0].id
    bench.tell(say(Verb.LOSE, person, 0.5, until_s=NOW_S + 20 * HOUR))
    planned(bench, 0.5)
    assert bench.answer
    starts = [b.start_s for b in bench.answer.course.blocks if b.resource == person]
    assert min(starts) >= NOW_S + 20 * HOUR


def test_everything_done(bench: Bench) -> None:
    """There is nothing left to do, nothing to choose, and it was in time for sure."""
    for subject, hours in (("lid", 1.0), ("solder", 4.0)):
        bench.tell(say(Verb.START, subject, hours))
        bench.tell(say(Verb.FINISH, subject, hours + 2))
    bench.tell(say(Verb.CLEAR, "lid", 7))
    planned(bench, 7)
    assert bench.answer
    assert (bench.answer.plan.order, bench.answer.odds.on_time) == ((), 1.0)
    assert not bench.option_requests()


def test_a_clock_set_back(bench: Bench) -> None:
    """What was told by the clock that went ahead stays; what is told then is refused, not mixed up."""
    bench.tell(say(Verb.START, "lid", 3))
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.FINISH, "lid", 2))
    assert refused.value.code is Fault.BEFORE_START
    planned(bench, 2)
    assert bench.replanned
    assert "lid" in bench.replanned.rest.going


def test_the_night_the_clocks_change(bench: Bench) -> None:
    """Three hours on the clock from one to three are three or two of the machine; the log knows which."""
    zone = ZoneInfo("Europe/Berlin")
    first = int(datetime(2026, 10, 25, 1, 30, tzinfo=zone).timestamp())
    last = int(datetime(2026, 10, 25, 3, 30, tzinfo=zone).timestamp())
    bench.tell(replace(say(Verb.START, "lid", 0), at_s=first, now_s=first))
    bench.tell(replace(say(Verb.FINISH, "lid", 0), at_s=last, now_s=last))
    assert bench.log.state.uncleared["printer"].taken_s == 3 * HOUR


def test_two_windows_take_back_in_turn(bench: Bench) -> None:
    """Undo takes back what was told last, by whichever window; nothing is taken back twice."""
    other = opened(bench)
    bench.tell(say(Verb.START, "lid", 1))
    other.look_at_log()
    other.tell(say(Verb.FINISH, "lid", 3))
    bench.undo()
    assert "lid" in bench.log.state.going
    other.look_at_log()
    other.undo()
    assert not other.log.state.has_begun
    bench.look_at_log()
    assert bench.log.entries == other.log.entries
    bench.undo()
    assert sum(entry.kind is Event.WITHDRAWN for entry in bench.log.entries) == 2


def test_a_log_somebody_holds(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line after some patience; what was told before is there, and it works again afterwards."""
    monkeypatch.setattr("fabsched.files.ledger.PATIENCE_S", 0.1)
    bench.tell(say(Verb.START, "lid", 1))
    before = bench.log.entries
    holder = sqlite3.connect(bench.folder / "log.sqlite", isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.FINISH, "lid", 3))
    assert refused.value.code is Fault.LOG_BUSY
    holder.execute("ROLLBACK")
    holder.close()
    assert opened(bench).log.entries == before
    assert bench.tell(say(Verb.FINISH, "lid", 3)).kind is Event.FINISHED


def test_a_deadline_that_moved_nearer_during_a_run(bench: Bench) -> None:
    """The run goes on, and the odds are those of the nearer wall."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.DEADLINE, "", 1.5, until_s=NOW_S + 2 * HOUR))
    planned(bench, 1.5)
    assert bench.replanned
    assert bench.replanned.rest.weekend.deadline_s == NOW_S + 2 * HOUR
    assert bench.replanned.rest.going.keys() == {"lid"}
    assert NOW + timedelta(days=2) == bench.project.deadline
