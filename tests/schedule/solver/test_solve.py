"""The model of a weekend: its bound holds for every plan, its schedules keep the rules."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings

from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Unwatched
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Run, Task, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.schedule.checker import check
from fabsched.schedule.guide import laid_out
from fabsched.schedule.needs import asked_for
from fabsched.schedule.rules import proposals
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.jobs import jobs_of
from fabsched.schedule.solver.modes import NoRoom
from fabsched.schedule.solver.solve import Schedule, solve, solve_each
from fabsched.schedule.solver.times import Objective, times_of
from tests.model.made import MIN, H, as_listed, cutting, hours, printing, task, weekend
from tests.model.weekends import planned
from tests.schedule.weekends import maker_weekend

LITTLE = Bounds(work=0.3)


@settings(max_examples=60)
@given(planned())
def test_no_plan_finishes_before_the_bound(case: tuple[Weekend, Plan]) -> None:
    """Whatever is urgent, carrying out the likely times takes at least as long as the bound.

    The plan's course as a hint shortens the calendar and leaves the bound where it is.
    """
    found, plan = case
    assume(not plan.dropped)
    course = replay(found, plan, nominal(found))
    enough = Bounds(work=3.0)
    free, hinted = (solve(found, Objective.NOMINAL, enough, hint=h) for h in (None, course))
    if course.finish_s < NEVER:
        assert free.bound_s is not None
        assert free.bound_s <= course.finish_s
        assert free.status != "optimal" or hinted.bound_s == free.finish_s


@settings(max_examples=30)
@given(planned())
def test_a_single_task_for_several_is_scheduled_as_it_will_be_done(
    case: tuple[Weekend, Plan],
) -> None:
    """Whatever hours people and place have: alone, a crew begins as early as it can."""
    found, _ = case
    place = found.sites[0].id
    found = replace(
        found,
        hands=tuple(replace(each, base=place) for each in found.hands),
        activities=tuple(
            replace(a, needed=True, after=(), place=place)
            for a in found.activities
            if isinstance(a, Task) and a.crew > 1
        )[:1],
    )
    assume(found.activities)
    course = replay(found, as_listed(found), nominal(found))
    finish_s = solve(found, Objective.NOMINAL, LITTLE).finish_s
    assert (NEVER if finish_s is None else finish_s) == course.finish_s


def finish_h(found: Weekend) -> float:
    """The earliest finish, proved, in hours."""
    schedule = solve(found, Objective.NOMINAL, LITTLE)
    assert schedule.status == "optimal"
    assert schedule.finish_s == schedule.bound_s
    assert schedule.finish_s is not None
    return schedule.finish_s / H


NIGHT = hours((0, 4), (14, 24), (38, 48))
GLIMPSES = hours(*((start, start + 0.2) for start in (0, 2, 4, 6)))
"""Time to clear a machine or to start it, but not for both."""

THREE = ("ada", "bo", "cy")


def up(found: Weekend, **windows: Windows) -> Weekend:
    """The same with other hours for each."""
    return replace(found, hands=tuple(replace(h, windows=windows[h.id]) for h in found.hands))


CASES: Mapping[str, tuple[Weekend, float]] = {
    "hands start and clear a print": (weekend(printing("lid", 2 * H)), 2.25),
    "a print is watched at its beginning": (
        weekend(printing("lid", 2 * H, watch_s=H // 2), task("wire", H)),
        2.25,
    ),
    "only what is watched takes hands from other work": (
        weekend(printing("lid", H, watch_s=H // 2), task("wire", H)),
        10 / 60 + 0.5 + 1 + 5 / 60,
    ),
    "nobody watches a print while asleep": (
        weekend(printing("lid", 2 * H, watch_s=H), up=hours((0, 1), (3, 9))),
        5.25,
    ),
    "nobody goes away while a print needs somebody near": (
        weekend(printing("lid", 2 * H, stays=True, clear_s=0), cutting("plate", H)),
        10 / 60 + 2 + 0.5 + 1.25,
    ),
    "a machine is blocked until it is cleared": (
        weekend(printing("lid", H), printing("foot", H), up=GLIMPSES),
        6 + 5 / 60,
    ),
    "a print runs through the night": (weekend(printing("lid", 13 * H), up=NIGHT), 14 + 5 / 60),
    "a machine keeps its hours": (
        weekend(printing("lid", 3 * H), open_={"printer": hours((0, 3), (10, 20))}),
        13 + 5 / 60,
    ),
    "one pair of hands": (weekend(task("wire"), task("solder")), 2.0),
    "two pairs of hands": (weekend(task("wire"), task("solder"), people=("ada", "bo")), 1.0),
    "two machines": (
        weekend(
            *(
                replace(printing(i), choices=tuple(Choice(m, Spread.exactly(2 * H)) for m in "ab"))
                for i in ("lid", "foot")
            ),
            machines={"a": "home", "b": "home"},
        ),
        2 + 25 / 60,
    ),
    "the faster machine": (
        weekend(
            replace(
                printing("lid"),
                choices=(Choice("a", Spread.exactly(9 * H)), Choice("b", Spread.exactly(H))),
            ),
            machines={"a": "home", "b": "home"},
        ),
        1.25,
    ),
    "work fits into one window": (weekend(task("wire", 5 * H), up=NIGHT), 19.0),
    "splittable work lies over the night": (
        weekend(task("wire", 5 * H, splittable=True), up=NIGHT),
        15.0,
    ),
    "splittable work waits while the place is closed": (
        weekend(
            task("saw", 2 * H, place="workshop", splittable=True),
            open_={"workshop": hours((1, 2), (5, 9))},
        ),
        6.0,
    ),
    "a cut is attended, the way before it": (weekend(cutting("plate", H)), 0.5 + 1.25),
    "the way back and forth": (
        weekend(cutting("plate", H), task("wire", H, after=("plate",))),
        0.5 + 1.25 + 0.5 + 1,
    ),
    "two sheets in one trip": (weekend(cutting("plate", H), cutting("back", H)), 0.5 + 2.5),
    "nothing begins before it may": (weekend(task("wire", H, earliest_s=7 * H)), 8.0),
    "two people lift together": (
        weekend(task("lift", crew=2), task("wire", people=("bo",)), people=("ada", "bo")),
        2.0,
    ),
    "of three who are alike, two crews of two take turns": (
        weekend(*(task(i, crew=2, people=THREE) for i in ("lift", "turn")), people=THREE),
        2.0,
    ),
    "the third of three who are alike does something else": (
        weekend(
            task("lift", 2 * H, crew=2, people=THREE),
            task("wire", people=THREE),
            task("solder", people=THREE),
            people=THREE,
        ),
        2.0,
    ),
    "each of a crew has their way": (
        weekend(
            cutting("plate", H),
            task("lift", crew=2),
            task("wire", people=("bo",)),
            people=("ada", "bo"),
        ),
        1 + 0.5 + 1.25,
    ),
    "what may not be split fits into hours that both have": (
        up(
            weekend(task("lift", 2 * H, crew=2), people=("ada", "bo")),
            ada=hours((0, 3), (6, 20)),
            bo=hours((2, 5), (7, 20)),
        ),
        9.0,
    ),
    "a pause of one is a pause of all": (
        up(
            weekend(task("paint", 3 * H, crew=2, splittable=True), people=("ada", "bo")),
            ada=hours((0, 1), (2, 20)),
            bo=hours((0, 3), (4, 20)),
        ),
        5.0,
    ),
    "who has a pause in common work does nothing else": (
        up(
            weekend(
                task("paint", 3 * H, crew=2, splittable=True),
                task("wire", people=("ada",), after=("page",)),
                task("page", 0, people=("ada",)),
                people=("ada", "bo"),
            ),
            ada=hours((0, 20)),
            bo=hours((0, 1), (2, 20)),
        ),
        5.0,
    ),
    "those are taken who share more hours": (
        up(
            weekend(task("paint", 3 * H, crew=2, splittable=True, people=THREE), people=THREE),
            ada=hours((0, 1), (9, 20)),
            bo=hours((0, 1), (2, 20)),
            cy=hours((1, 2), (3, 20)),
        ),
        6.0,
    ),
    "what is optional is left out": (weekend(task("wire"), task("page", needed=False)), 1.0),
    "what something needed waits for is not": (
        weekend(task("page", needed=False), task("wire", after=("page",))),
        2.0,
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_earliest_finish_is_known(case: str) -> None:
    """Small weekends whose earliest finish can be worked out by hand."""
    found, expected_h = CASES[case]
    assert finish_h(found) == pytest.approx(expected_h)


@pytest.mark.parametrize(
    ("order", "status", "late_h"),
    [(("lift", "wire", "solder"), "optimal", 0), (("wire", "solder", "lift"), "feasible", 2)],
)
def test_a_plan_with_a_crew_is_told_how_far_it_is_from_the_best(
    order: tuple[str, ...], status: str, late_h: float
) -> None:
    """Lifting together first, each goes on alone; after three hours of wiring, all the rest waits for it."""
    found = weekend(
        task("lift", crew=2),
        task("wire", 3 * H, people=("ada",)),
        task("solder", 2 * H, people=("bo",), after=("lift",)),
        people=("ada", "bo"),
    )
    plan = Plan(order=order)
    told = laid_out(found, plan, LITTLE, watch=UNWATCHED)
    course = replay(found, plan, nominal(found))
    assert check(found, plan, course) == ()
    assert told.status == status
    assert told.bound_s == 4 * H
    assert course.finish_s == (4 + late_h) * H


@pytest.mark.parametrize("objective", Objective)
def test_same_seed_gives_the_same_schedule(objective: Objective) -> None:
    """Also where the effort ends before the search does."""
    short = Bounds(work=0.05, seed=7)
    first, second = (solve(maker_weekend(), objective, short) for _ in range(2))
    assert first == second


def test_schedule_names_what_is_asked_for() -> None:
    """Optional work that nobody waits for has no start."""
    found = maker_weekend()
    assert solve(found, Objective.EXPECTED, LITTLE).starts.keys() == asked_for(found)


def test_hint_is_no_constraint() -> None:
    """A course of a bad plan leads to the same optimum."""
    found = maker_weekend()
    hint = replay(found, as_listed(found), nominal(found))
    free, hinted = (solve(found, Objective.NOMINAL, Bounds(), hint=h) for h in (None, hint))
    assert free.finish_s == hinted.finish_s
    assert hinted.finish_s is not None
    assert hinted.finish_s <= hint.finish_s


def test_searches_do_not_disturb_each_other() -> None:
    """Side by side they find what each finds alone."""
    found = maker_weekend()
    together = solve_each(found, tuple(Objective), LITTLE, hints={})
    assert together == {o: solve(found, o, LITTLE) for o in Objective}


def test_expected_times_are_longer() -> None:
    """Setbacks put the earliest finish off, and gates hold back what waits for them."""
    found = maker_weekend()
    likely, expected = (solve(found, o, Bounds()) for o in (Objective.NOMINAL, Objective.EXPECTED))
    assert likely.bound_s is not None
    assert expected.finish_s is not None
    assert likely.bound_s < expected.finish_s


def test_risk_puts_what_may_fail_first() -> None:
    """Of two prints that could swap places, the one that loses more when it fails goes first."""
    safe = replace(printing("safe", 4 * H), fail_hour=0.0)
    risky = replace(printing("risky", 4 * H), fail_hour=0.05)
    found = weekend(safe, risky)
    starts = solve(found, Objective.RISK, LITTLE).starts
    assert starts["risky"] < starts["safe"]


def test_late_weekends_are_still_scheduled() -> None:
    """The deadline is a soft wall."""
    found = weekend(task("wire", 9 * H), deadline_s=H)
    assert solve(found, Objective.RISK, LITTLE).status == "optimal"


def test_tells_when_nothing_fits() -> None:
    """Work longer than every window, and a machine that is never open long enough."""
    for found in (
        weekend(task("wire", 20 * H), up=NIGHT),
        weekend(printing("lid", 9 * H), open_={"printer": hours((0, 3))}),
        weekend(cutting("plate", 9 * H), open_={"laser": hours((0, 3))}),
    ):
        assert solve(found, Objective.NOMINAL, LITTLE) == Schedule(status="unknown")
        with pytest.raises(NoRoom):
            jobs_of(found, times_of(found, Objective.NOMINAL))


def test_tells_when_not_everything_fits() -> None:
    """Each fits alone, both together do not."""
    found = weekend(task("wire", 3 * H), task("solder", 3 * H), up=Windows.of([(0, 4 * H)]))
    assert solve(found, Objective.NOMINAL, LITTLE).status == "unknown"


def test_likely_time_stands_in_for_a_mean_that_fits_nowhere() -> None:
    """A cut of likely fifty minutes may be planned into an hour, though it takes longer on average."""
    long = Run(
        id="plate",
        name="Plate",
        choices=(Choice("laser", Spread(40 * MIN, 50 * MIN, 90 * MIN)),),
        attended=True,
        start_s=MIN,
        clear_s=MIN,
        fail_start=0.5,
    )
    found = weekend(long, open_={"laser": hours((1, 2))})
    assert solve(found, Objective.EXPECTED, LITTLE).status == "optimal"


class Impatient(Unwatched):
    """A watch that wants an end at once."""

    def stopped(self) -> bool:
        """Always."""
        return True


def test_stops_when_asked() -> None:
    """A search that would go on for long ends soon."""
    with pytest.raises(Cancelled):
        solve(maker_weekend(), Objective.RISK, Bounds(work=1000.0), watch=Impatient())


def test_first_plans_finish_no_earlier_than_the_optimum() -> None:
    """The rules' plans for the maker, each against the proved optimum."""
    found = maker_weekend()
    best = solve(found, Objective.NOMINAL, Bounds())
    assert best.status == "optimal"
    for proposal in proposals(found):
        finish_s = replay(found, proposal.plan, nominal(found)).finish_s
        assert best.bound_s is not None
        assert finish_s >= best.bound_s
