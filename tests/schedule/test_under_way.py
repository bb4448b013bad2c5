"""What is left of a weekend: the past is fixed, what runs goes on."""

from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.log import Cure, Entry, Event, Meant, Remedy, Sort
from fabsched.model.plan import Kind, Plan
from fabsched.model.replay import replay
from fabsched.model.scenario import Scenario, nominal
from fabsched.model.spread import Spread
from fabsched.model.state import State, state_of
from fabsched.model.weekend import (
    AGAIN,
    Awaited,
    Choice,
    Going,
    Run,
    Station,
    Swap,
    Task,
    Turn,
    Weekend,
)
from fabsched.model.windows import Windows
from fabsched.odds.odds import odds_of
from fabsched.schedule.answers import checked_course
from fabsched.schedule.happened import meant_by
from fabsched.schedule.progress import left_of_run, left_of_work
from fabsched.schedule.remedies import clear_id, coupon_of
from fabsched.schedule.replan import carried_over, in_progress_first
from fabsched.schedule.under_way import UnderWay, under_way
from tests.model.made import H, task
from tests.model.made import weekend as made_weekend
from tests.schedule.following import told
from tests.schedule.weekends import (
    BEGIN,
    HOUR,
    MINUTE,
    maker_weekend,
    printed,
    spread,
    weekends,
    work,
)

WEEKEND = maker_weekend()


def listed(weekend: Weekend) -> Plan:
    """Everything in the order in which it is listed."""
    return Plan(order=tuple(activity.id for activity in weekend.activities))


def state(*entries: Entry) -> State:
    """The state after some entries, numbered as they come."""
    return state_of(replace(entry, id=i) for i, entry in enumerate(entries, start=1))


def say(kind: Event, subject: str, hours: float, **more: Any) -> Entry:
    """An entry about an activity of the maker's weekend, so many hours after its beginning."""
    known = {activity.id: activity for activity in WEEKEND.activities}
    meant = meant_by(known[subject], WEEKEND) if subject in known else Meant()
    moment_s = BEGIN + round(hours * HOUR)
    entry = Entry(kind=kind, moment_s=moment_s, noted_s=moment_s, subject=subject, meant=meant)
    return replace(entry, **more)


def after(
    *entries: Entry,
    hours: float,
    weekend: Weekend = WEEKEND,
    late: Spread | None = None,
    outside: frozenset[str] = frozenset(),
) -> UnderWay:
    """What is left of the maker's weekend after some entries."""
    now_s = BEGIN + round(hours * HOUR)
    return under_way(weekend, state(*entries), now_s, late=late, outside=outside)


def ids(weekend: Weekend) -> set[str]:
    """Of everything that is still to do."""
    return {activity.id for activity in weekend.activities}


@settings(max_examples=40, deadline=None)
@given(weekends(), st.floats(0, 1), st.randoms(use_true_random=False))
def test_a_weekend_under_way_can_be_planned(weekend: Weekend, share: float, chance: Random) -> None:
    """At any moment, what is left is a sound weekend: it can be carried out, and passes the checker.

    What is done is not in it, and nothing of it lies in the past.
    """
    order = [activity.id for activity in weekend.activities]
    chance.shuffle(order)
    plan = Plan(order=tuple(order))
    course = checked_course(weekend, plan)
    now_s = BEGIN + round(share * (max(b.end_s for b in course.blocks) - BEGIN))
    left = under_way(weekend, state_of(told(weekend, course, now_s)), now_s)
    done = {ident for ident, done_s in course.done_s.items() if done_s <= now_s}
    assert ids(left.weekend) == ids(weekend) - done == ids(weekend) - left.done.keys()
    assert all(set(a.after) <= ids(left.weekend) for a in left.weekend.activities)
    going = in_progress_first(carried_over(left.weekend, plan), left.by_hand)
    assert all(block.start_s >= now_s for block in checked_course(left.weekend, going).blocks)


def test_what_goes_as_planned_stays_as_planned() -> None:
    """Half way through a print that keeps to its time, it ends when it would have, and so does the rest."""
    course = checked_course(WEEKEND, listed(WEEKEND))
    block = next(b for b in course.blocks if b.id == "roof")
    now_s = block.start_s + MINUTE
    left = under_way(WEEKEND, state_of(told(WEEKEND, course, now_s)), now_s)
    again = replay(left.weekend, carried_over(left.weekend, listed(WEEKEND)), nominal(left.weekend))
    assert next(b for b in again.blocks if b.id == "roof").end_s == block.end_s
    assert again.finish_s == course.finish_s


