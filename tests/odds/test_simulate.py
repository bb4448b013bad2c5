"""The compiled simulator against the dispatch rule it has to repeat."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.plan import Plan
from fabsched.model.replay import replay
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds import kernel
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.simulate import carry_out, done_by, finishes_of, simulate
from fabsched.odds.truths import PUBLISHED
from tests.model.made import MIN, H, as_listed, cutting, printing, task, weekend
from tests.model.weekends import planned, planned_in_the_middle, planned_near_home


def agree(weekend: Weekend, plan: Plan, seed: int) -> None:
    """Every finish is that of the replay of its scenario."""
    draws = draw(compile_weekend(weekend), 8, seed)
    replayed = [replay(weekend, plan, scenario_of(draws, i)).finish_s for i in range(8)]
    assert finishes_of(draws, plan).tolist() == replayed


@settings(max_examples=150)
@given(planned(), st.integers(0, 2**32 - 1))
def test_every_scenario_ends_when_the_replay_of_it_ends(
    case: tuple[Weekend, Plan], seed: int
) -> None:
    """Simulator and replay agree on every finish to the second, whatever the weekend."""
    agree(*case, seed)


@settings(max_examples=150)
@given(planned_near_home(), st.integers(0, 2**32 - 1))
def test_who_stays_near_a_print_stays_as_in_the_replay(
    case: tuple[Weekend, Plan], seed: int
) -> None:
    """Simulator and replay agree where people may not leave a place before a machine stops."""
    agree(*case, seed)


@settings(max_examples=150)
@given(planned_in_the_middle(), st.integers(0, 2**32 - 1))
def test_a_weekend_that_begins_in_the_middle_ends_as_its_replay(
    case: tuple[Weekend, Plan], seed: int
) -> None:
    """Simulator and replay agree with runs going on, people anywhere and deliveries late."""
    weekend, plan = case
    draws = draw(compile_weekend(weekend), 8, seed, truths=PUBLISHED)
    courses = [replay(weekend, plan, scenario_of(draws, i)) for i in range(8)]
    done, finishes = done_by(draws, plan, plan.order)
    assert finishes.tolist() == [course.finish_s for course in courses]
    for number, ident in enumerate(plan.order):
        for index, course in enumerate(courses):
            known = done[number, index]
            assert known in (NEVER, course.done_s.get(ident, NEVER))
            if weekend.activity(ident).needed and course.finish_s < NEVER:
                assert known == course.done_s[ident]


def test_whoever_waits_for_a_crew_far_from_home_waits_as_in_the_replay() -> None:
    """One of several who would do it together is on the way back to it when the others look."""
    everybody = ("ada", "bo", "cy")
    week = weekend(
        task("pair", 0, people=("ada", "bo"), crew=2),
        task("lift", 0, people=everybody, crew=3, place="workshop"),
        task("look", 1, people=("ada",), after=("lift",), chance=1.0, redo=("pair", "lift")),
        people=everybody,
    )
    draws = draw(compile_weekend(week), 8, 0)
    replayed = [replay(week, as_listed(week), scenario_of(draws, i)).finish_s for i in range(8)]
    assert finishes_of(draws, as_listed(week)).tolist() == replayed


@pytest.mark.parametrize("threads", [2, 3, 7])
def test_threads_change_nothing(threads: int) -> None:
    """However many threads share the scenarios, every finish is the same to the bit."""
    week = weekend(
        printing("lid", Spread(H, 2 * H, 9 * H), fail_start=0.3),
        task("fit", Spread(1, 20, 900), after=("lid",), chance=0.5, redo=("lid",)),
        cutting("plate"),
    )
    draws = draw(compile_weekend(week), 101, 5)
    alone = finishes_of(draws, as_listed(week))
    assert np.array_equal(finishes_of(draws, as_listed(week), threads=threads), alone)


def test_a_head_of_the_luck_is_the_head_of_the_finishes() -> None:
    """Fewer scenarios of the same luck end as they do among more."""
    week = weekend(printing("lid", Spread(H, 2 * H, 9 * H), fail_start=0.3), task("a"))
    draws = draw(compile_weekend(week), 60, 5)
    finishes = finishes_of(draws, as_listed(week))
    assert np.array_equal(finishes_of(draws.head(20), as_listed(week)), finishes[:20])


def test_what_is_not_done_by_then_may_be_given_up() -> None:
    """With a moment to stop at, finishes before it stay, and later ones may be told as never."""
    week = weekend(printing("lid", Spread(H, 2 * H, 9 * H), fail_start=0.3), task("a"))
    draws = draw(compile_weekend(week), 200, 5)
    program = compile_plan(draws.frame, as_listed(week))
    finishes, until = carry_out(draws, program), 3 * H
    cut = carry_out(draws, program._replace(until=until))
    assert np.array_equal(cut <= until, finishes <= until)
    assert np.array_equal(cut[cut <= until], finishes[finishes <= until])


def test_one_compilation_serves_every_weekend() -> None:
    """Weekends of any size, and any part of their luck, have tables of the same types."""
    before = len(kernel.carry_out.signatures)
    small = weekend(task("a"))
    large = weekend(
        printing("lid", fail_start=0.5),
        task("fit", after=("lid",), chance=0.5, redo=("lid",)),
        people=("ada", "bo"),
    )
    for week in (weekend(), small, large):
        draws = draw(compile_weekend(week), 9, 1)
        finishes_of(draws, as_listed(week))
        finishes_of(draws.head(3), as_listed(week), threads=2)
    assert len(kernel.carry_out.signatures) <= max(before, 1)


def test_nobody_does_nothing() -> None:
    """Without anybody nothing is done, and without needed activities nothing has to be."""
    week = weekend(task("a"), people=())
    assert simulate(week, as_listed(week), scenarios=2, seed=0).tolist() == [NEVER, NEVER]
    assert simulate(weekend(), Plan(order=()), scenarios=2, seed=0).tolist() == [0, 0]


def test_a_run_fails_as_often_as_the_machine_it_is_on() -> None:
    """On a sure machine never; on another as likely as that is told, with hands of its own."""
    sure = Choice("printer", Spread.exactly(2 * H), fail_start=0.0)
    risky = Choice("other", Spread.exactly(2 * H), start_s=0, clear_s=0, fail_start=0.4)
    for choices in ((sure, risky), (risky, sure)):
        run = printing("lid", choices=choices, fail_start=0.9)
        finishes = simulate(
            weekend(run, machines={"other": "home"}),
            Plan(order=("lid",)),
            scenarios=4000,
            seed=3,
        )
        quickest = 2 * H + (15 * MIN if choices[0] is sure else 0)
        share = float(np.mean(finishes == quickest))
        assert share == (1.0 if choices[0] is sure else pytest.approx(0.6, abs=0.03))
