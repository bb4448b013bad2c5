"""What the log is not told: slips get one line each, what is unusual and true goes through."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Event
from fabsched.model.project import Component, Work
from fabsched.model.spread import Spread
from fabsched.session.bench import Bench
from fabsched.session.edits import put_all
from fabsched.session.sayings import Saying, Verb
from tests.session.made import NOW
from tests.session.test_bench import HOUR, NOW_S, bench_of, planned, say

YEAR_S = 365 * 24 * HOUR


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A planned box of a printed lid, and something to solder."""
    return planned(bench_of(tmp_path))


def refused(bench: Bench, saying: Saying) -> InputError:
    """Why it was not written down; nothing was."""
    before = bench.log.entries
    with pytest.raises(InputError) as told:
        bench.tell(saying)
    bench.log.refresh()
    assert bench.log.entries == before
    return told.value


def test_what_goes_on_is_not_started_again(bench: Bench) -> None:
    """The line says since when it goes on; once it has ended it can be started again."""
    bench.tell(say(Verb.START, "lid", 1))
    error = refused(bench, say(Verb.START, "lid", 1.5))
    assert error.code is Fault.GOES_ALREADY
    assert error.facts["what"] == "Lid"
    assert error.facts["start"] == (NOW + timedelta(hours=1)).isoformat()
    bench.tell(say(Verb.FAIL, "lid", 2))
    assert bench.tell(say(Verb.START, "lid", 2.5)).kind is Event.STARTED


def test_what_never_began_is_left_out_not_broken_off(bench: Bench) -> None:
    """The log says what it means for the plan; what goes on is broken off."""
    assert bench.tell(say(Verb.CANCEL, "lid", 1)).kind is Event.DROPPED
    bench.undo()
    bench.tell(say(Verb.START, "lid", 1))
    assert bench.tell(say(Verb.CANCEL, "lid", 1.5)).kind is Event.CANCELLED


def test_nothing_is_started_where_something_has_just_begun(tmp_path: Path) -> None:
    """Most likely another machine was meant; what may have ended by then makes room without a word."""
    bench = bench_of(tmp_path)
    lid = next(part for part in bench.project.parts if part.id == "lid")
    bench.change("copies", put_all([replace(lid, copies=2, per_run=1)]))
    planned(bench)
    first = bench.tell(say(Verb.START, "lid-1", 1))
    error = refused(bench, say(Verb.START, "lid-2", 1.2))
    assert error.code is Fault.MACHINE_BUSY
    assert error.facts["other"] == first.meant.name
    assert error.facts["start"] == (NOW + timedelta(hours=1)).isoformat()
    assert bench.tell(say(Verb.START, "lid-2", 1.2, sure=True)).subject == "lid-2"
    bench.undo()
    bench.tell(say(Verb.START, "lid-2", 3.1))
    assert bench.log.state.going.keys() == {"lid-2"}


def test_what_failed_fails_again_only_after_a_new_start(bench: Bench) -> None:
    """Two clicks on "failed" are one failure."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.FAIL, "lid", 2))
    assert refused(bench, say(Verb.FAIL, "lid", 2.1)).code is Fault.FAILED_ALREADY
    assert len(bench.log.state.past) == 1


def test_what_is_off_its_machine_is_not_taken_off_again(bench: Bench) -> None:
    """It would count as one more print that went well."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.FINISH, "lid", 2))
    bench.tell(say(Verb.CLEAR, "lid", 2.1))
    assert refused(bench, say(Verb.CLEAR, "lid", 2.2)).code is Fault.DONE_ALREADY


def test_what_was_never_told_to_have_begun_counts_as_done(bench: Bench) -> None:
    """Told afterwards: it is done, and teaches no time."""
    bench.tell(say(Verb.FINISH, "solder", 3))
    done = bench.log.state.done["solder"]
    assert done.taken_s is None
    assert not [one for one in bench.experiences.seen if one.key.endswith("work/solder")]