def test_a_going_print_takes_what_is_left_of_its_estimate() -> None:
    """After an hour of three, two are left, and it is on its machine already."""
    run = after(say(Event.STARTED, "louvre-1", 1), hours=2).weekend.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert run.going.machine == "mex"
    whole = run.choices[0].seconds
    assert run.going.seconds.likely == whole.likely - HOUR
    assert run.going.seconds.high == whole.high - HOUR


def test_whoever_is_there_goes_on_watching_a_print_begin() -> None:
    """They are busy for what is left of the watch; with other work in hand they do not watch."""
    louvre = WEEKEND.activity("louvre-1")
    assert isinstance(louvre, Run)
    watched = replace(louvre, watch_s=20 * MINUTE)
    week = replace(
        WEEKEND,
        activities=tuple(watched if a.id == louvre.id else a for a in WEEKEND.activities),
    )
    started = say(Event.STARTED, "louvre-1", 1)
    left = after(started, hours=1.1, weekend=week).weekend
    run = left.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert (run.going.by, run.going.watch_s) == (WEEKEND.hands[0].id, 14 * MINUTE)
    course = checked_course(left, listed(left))
    assert min(b.end_s for b in course.blocks if b.resource == run.going.by) == (
        BEGIN + HOUR + 20 * MINUTE
    )
    for hours in (1.4, 2):
        later = after(started, hours=hours, weekend=week).weekend.activity("louvre-1")
        assert isinstance(later, Run)
        assert later.going
        assert later.going.watch_s == 0


def test_whoever_is_there_stays_near_a_print_that_asks_for_it() -> None:
    """Until it is over; who cannot be had is not there."""
    louvre = WEEKEND.activity("louvre-1")
    assert isinstance(louvre, Run)
    near = replace(louvre, stays=True)
    week = replace(
        WEEKEND, activities=tuple(near if a.id == louvre.id else a for a in WEEKEND.activities)
    )
    lost = Entry(
        kind=Event.LOST,
        moment_s=BEGIN + 5 * HOUR,
        noted_s=BEGIN + HOUR,
        subject=WEEKEND.hands[0].id,
        until_s=BEGIN + 6 * HOUR,
    )
    left = after(say(Event.STARTED, "louvre-1", 1), lost, hours=2, weekend=week).weekend
    run = left.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert (run.going.by, run.going.watch_s) == (WEEKEND.hands[0].id, 0)
    assert left.hands[0].away == Windows.always(BEGIN + 5 * HOUR, BEGIN + 6 * HOUR)
    over_s = BEGIN + 2 * HOUR + run.going.seconds.likely
    ways = [b for b in checked_course(left, listed(left)).blocks if b.kind is Kind.TRAVEL]
    assert ways
    assert min(way.start_s for way in ways) >= over_s


def test_an_estimate_of_its_own_time_counts() -> None:
    """What goes on keeps the estimate it was started with, and an end that was told goes first."""
    started = say(Event.STARTED, "louvre-1", 1)
    slow = replace(started, meant=replace(started.meant, seconds=spread(600)))
    run = after(slow, hours=2).weekend.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert run.going.seconds.likely == 9 * HOUR
    late = say(Event.DELAYED, "louvre-1", 1.5, until_s=BEGIN + 3 * HOUR)
    run = after(slow, late, hours=2).weekend.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going == Going("mex", Spread.exactly(HOUR), HOUR)


def test_a_told_end_that_has_passed_tells_nothing_more() -> None:
    """What should have been done by then takes what its estimate leaves, not a moment."""
    begun = say(Event.STARTED, "solder", 1)
    told = say(Event.DELAYED, "solder", 1.1, until_s=BEGIN + 2 * HOUR)
    task = after(begun, told, hours=1.5).weekend.activity("solder")
    assert isinstance(task, Task)
    assert task.seconds == Spread.exactly(0.5 * HOUR)
    task = after(begun, told, hours=2.25).weekend.activity("solder")
    assert isinstance(task, Task)
    assert task.seconds == left_of_work(spread(90), 1.25 * HOUR)
    started = say(Event.STARTED, "louvre-1", 1)
    late = say(Event.DELAYED, "louvre-1", 1.5, until_s=BEGIN + 2 * HOUR)
    run = after(started, late, hours=2.5).weekend.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert started.meant.seconds
    assert run.going.seconds == left_of_run(started.meant.seconds, 1.5 * HOUR)


