"""The checker accepts a course drawn up by hand and refuses it after any one thing is made wrong."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.checker import check

HOUR = 3600
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