def test_what_was_done_can_turn_out_to_be_bad(bench: Bench) -> None:
    """It is made again."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.FINISH, "lid", 3))
    bench.tell(say(Verb.CLEAR, "lid", 3))
    bench.tell(say(Verb.FAIL, "lid", 4))
    assert "lid" not in bench.log.state.done


@pytest.mark.parametrize(
    ("saying", "fault"),
    [
        (say(Verb.START, "lid", -24 * 365), Fault.MOMENT_FAR),
        (say(Verb.LOSE, "printer", 1, until_s=NOW_S + YEAR_S), Fault.MOMENT_FAR),
        (say(Verb.DEADLINE, "", 1, until_s=NOW_S - YEAR_S), Fault.MOMENT_FAR),
        (say(Verb.LOSE, "printer", 2, until_s=NOW_S + HOUR), Fault.UNTIL_BEFORE),
        (say(Verb.DELAY, "lid", 2, until_s=NOW_S + HOUR), Fault.UNTIL_BEFORE),
    ],
)
def test_a_wrong_year_is_asked_about(bench: Bench, saying: Saying, fault: Fault) -> None:
    """What lies far from everything else is refused, until it is said to be meant."""
    assert refused(bench, replace(saying, now_s=NOW_S + 3 * HOUR)).code is fault
    if fault is Fault.MOMENT_FAR:
        assert bench.tell(replace(saying, now_s=NOW_S + 3 * HOUR, sure=True)).id


def test_a_deadline_may_move_before_now(bench: Bench) -> None:
    """It has passed then; the rest is planned all the same."""
    bench.tell(say(Verb.START, "lid", 2))
    bench.tell(say(Verb.DEADLINE, "", 3, until_s=NOW_S + HOUR))
    planned(bench, 3)
    assert bench.answer
    assert bench.answer.odds.on_time == 0


def test_a_correction_stays_between_its_neighbours(bench: Bench) -> None:
    """A start after its end, or an end before its start, would undo what happened."""
    start = bench.tell(say(Verb.START, "lid", 1))
    end = bench.tell(say(Verb.FINISH, "lid", 3))
    for entry, hours in ((start, 4.0), (end, 0.5)):
        with pytest.raises(InputError) as told:
            bench.correct(entry.id, replace(say(Verb.START, "", hours), now_s=NOW_S + 5 * HOUR))
        assert told.value.code is Fault.OUT_OF_ORDER
    bench.correct(end.id, replace(say(Verb.START, "", 2.5), now_s=NOW_S + 5 * HOUR))
    bench.correct(start.id, replace(say(Verb.START, "", 2.0), now_s=NOW_S + 5 * HOUR))
    (stint,) = bench.log.state.uncleared.values()
    assert stint.taken_s == HOUR // 2


def test_a_component_can_be_late_and_arrive(bench: Bench) -> None:
    """Everything that needs it waits; what it waited for is there once it has arrived."""
    wire = Component(id="wire", name="Thin wire", needed_by=("solder",))
    bench.change("add-work", lambda project: replace(project, components=(wire,)))
    planned(bench)
    assert bench.tell(say(Verb.DELAY, "thin WIRE", 1, until_s=NOW_S + 9 * HOUR)).subject == "wire"
    planned(bench, 1)
    assert _start_s(bench, "solder") >= NOW_S + 9 * HOUR
    assert _start_s(bench, "lid") < NOW_S + 2 * HOUR
    bench.tell(say(Verb.ARRIVE, "wire", 2))
    planned(bench, 2)
    assert _start_s(bench, "solder") < NOW_S + 9 * HOUR
    assert refused(bench, say(Verb.START, "wire", 2)).code is Fault.NAME_UNKNOWN


def crewed(bench: Bench, *names: str) -> Bench:
    """With a box to lift for two, by some people."""
    first = bench.shop.people[0]
    people = [replace(first, id=name.lower(), name=name) for name in names]
    bench.change_shop("shop", lambda shop: replace(shop, people=tuple(people)))
    lift = Work(id="lift", name="Lift", minutes=Spread(30, 60, 90), people_needed=2)
    bench.change("add-work", put_all([lift]))
    return bench


def test_what_takes_all_there_are_is_done_by_all(bench: Bench) -> None:
    """Nobody has to be named; the block of either of them stands for their common work."""
    both = planned(crewed(bench, "Ada", "Bo"))
    for block, verb in (("lift", Verb.START), ("lift+bo", Verb.FINISH)):
        entry = both.tell(say(verb, block, 1))
        assert entry.subject == "lift"
        assert sorted(entry.meant.people) == ["ada", "bo"]


@pytest.mark.parametrize(
    ("by", "helpers", "people"),
    [
        ("cy", ("bo",), ("cy", "bo")),
        ("Cy", ("Bo", "ada"), ("cy", "bo", "ada")),
        ("cy", ("bo", "bo"), ("cy", "bo")),
    ],
)
def test_who_did_it_together_is_named(
    bench: Bench, by: str, helpers: tuple[str, ...], people: tuple[str, ...]
) -> None:
    """By id or name, each once."""
    entry = planned(crewed(bench, "Ada", "Bo", "Cy")).tell(
        say(Verb.START, "lift", 1, person=by, helpers=helpers)
    )
    assert entry.meant.people == people


def test_nobody_helped(bench: Bench) -> None:
    """What was meant for two was done by one alone."""
    entry = planned(crewed(bench, "Ada", "Bo")).tell(
        say(Verb.START, "lift", 1, person="bo", helpers=())
    )
    assert entry.meant.people == ("bo",)


def test_who_is_named_as_a_helper_is_not_alone(bench: Bench) -> None:
    """With one of the two who were meant, it is the other who did it."""
    both = planned(crewed(bench, "Ada", "Bo"))
    entry = both.tell(say(Verb.START, "lift", 1, helpers=("ada",)))
    assert entry.meant.people == ("bo", "ada")


@pytest.mark.parametrize(
    ("by", "helpers", "where"),
    [("", ("bo",), "--by"), ("bo", ("bo",), "--by"), ("", ("dee",), "--with")],
)
def test_a_crew_of_nobody_known_is_refused(
    tmp_path: Path, by: str, helpers: tuple[str, ...], where: str
) -> None:
    """Nobody helps themselves, nobody unknown helps, and where three could, who did it has to be said."""
    several = crewed(bench_of(tmp_path), "Ada", "Bo", "Cy")
    several.accept_meanings(several.meanings_request(NOW).run())
    error = refused(several, say(Verb.START, "lift", 1, person=by, helpers=helpers))
    assert error.where == where


def _start_s(bench: Bench, activity: str) -> int:
    assert bench.answer
    return min(b.start_s for b in bench.answer.course.blocks if b.activity == activity)


def test_what_can_mean_one_thing_only_is_answered_as_by_its_id(bench: Bench) -> None:
    """A name shown that fits one activity is not called one of several: it is told what is wrong."""
    assert bench.tell(say(Verb.FAIL, "Lid", 1)).subject == "lid"
    bench.tell(say(Verb.CLEAR, "Lid", 1.1))
    assert (
        refused(bench, say(Verb.FAIL, "Lid", 1.2)).code
        is refused(bench, say(Verb.FAIL, "lid", 1.2)).code
    )


def test_a_bed_that_is_shared_no_longer_is_not_the_first_part_on_it(bench: Bench) -> None:
    """Half of what ran would be noted in silence; only a helper may stand behind a plus."""
    assert refused(bench, say(Verb.START, "lid+pin", 1)).code is Fault.NAME_UNKNOWN
    person = bench.shop.people[0].id
    assert bench.tell(say(Verb.START, f"lid+{person}", 1)).subject == "lid"