def test_a_print_that_has_ended_only_waits_for_hands() -> None:
    """It holds its machine for no more than clearing takes, and followers wait for that."""
    left = after(say(Event.STARTED, "cradle", 1), say(Event.FINISHED, "cradle", 2.6), hours=3)
    course = checked_course(left.weekend, carried_over(left.weekend, listed(WEEKEND)))
    assert [b.id for b in course.blocks if b.activity == "cradle"] == ["cradle.clear"]
    assert course.done_s["cradle"] == BEGIN + 3 * HOUR + 5 * MINUTE
    assert "cradle" in left.weekend.activity("fit-cradle").after


def test_a_failed_print_is_cleared_and_made_again() -> None:
    """Its machine takes nothing before somebody has cleared it; then it is made like any other."""
    left = after(
        say(Event.STARTED, "cradle", 1), say(Event.FAILED, "cradle", 2, share=0.7), hours=2.5
    )
    course = checked_course(left.weekend, carried_over(left.weekend, listed(WEEKEND)))
    (clearing,) = (b for b in course.blocks if b.activity == clear_id("mex"))
    assert clearing.kind is Kind.TEND
    assert clearing.what == "Cradle"
    printing = [b for b in course.blocks if b.resource == "mex"]
    assert all(block.start_s >= clearing.end_s for block in printing)
    assert {"cradle", "louvre-1"} <= {block.activity for block in printing}


def test_work_in_progress_stays_with_whoever_does_it() -> None:
    """Its rest is what open hours have left of it, where it is done."""
    left = after(say(Event.STARTED, "solder", 4), hours=14.5)
    task = left.weekend.activity("solder")
    assert isinstance(task, Task)
    assert task.people == ("maker",)
    spent_s = 1.5 * HOUR  # an hour on Friday, half an hour on Saturday
    assert task.seconds == left_of_work(spread(90), spent_s)
    assert left.by_hand == ("solder",)


LIFT = Task(
    id="lift",
    name="Lift",
    place="home",
    people=("maker", "bo", "cy"),
    crew=2,
    seconds=spread(90),
)
HELPED = replace(
    WEEKEND,
    hands=(
        *WEEKEND.hands,
        *(replace(WEEKEND.hands[0], id=ident, name=ident.title()) for ident in ("bo", "cy")),
    ),
    activities=(*WEEKEND.activities, LIFT),
)


def lifted(*people: str, kind: Event = Event.STARTED, hours: float = 0.5) -> Entry:
    """What is told of the lifting."""
    return say(kind, "lift", hours, meant=meant_by(LIFT, HELPED, people=people))


def test_common_work_in_progress_stays_with_all_who_do_it() -> None:
    """Planned again in the middle of it, those two go on with the rest of it; the third is free."""
    left = after(lifted("cy", "maker"), hours=1, weekend=HELPED)
    task = left.weekend.activity("lift")
    assert isinstance(task, Task)
    assert (set(task.people), task.crew) == ({"cy", "maker"}, 2)
    assert task.seconds == left_of_work(spread(90), 0.5 * HOUR)
    plan = in_progress_first(carried_over(left.weekend, listed(HELPED)), left.by_hand)
    course = checked_course(left.weekend, plan)
    blocks = [b for b in course.blocks if b.activity == "lift"]
    assert {b.resource for b in blocks} == {"cy", "maker"}
    assert {b.start_s for b in blocks} == {left.weekend.begin_s}


def test_common_work_goes_on_with_those_who_began_it() -> None:
    """More than it takes, or somebody who was not meant to: what was told counts."""
    few = replace(LIFT, people=("maker", "bo"))
    weekend = replace(HELPED, activities=(*WEEKEND.activities, few))
    for people in (("maker", "bo", "cy"), ("cy", "bo")):
        task = after(lifted(*people), hours=1, weekend=weekend).weekend.activity("lift")
        assert isinstance(task, Task)
        assert (task.people, task.crew) == (people, len(people))


def test_common_work_of_which_not_all_are_known_is_for_any_of_them() -> None:
    """One of the two was told: who the other was is not made up."""
    left = after(lifted("cy"), hours=1, weekend=HELPED)
    task = left.weekend.activity("lift")
    assert isinstance(task, Task)
    assert (task.people, task.crew) == (LIFT.people, 2)


