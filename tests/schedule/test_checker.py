"""The checker accepts a course drawn up by hand and refuses it after any one thing is made wrong."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import (
    Choice,
    Going,
    Hands,
    Run,
    Site,
    Station,
    Swap,
    Task,
    Turn,
    Weekend,
)
from fabsched.model.windows import Windows
from fabsched.schedule.checked_choice import choice_faults
from fabsched.schedule.checker import check

HOUR = 3600
UP_LATE = Windows.of([(0, HOUR), (6 * HOUR, 12 * HOUR), (13 * HOUR, 24 * HOUR)])
"""Asleep when it would be time to set out for the hall."""
DAY = Windows.of([(0, 12 * HOUR), (13 * HOUR, 24 * HOUR)])

WEEKEND = Weekend(
    zone="UTC",
    begin_s=0,
    deadline_s=20 * HOUR,
    horizon_s=48 * HOUR,
    hands=(Hands(id="ada", name="Ada", base="home", windows=DAY),),
    sites=(
        Site(id="home", name="Home", windows=Windows.always(0, 48 * HOUR)),
        Site(id="hall", name="Hall", windows=Windows.of([(6 * HOUR, 10 * HOUR)])),
    ),
    stations=(
        Station(id="mex", name="Printer", place="home", windows=Windows.always(0, 30 * HOUR)),
        Station(id="ray", name="Laser", place="hall", windows=Windows.always(0, 9 * HOUR)),
    ),
    activities=(
        Run(
            id="lid",
            name="Lid",
            choices=(Choice("mex", Spread.exactly(4 * HOUR)),),
            attended=False,
            start_s=600,
            clear_s=300,
        ),
        Run(
            id="plate",
            name="Plate",
            choices=(Choice("ray", Spread.exactly(HOUR)),),
            attended=True,
            start_s=600,
            clear_s=600,
        ),
        Task(
            id="wire",
            name="Wire",
            place="home",
            people=("ada",),
            seconds=Spread.exactly(2 * HOUR),
            splittable=True,
            after=("lid", "plate"),
        ),
    ),
    travel_s={("home", "hall"): HOUR, ("hall", "home"): HOUR},
)
PLAN = Plan(order=("lid", "plate", "wire"))


def block(ident: str, activity: str, kind: Kind, lane: str, place: str, *times: int) -> Block:
    """A block from start to end in seconds."""
    return Block(
        id=ident,
        activity=activity,
        kind=kind,
        what=ident,
        resource=lane,
        place=place,
        start_s=times[0],
        end_s=times[1],
        attended=activity == "plate",
    )


CUT = (6 * HOUR, 7 * HOUR + 1200)
BACK = CUT[1] + HOUR
CLEARED = BACK + 300
NOON, ONE = 12 * HOUR, 13 * HOUR
LATE = 11 * HOUR
BLOCKS = (
    block("lid.start", "lid", Kind.TEND, "ada", "home", 0, 600),
    block("lid", "lid", Kind.RUN, "mex", "home", 600, 600 + 4 * HOUR),
    block("ada.travel.1", "plate", Kind.TRAVEL, "ada", "hall", 5 * HOUR, 6 * HOUR),
    block("plate", "plate", Kind.RUN, "ray", "hall", *CUT),
    block("plate.hands", "plate", Kind.TEND, "ada", "hall", *CUT),
    block("ada.travel.2", "", Kind.TRAVEL, "ada", "home", CUT[1], BACK),
    block("lid.clear", "lid", Kind.TEND, "ada", "home", BACK, CLEARED),
    block("wire", "wire", Kind.WORK, "ada", "home", LATE, NOON),
    block("wire#2", "wire", Kind.WORK, "ada", "home", ONE, ONE + HOUR),
)
DONE = {"lid": CLEARED, "plate": CUT[1], "wire": ONE + HOUR}
COURSE = Course(blocks=BLOCKS, done_s=DONE, finish_s=ONE + HOUR)


def moved(ident: str, **changes: object) -> Callable[[Course], Course]:
    """A change that alters one block."""

    def change(course: Course) -> Course:
        blocks = tuple(replace(b, **changes) if b.id == ident else b for b in course.blocks)  # type: ignore[arg-type]  # the keys are field names by construction
        return replace(course, blocks=blocks)

    return change


def all_of(activity: str, **changes: object) -> Callable[[Course], Course]:
    """A change that alters every block of an activity but the way to it."""
    idents = [b.id for b in BLOCKS if b.activity == activity and b.kind is not Kind.TRAVEL]

    def change(course: Course) -> Course:
        for ident in idents:
            course = moved(ident, **changes)(course)
        return course

    return change


def without_all(activity: str) -> Callable[[Course], Course]:
    """A change that takes every block of an activity away."""
    return lambda course: replace(
        course, blocks=tuple(b for b in course.blocks if b.activity != activity)
    )


def without(ident: str) -> Callable[[Course], Course]:
    """A change that takes one block away."""
    return lambda course: replace(course, blocks=tuple(b for b in course.blocks if b.id != ident))


def test_accepts_a_sound_course() -> None:
    """A course that keeps every rule is accepted without remark."""
    assert check(WEEKEND, PLAN, COURSE) == ()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (moved("lid", end_s=600), "ends before it starts"),
        (moved("lid.start", start_s=-600), "starts before the beginning"),
        (moved("wire", activity="glue"), "is not carried out"),
        (moved("wire#2", id="wire"), "stands twice"),
        (without("lid"), "lid has 0 machine blocks"),
        (without("lid.clear"), "lid has 1 tends"),
        (without("plate.hands"), "plate has 0 tends"),
        (moved("plate", attended=False), "plate is shown as attended=False"),
        (moved("lid.clear", start_s=BACK - 60), "overlap on ada"),
        (moved("lid", start_s=660), "does not start when hands have started it"),
        (moved("lid", end_s=BACK + 60), "is cleared before it ends"),
        (moved("plate.hands", end_s=CUT[1] - 60), "is not attended all along"),
        (moved("lid", resource="ray"), "which cannot take it"),
        (moved("wire", resource="bob"), "wire is done by"),
        (moved("wire", start_s=LATE + 60), "s of hands, not"),
        (moved("lid", end_s=600 + 3 * HOUR), "lid runs"),
        (moved("wire#2", start_s=ONE - 60), "outside the hours of ada"),
        (moved("wire", place="hall"), "is at hall while ada is at home"),
        (moved("ada.travel.2", start_s=CUT[1] + 60), "does not take the time of the way"),
        (moved("ada.travel.2", place="hall"), "goes nowhere"),
        (moved("lid", place="hall"), "lid is done at hall, not at home"),
        (all_of("plate", place="home"), "plate.hands is done at home, not at hall"),
        (all_of("wire", place="hall"), "wire#2 is done at hall, not at home"),
        (without_all("wire"), "wire has no block"),
        (lambda c: replace(c, finish_s=c.finish_s - 1), "the finish is said to be"),
        (lambda c: replace(c, done_s={**DONE, "lid": CLEARED + 1}), "lid is said to be done"),
        (lambda c: replace(c, done_s={k: v for k, v in DONE.items() if k != "lid"}), "never done"),
    ],
)
def test_refuses_one_wrong_thing(change: Callable[[Course], Course], told: str) -> None:
    """Any single deviation is noticed and named."""
    faults = check(WEEKEND, PLAN, change(COURSE))
    assert any(told in fault for fault in faults), faults


def with_activity(ident: str, **changes: object) -> Weekend:
    """The weekend with one activity altered."""
    return replace(
        WEEKEND,
        activities=tuple(
            replace(a, **changes) if a.id == ident else a  # type: ignore[arg-type]  # see moved()
            for a in WEEKEND.activities
        ),
    )


@pytest.mark.parametrize(
    ("weekend", "told"),
    [
        (with_activity("wire", splittable=False), "wire must not be split"),
        (with_activity("lid", after=("plate",)), "lid starts before plate is there"),
        (with_activity("plate", after=("lid",)), "plate starts before lid is there"),
        (with_activity("wire", earliest_s=LATE + 1), "wire starts before it may"),
        (
            with_activity("wire", earliest_s=LATE, late=Spread(0, 1, 9)),
            "wire starts before it may",
        ),
        (with_activity("wire", people=("bob",)), "wire is done by ['ada']"),
        (
            replace(
                WEEKEND,
                stations=(replace(WEEKEND.stations[0], windows=Windows(())), *WEEKEND.stations[1:]),
            ),
            "lid is outside the hours of mex",
        ),
        (
            replace(
                WEEKEND,
                stations=(WEEKEND.stations[0], replace(WEEKEND.stations[1], windows=Windows(()))),
            ),
            "plate.hands is outside the hours of ada",
        ),
        (
            replace(WEEKEND, hands=(replace(WEEKEND.hands[0], windows=UP_LATE),)),
            "ada.travel.1 is begun outside the hours of ada",
        ),
    ],
)
def test_knows_every_rule_of_the_shop(weekend: Weekend, told: str) -> None:
    """The same course is refused in a shop with one stricter rule."""
    faults = check(weekend, PLAN, COURSE)
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("plan", "told"),
    [
        (Plan(order=("lid", "plate")), "the plan names"),
        (Plan(order=("lid", "plate", "wire", "wire")), "the plan names"),
        (Plan(order=("lid", "plate"), dropped=frozenset({"wire"})), "wire is needed but dropped"),
    ],
)
def test_refuses_an_incomplete_order(plan: Plan, told: str) -> None:
    """Nothing is forgotten, nothing stands twice, nothing needed is dropped."""
    faults = check(WEEKEND, plan, COURSE)
    assert any(told in fault for fault in faults), faults


def test_way_that_takes_no_time_has_no_block() -> None:
    """Where two places are next to each other, one may work at either without a way in between."""
    next_door = replace(WEEKEND, travel_s={("home", "hall"): 0, ("hall", "home"): 0})
    course = without("ada.travel.1")(without("ada.travel.2")(COURSE))
    assert check(next_door, PLAN, course) == ()
    assert "plate.hands is at hall while ada is at home" in check(WEEKEND, PLAN, course)


def test_machine_is_blocked_until_cleared() -> None:
    """A second run may not start on a machine whose finished run still lies there."""
    second = replace(WEEKEND.activities[0], id="foot", name="Foot")
    weekend = replace(WEEKEND, activities=(*WEEKEND.activities, second))
    start = 4 * HOUR + 600
    blocks = (
        *BLOCKS,
        block("foot.start", "foot", Kind.TEND, "ada", "home", start, start + 600),
        block("foot", "foot", Kind.RUN, "mex", "home", start + 600, start + 600 + 4 * HOUR),
        block("foot.clear", "foot", Kind.TEND, "ada", "home", 9 * HOUR, 9 * HOUR + 300),
    )
    course = Course(blocks=blocks, done_s={**DONE, "foot": 9 * HOUR + 300}, finish_s=ONE + HOUR)
    faults = check(weekend, replace(PLAN, order=(*PLAN.order, "foot")), course)
    assert faults == ("mex is held by lid when foot starts",)


def swapped() -> Weekend:
    """The weekend with a second way to make the lid and a bed for each of its two copies."""
    lid, plate, wire = WEEKEND.activities
    assert isinstance(lid, Run)
    assert isinstance(wire, Task)
    full = replace(lid, cargo=(("lid", 2),))
    apart = tuple(replace(lid, id=f"lid-{i}", cargo=(("lid", 1),)) for i in (1, 2))
    other = replace(lid, id="hook", name="Hook", cargo=(("hook", 1),))
    waiting = replace(wire, of="wire", after=("lid", "lid-1", "lid-2", "hook", "plate"))
    bed = Swap(
        id="bed",
        kind=Turn.BED,
        name="Lid",
        out=frozenset({"lid"}),
        into=frozenset({"lid-1", "lid-2"}),
    )
    route = Swap(
        id="route", kind=Turn.ROUTE, name="Lid", out=frozenset({"lid"}), into=frozenset({"hook"})
    )
    return replace(WEEKEND, activities=(full, plate, waiting, *apart, other), swaps=(bed, route))


def choosing(*left_out: str) -> Plan:
    """The plan that leaves these out, and carries out everything else."""
    order = (activity.id for activity in swapped().activities if activity.id not in left_out)
    return Plan(order=tuple(order), dropped=frozenset(left_out))


def test_accepts_what_swaps_lead_to() -> None:
    """The first choice, and every one that a swap makes of it."""
    assert check(swapped(), choosing("lid-1", "lid-2", "hook"), COURSE) == ()
    for left_out in (("lid", "hook"), ("lid", "lid-1", "lid-2")):
        assert not list(choice_faults(swapped(), choosing(*left_out)))


@pytest.mark.parametrize(
    ("left_out", "told"),
    [
        ((), "no swaps lead to"),
        ((), "lid is made 4 times, not 2"),
        (("lid-1", "lid-2"), "no swaps lead to ['hook', 'lid']"),
        (("lid", "hook", "lid-2"), "lid is made 1 times, not 2"),
        (("lid", "lid-1", "lid-2", "hook"), "no swaps lead to []"),
        (("lid-1", "lid-2", "hook", "wire"), "wire is needed but dropped"),
        (("lid-1", "lid-2", "hook", "wire"), "wire is not made, and nothing was decided about it"),
    ],
)
def test_refuses_a_choice_no_swap_leads_to(left_out: tuple[str, ...], told: str) -> None:
    """Made twice, made by halves, or not at all: each is noticed."""
    faults = check(swapped(), choosing(*left_out), COURSE)
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("swap", "told"),
    [
        (
            Swap(id="x", kind=Turn.BED, name="X", out=frozenset({"lid"}), into=frozenset({"gone"})),
            "gone",
        ),
        (
            Swap(id="x", kind=Turn.BED, name="X", out=frozenset({"lid"}), into=frozenset({"lid"})),
            "swaps something for itself",
        ),
        (
            Swap(
                id="x", kind=Turn.BED, name="X", out=frozenset({"lid"}), into=frozenset({"lid-1"})
            ),
            "lid is made 1 times, not 2",
        ),
    ],
)
def test_refuses_swaps_that_make_no_sense(swap: Swap, told: str) -> None:
    """A swap that loses a copy is caught by counting, not by trusting it."""
    weekend = swapped()
    weekend = replace(weekend, swaps=(*weekend.swaps, swap))
    faults = list(choice_faults(weekend, choosing("lid", "lid-2", "hook")))
    assert any(told in fault for fault in faults), faults


def test_somebody_begins_where_they_are() -> None:
    """Whoever is at the hall when the weekend begins does not work at home without a way there."""
    away = replace(WEEKEND, hands=(replace(WEEKEND.hands[0], at="hall"),))
    assert "lid.start is at home while ada is at hall" in check(away, PLAN, COURSE)


def going() -> tuple[Weekend, Course]:
    """The same weekend, the lid started an hour before."""
    lid = WEEKEND.activities[0]
    assert isinstance(lid, Run)
    left = Going("mex", Spread.exactly(3 * HOUR))
    weekend = replace(WEEKEND, activities=(replace(lid, going=left), *WEEKEND.activities[1:]))
    course = moved("lid", start_s=0, end_s=3 * HOUR)(without("lid.start")(COURSE))
    return weekend, course


def test_what_goes_on_needs_no_start() -> None:
    """It runs from the beginning for what is left, and is cleared like any other."""
    weekend, course = going()
    assert check(weekend, PLAN, course) == ()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (moved("lid", start_s=60, end_s=3 * HOUR + 60), "does not go on from the beginning"),
        (moved("lid", end_s=4 * HOUR), "lid runs"),
        (moved("lid", resource="ray"), "which cannot take it"),
        (without("lid.clear"), "lid has 0 tends"),
        (without("lid"), "lid has 0 machine blocks"),
        (moved("lid.clear", start_s=2 * HOUR, end_s=2 * HOUR + 300), "is cleared before it ends"),
    ],
)
def test_refuses_a_going_run_that_is_wrong(change: Callable[[Course], Course], told: str) -> None:
    """What goes on keeps its machine, its time and its clearing."""
    weekend, course = going()
    faults = check(weekend, PLAN, change(course))
    assert any(told in fault for fault in faults), faults


def test_a_going_run_holds_its_machine_from_the_beginning() -> None:
    """Nothing else starts on its machine until it has been cleared."""
    weekend, course = going()
    second = replace(WEEKEND.activities[0], id="foot", name="Foot")
    weekend = replace(weekend, activities=(*weekend.activities, second))
    start = 3 * HOUR
    blocks = (
        *course.blocks,
        block("foot.start", "foot", Kind.TEND, "ada", "home", start, start + 600),
        block("foot", "foot", Kind.RUN, "mex", "home", start + 600, start + 600 + 4 * HOUR),
        block("foot.clear", "foot", Kind.TEND, "ada", "home", 9 * HOUR, 9 * HOUR + 300),
    )
    course = replace(course, blocks=blocks, done_s={**course.done_s, "foot": 9 * HOUR + 300})
    faults = check(weekend, replace(PLAN, order=(*PLAN.order, "foot")), course)
    assert "mex is held by lid when foot starts" in faults


def with_choice(**changes: Any) -> Weekend:
    """The weekend whose printer asks for other hands than the run says."""
    lid = WEEKEND.activities[0]
    assert isinstance(lid, Run)
    choices = (replace(lid.choices[0], **changes),)
    return replace(WEEKEND, activities=(replace(lid, choices=choices), *WEEKEND.activities[1:]))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"start_s": 900}, "lid takes 900 s of hands, not 1200"),
        ({"clear_s": 400}, "lid takes 900 s of hands, not 1000"),
        ({"start_s": 0}, "lid has 2 tends"),
        ({"clear_s": 0}, "lid has 2 tends"),
    ],
)
def test_a_machine_may_ask_for_other_hands(changes: dict[str, int], told: str) -> None:
    """What is told of the machine counts, not what is told of the run; the same is no other."""
    assert check(with_choice(start_s=600, clear_s=300), PLAN, COURSE) == ()
    assert told in check(with_choice(**changes), PLAN, COURSE)


WATCHED = replace(
    COURSE,
    blocks=tuple(replace(b, end_s=900) if b.id == "lid.start" else b for b in COURSE.blocks),
)


def test_who_starts_a_run_stays_to_watch_it() -> None:
    """The machine runs meanwhile; hands that leave sooner, or start it later, are told."""
    week = with_choice(watch_s=300)
    assert check(week, PLAN, WATCHED) == ()
    assert "lid is not watched for 300 s" in check(week, PLAN, COURSE)
    late = tuple(
        replace(b, start_s=900, end_s=b.end_s + 300) if b.id == "lid" else b for b in WATCHED.blocks
    )
    told = check(week, PLAN, replace(WATCHED, blocks=late))
    assert "lid does not start when hands have started it" in told


def test_who_watches_what_goes_on_is_busy() -> None:
    """The rest of a watch is a block of its own; it may neither be missing nor be cut short."""
    week, course = going()
    lid = week.activities[0]
    assert isinstance(lid, Run)
    assert lid.going
    watched = replace(lid, going=replace(lid.going, by="ada", watch_s=600))
    week = replace(week, activities=(watched, *week.activities[1:]))
    rest = block("lid.watch", "lid", Kind.TEND, "ada", "home", 0, 600)
    kept = replace(course, blocks=(rest, *course.blocks))
    assert check(week, PLAN, kept) == ()
    assert "lid has 1 tends" in check(week, PLAN, course)
    told = check(week, PLAN, moved("lid.watch", end_s=300)(kept))
    assert "lid is not watched for 600 s" in told


def test_who_stays_near_a_run_does_not_leave() -> None:
    """A way while it runs is told, and so is that they were never there."""
    week = with_choice(stays=True)
    long = moved("lid", end_s=9 * HOUR)(COURSE)
    assert "lid: ada leaves home while it runs" in check(week, PLAN, long)
    elsewhere = replace(week, hands=(replace(week.hands[0], at="hall"),))
    assert "lid: ada is not at home while it runs" in check(elsewhere, PLAN, COURSE)


def test_who_stays_near_a_run_has_time_for_that() -> None:
    """They may sleep where they are based, but not be called away."""
    week = with_choice(stays=True)
    assert not [fault for fault in check(week, PLAN, COURSE) if fault.startswith("lid:")]
    called = replace(week.hands[0], away=Windows.always(2 * HOUR, 3 * HOUR))
    told = check(replace(week, hands=(called,)), PLAN, COURSE)
    assert "lid: ada cannot stay at home while it runs" in told