def test_common_work_that_is_done_is_not_done_again() -> None:
    """Told as finished once, whoever did it."""
    done = (lifted("cy", "bo"), lifted("cy", "bo", kind=Event.FINISHED, hours=2))
    left = after(*done, hours=2.1, weekend=HELPED)
    assert "lift" not in ids(left.weekend)


def test_somebody_at_the_laser_is_there() -> None:
    """A cut that goes on is on its machine, and hands are beside it."""
    left = after(say(Event.STARTED, "acrylic-3-sheet-1", 1), hours=1.1)
    run = left.weekend.activity("acrylic-3-sheet-1")
    assert isinstance(run, Run)
    assert left.weekend.hands[0].at == "workshop"
    course = checked_course(
        left.weekend, in_progress_first(carried_over(left.weekend, listed(WEEKEND)), left.by_hand)
    )
    assert course.blocks[0].start_s == left.weekend.begin_s
    assert course.blocks[0].activity == "acrylic-3-sheet-1"


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [
        (0, (10 * MINUTE, 12 * MINUTE, 10 * MINUTE)),
        (4, (6 * MINUTE, 12 * MINUTE, 10 * MINUTE)),
        (13, (0, 9 * MINUTE, 10 * MINUTE)),
        (28, (0, 1, 8 * MINUTE)),  # it had surely stopped after 26
        (60, (0, 1, 0)),
    ],
)
def test_a_cut_in_progress_takes_what_is_left_of_each_step(
    minutes: int, expected: tuple[int, int, int]
) -> None:
    """Setting up comes first, then the cut, then clearing, which begins once it surely has stopped."""
    started = say(Event.STARTED, "acrylic-3-sheet-1", 16)
    left = after(started, hours=16 + minutes / 60).weekend.activity("acrylic-3-sheet-1")
    assert isinstance(left, Run)
    assert (left.start_s, left.choices[0].seconds.likely, left.clear_s) == expected


def test_work_done_early_hands_on_what_it_should_have_waited_for() -> None:
    """Whoever waits for a check that was told as passed still waits for what was to be checked."""
    plan = made_weekend(
        task("cradle"), task("fit", after=("cradle",)), task("stack", after=("fit",))
    )
    passed = Entry(
        kind=Event.FINISHED,
        moment_s=plan.begin_s,
        noted_s=plan.begin_s,
        id=1,
        subject="fit",
        meant=meant_by(plan.activity("fit"), plan),
    )
    left = under_way(plan, state_of([passed]), plan.begin_s).weekend
    assert left.activity("stack").after == ("cradle",)


def test_whoever_has_slept_since_is_at_home() -> None:
    """Where somebody was last seen says nothing after a pause."""
    seen = (say(Event.STARTED, "acrylic-3-sheet-1", 1), say(Event.FINISHED, "acrylic-3-sheet-1", 2))
    assert after(*seen, hours=2.5).weekend.hands[0].at == "workshop"
    assert after(*seen, hours=15).weekend.hands[0].at == ""


def test_a_fault_brings_back_what_is_made_again() -> None:
    """The gate waits for it, and finds faults less often the second time."""
    made = (say(Event.CLEARED, "cradle", 3), say(Event.FOUND, "fit-cradle", 4))
    left = after(*made, hours=4.1)
    fit = left.weekend.activity("fit-cradle")
    assert isinstance(fit, Task)
    assert "cradle" in ids(left.weekend)
    assert fit.after == ("cradle",)
    assert fit.chance == pytest.approx(0.2 * AGAIN)


def test_a_gate_may_send_back_what_is_done() -> None:
    """What was made before is made again if a gate finds it wrong, in its own time."""
    left = after(say(Event.CLEARED, "cradle", 3), hours=4)
    weekend, plan = left.weekend, carried_over(left.weekend, listed(WEEKEND))
    assert "cradle" not in ids(weekend)
    luck = nominal(weekend)
    copies = {"fit-cradle>1>cradle": (95 * MINUTE,), "fit-cradle>1": (10 * MINUTE,)}
    wrong = Scenario(seconds={**luck.seconds, **copies}, left=luck.left, faults={"fit-cradle": 1})
    course = replay(weekend, plan, wrong)
    again = [b for b in course.blocks if b.id == "fit-cradle>1>cradle"]
    assert [b.end_s - b.start_s for b in again] == [95 * MINUTE]


def test_delays_arrivals_and_losses() -> None:
    """What is delayed starts later, what has arrived need not wait, and lost hours are lost."""
    late_s = BEGIN + 20 * HOUR
    left = after(
        say(Event.DELAYED, "solder", 1, until_s=late_s),
        say(Event.LOST, "mex", 1, until_s=late_s),
        say(Event.LOST, "maker", 2, until_s=BEGIN + 3 * HOUR),
        hours=1,
    ).weekend
    assert left.activity("solder").earliest_s == late_s
    assert left.station("mex").windows.spans[0][0] == late_s
    assert not left.hands[0].windows.is_open(BEGIN + 2 * HOUR)
    assert left.hands[0].windows.is_open(BEGIN + 4 * HOUR)
    waiting = replace(
        WEEKEND,
        activities=tuple(replace(a, earliest_s=late_s) for a in WEEKEND.activities),
    )
    there = after(say(Event.ARRIVED, "code", 1), hours=1, weekend=waiting).weekend
    assert there.activity("code~2").earliest_s == 0
    assert there.activity("wire").earliest_s == late_s


def test_what_is_told_to_come_may_be_late_again() -> None:
    """A component and a delivery may be late; what the maker puts off is not; what came is there."""
    late_s, late = BEGIN + 20 * HOUR, Spread(0, HOUR, 4 * HOUR)
    needing = Meant(name="Sensor", items=(("code", 1), ("wire", 1)))
    put_off = replace(say(Event.DELAYED, "sensor", 1, until_s=late_s), meant=needing)
    left = after(
        put_off, say(Event.DELAYED, "solder", 1, until_s=late_s), hours=1, late=late
    ).weekend
    assert {a.late for a in left.activities if {a.id, getattr(a, "of", "")} & {"code", "wire"}} == {
        late
    }
    assert left.activity("solder").late is None
    came = replace(say(Event.ARRIVED, "sensor", 2), meant=needing)
    there = after(put_off, came, hours=2, late=late).weekend
    assert {a.late for a in there.activities} == {None}
    own = Spread(0, 60, 120)
    waiting = replace(
        WEEKEND,
        activities=tuple(replace(a, earliest_s=BEGIN, late=own) for a in WEEKEND.activities),
    )
    moved = after(
        say(Event.DELAYED, "wire", 1, until_s=late_s), hours=1, weekend=waiting, late=late
    )
    assert moved.weekend.activity("wire").late == own
    assert moved.weekend.activity("wire").earliest_s == late_s


def test_what_waits_for_something_from_outside_may_be_late_although_nobody_said_so() -> None:
    """Told to come at another moment it is late as usual; what came is there; begun, it has it."""
    late_s, late = BEGIN + 20 * HOUR, Spread(0, HOUR, 4 * HOUR)
    told = say(Event.DELAYED, "solder", 1, until_s=late_s)
    outside = frozenset({"solder"})
    moved = after(told, hours=1, late=late, outside=outside).weekend.activity("solder")
    assert (moved.earliest_s, moved.late) == (late_s, late)
    came = say(Event.ARRIVED, "solder", 2)
    there = after(told, came, hours=2, late=late, outside=outside).weekend.activity("solder")
    assert (there.earliest_s, there.late) == (0, None)


def test_what_has_not_come_at_the_moment_told_comes_no_sooner_than_now() -> None:
    """Its lateness is cut off below what was waited; told anew, it is counted from the new moment."""
    late = Spread(0, HOUR, 4 * HOUR)
    needing = Meant(name="Sensor", items=(("code", 1), ("wire", 1)))
    told = replace(say(Event.DELAYED, "sensor", 0.2, until_s=BEGIN + HOUR), meant=needing)
    wire = after(told, hours=3, late=late).weekend.activity("wire")
    assert wire.earliest_s == BEGIN + 3 * HOUR
    assert wire.awaited == Awaited(told_s=BEGIN + HOUR, late=late, waited_s=2 * HOUR)
    assert wire.late
    assert 0 < wire.late.likely < HOUR
    again = replace(told, moment_s=BEGIN + 3 * HOUR, until_s=BEGIN + 9 * HOUR)
    wire = after(told, again, hours=3, late=late).weekend.activity("wire")
    assert (wire.earliest_s, wire.late, wire.awaited) == (BEGIN + 9 * HOUR, late, None)


def test_what_has_begun_waits_for_nothing_that_is_late() -> None:
    """Whoever began has it, told of or not; the rest of a work waits for no more than was told."""
    told_s, late = BEGIN + HOUR, Spread(0, HOUR, 4 * HOUR)
    needing = Meant(name="Sensor", items=(("code", 1), ("wire", 1)))
    told = replace(say(Event.DELAYED, "sensor", 0.2, until_s=told_s), meant=needing)
    begun = say(Event.STARTED, "code~1", 1.5)
    left = after(told, begun, hours=1.6, late=late).weekend
    first, second, wire = (left.activity(ident) for ident in ("code~1", "code~2", "wire"))
    assert (first.earliest_s, first.late) == (0, None)
    assert (second.earliest_s, second.late) == (told_s, None)
    assert wire.awaited == Awaited(told_s=told_s, late=late, waited_s=round(0.6 * HOUR))


def test_a_component_told_to_come_leaves_the_chance_of_the_closed_form() -> None:
    """In time is if it comes early enough: the beta distribution behind the three points says how often.

    PERT with low 0, likely 1 h and high 4 h is 4 h times Beta(2, 4), whose distribution function is
    1 - (1 - x)^5 - 5 x (1 - x)^4 (integer parameters: a binomial sum, Abramowitz & Stegun 26.5.7,
    from memory). What has come is sure.
    """
    glue = task("glue", 2 * H)
    week = made_weekend(glue, deadline_s=10 * H)
    needing = Meant(name="Sensor", items=(("glue", 1),))
    told = Entry(
        kind=Event.DELAYED, moment_s=0, noted_s=0, subject="sensor", until_s=6 * H, meant=needing
    )
    came = replace(told, kind=Event.ARRIVED, moment_s=H, until_s=None)
    rest = under_way(week, state(told), H, late=Spread(0, H, 4 * H)).weekend
    share = 0.5
    wanted = 1 - (1 - share) ** 5 - 5 * share * (1 - share) ** 4
    odds = odds_of(rest, listed(rest), scenarios=20_000, seed=4)
    assert odds.on_time == pytest.approx(wanted, abs=3 * (wanted * (1 - wanted) / 20_000) ** 0.5)
    there = under_way(week, state(told, came), H, late=Spread(0, H, 4 * H)).weekend
    assert odds_of(there, listed(there), scenarios=100, seed=4).p90_s == 3 * H


def test_the_wall_moves_unless_the_project_says_otherwise() -> None:
    """A moved deadline holds as long as the project is the one it was moved for."""
    moved = say(Event.DEADLINE, "", 1, was_s=WEEKEND.deadline_s, until_s=WEEKEND.deadline_s + HOUR)
    assert after(moved, hours=1).weekend.deadline_s == WEEKEND.deadline_s + HOUR
    other = replace(WEEKEND, deadline_s=WEEKEND.deadline_s + 7)
    assert after(moved, hours=1, weekend=other).weekend.deadline_s == WEEKEND.deadline_s + 7


def test_what_is_dropped_is_waited_for_by_nobody() -> None:
    """By the name of the activity or of its item."""
    left = after(say(Event.DROPPED, "page", 1), say(Event.DROPPED, "roof", 1), hours=1).weekend
    assert not ids(left) & {"page~1", "page~2", "roof"}
    assert "roof" not in left.activity("stack").after


def test_copies_made_on_other_beds_count() -> None:
    """After beds were shared out anew, what was made is taken off what is left to make."""
    beds = tuple(
        replace(printed(f"foot-{i}", 60, "mex"), cargo=(("foot", 2),), after=()) for i in (1, 2)
    )
    weekend = replace(WEEKEND, activities=beds)
    meant = Meant(sort=Sort.RUN, items=(("foot", 3),), machine="mex")
    made = Entry(kind=Event.CLEARED, moment_s=BEGIN, noted_s=BEGIN, subject="foot", meant=meant)
    left = under_way(weekend, state(made), BEGIN + HOUR).weekend
    (rest,) = left.activities
    assert isinstance(rest, Run)
    assert rest.id == "foot-2"
    assert rest.cargo == (("foot", 1),)
    assert rest.choices[0].seconds.likely == 30 * MINUTE


def _with_beds() -> Weekend:
    """Two prints that may share a bed instead, or be left out for a third."""
    names = ("a", "b", "ab", "c")
    runs = tuple(replace(printed(name, 60, "mex"), cargo=((name, 1),)) for name in names)
    swaps = (
        Swap(id="bed", kind=Turn.BED, name="ab", out=frozenset("ab"), into=frozenset({"ab"})),
        Swap(id="way", kind=Turn.ROUTE, name="c", out=frozenset({"ab"}), into=frozenset("c")),
    )
    return replace(WEEKEND, activities=(*runs, work("join", 30, *names)), swaps=swaps)


@pytest.mark.parametrize(
    ("made", "left", "swaps"),
    [
        ("a", {"b", "join"}, 0),
        ("ab", {"join"}, 0),
        ("c", {"join"}, 0),
        ("", {"a", "b", "ab", "c", "join"}, 2),
    ],
)
def test_what_was_made_decides(made: str, left: set[str], swaps: int) -> None:
    """A bed that was printed is not shared out otherwise, and what it replaces is not made."""
    weekend = _with_beds()
    entries = []
    if made:
        meant = meant_by(weekend.activity(made), weekend)
        entries = [
            Entry(kind=Event.CLEARED, moment_s=BEGIN, noted_s=BEGIN, subject=made, meant=meant)
        ]
    rest = under_way(weekend, state(*entries), BEGIN + HOUR).weekend
    assert ids(rest) == left
    assert len(rest.swaps) == swaps


def remedied(cure: Cure, **more: Any) -> Weekend:
    """What is left after the cradle has failed and something was decided about it."""
    remedy = replace(Remedy(cure=cure, subject="cradle"), **more)
    two = Station(
        id="two", name="Two", place="home", windows=Windows.always(BEGIN, WEEKEND.horizon_s)
    )
    cradle = WEEKEND.activity("cradle")
    assert isinstance(cradle, Run)
    seconds = cradle.choices[0].seconds
    both = replace(cradle, choices=(*cradle.choices, Choice("two", seconds)))
    activities = tuple(both if a.id == "cradle" else a for a in WEEKEND.activities)
    weekend = replace(WEEKEND, stations=(*WEEKEND.stations, two), activities=activities)
    failed = (say(Event.STARTED, "cradle", 1), say(Event.FAILED, "cradle", 2))
    chosen = say(Event.CHOSEN, "cradle", 2.1, remedy=remedy)
    return after(*failed, chosen, hours=2.2, weekend=weekend).weekend


def test_choices_after_a_failure() -> None:
    """Each choice is a change of the weekend that can be carried out."""
    cradle = WEEKEND.activity("cradle")
    assert isinstance(cradle, Run)
    likely_s = cradle.choices[0].seconds.likely
    other = remedied(Cure.MACHINE, machine="two").activity("cradle")
    slower = remedied(Cure.SLOWER, factor=1.5, risk=0.5).activity("cradle")
    coupon = remedied(Cure.COUPON, seconds=spread(10), risk=0.5)
    repaired = remedied(Cure.REPAIR, seconds=spread(20))
    assert isinstance(other, Run)
    assert isinstance(slower, Run)
    assert [choice.machine for choice in other.choices] == ["two"]
    assert slower.choices[0].seconds.likely == 1.5 * likely_s
    assert slower.fail_hour == cradle.fail_hour / 2
    assert coupon.activity("cradle").after == (coupon_of(cradle),)
    assert isinstance(repaired.activity("cradle"), Task)
    assert "cradle" not in ids(remedied(Cure.DROP))
    for weekend in (remedied(Cure.AGAIN), coupon, repaired):
        assert checked_course(weekend, carried_over(weekend, listed(WEEKEND))).finish_s


@given(st.floats(0, 1e5), st.lists(st.floats(1, 1e5), min_size=3, max_size=3).map(sorted))
def test_what_is_left_shrinks(spent_s: float, figures: list[float]) -> None:
    """Nothing left is below nothing, and what is not done yet takes no less than was thought."""
    seconds = replace(spread(1), low=figures[0], likely=figures[1], high=figures[2])
    assert left_of_work(seconds, spent_s).low >= 0
    left = left_of_run(seconds, spent_s)
    assert left.high >= max(0, figures[2] - spent_s) * (1 - 1e-6) - 1e-3
    assert left.low >= 0
    assert left_of_work(seconds, 0).high == pytest.approx(max(60, figures[2]))
