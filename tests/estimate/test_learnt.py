"""Estimates taught by the log."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.learning_motion import ENOUGH
from fabsched.estimate.learnt import (
    DOUBTFUL,
    UNKNOWN,
    Machines,
    doubtful,
    load_moves,
    load_s,
    machines_of,
    taught,
    taught_rough,
)
from fabsched.model.estimates import Estimate, Moves, Route
from fabsched.model.experience import RunSeen
from fabsched.model.spread import Spread
from tests.estimate.test_learning_motion import PRINTED, UNSEEN, USUAL, on
from tests.estimate.test_moves import changed

PLAIN = Estimate(
    route=Route.PRINT,
    machine="printer",
    stock="PLA",
    seconds=Spread(3000.0, 3300.0, 3630.0),
    breakdown_s={"heating": 180.0, "walls": 2820.0, "cooling": 300.0},
    cost=2.0,
    footprint_mm=(10.0, 10.0),
)


def run(number: int, factor: float, estimate: Estimate = PLAIN) -> RunSeen:
    """A run that took so many times what was computed."""
    return RunSeen(
        key=f"log/{number:03}",
        at_s=number,
        machine="printer",
        route=Route.PRINT,
        material="PLA",
        estimated_s=estimate.seconds.likely,
        ran_s=factor * estimate.seconds.likely,
        moves=estimate.moves,
    )


def logged(factor: float, count: int = 10) -> Machines:
    """What so many runs alike teach."""
    return machines_of(run(number, factor) for number in range(count))


def test_ten_prints_in_a_world_of_1_4() -> None:
    """After ten prints that scatter by 3 % around 1.4 the estimate is within 5 % of the truth."""
    rng = np.random.default_rng(4)
    for _ in range(100):
        luck = 0.03 * rng.standard_normal(10)
        machines = machines_of(run(i, 1.4 * math.exp(off)) for i, off in enumerate(luck))
        got = taught(PLAIN, machines)
        assert got.seconds.likely == pytest.approx(1.4 * PLAIN.seconds.likely, rel=0.05)
        assert got.known == 10


def test_one_true_factor_holds_for_shapes_never_printed() -> None:
    """Ten prints of five parts in a world of 1.4: other parts come within 5 %, 97 times in a hundred.

    Speeds and accelerations could be told from these prints, yet luck is seldom taken for them.
    """
    logged, unseen = (
        [replace(each, machine="printer", stock="PLA") for each in on(USUAL, parts).values()]
        for parts in (PRINTED, UNSEEN)
    )
    rng, within = np.random.default_rng(9), []
    for _ in range(100):
        luck = 0.03 * rng.standard_normal(10)
        machines = machines_of(
            run(i, 1.4 * math.exp(off), logged[i % 5]) for i, off in enumerate(luck)
        )
        for each in unseen:
            off = taught(each, machines).seconds.likely / (1.4 * each.seconds.likely) - 1
            within.append(abs(off) < 0.05)
    assert np.mean(within) >= 0.97


def test_one_odd_print_is_not_the_machine() -> None:
    """An end told hours late moves the next estimate by 15 % at most, and makes no range narrower."""
    got = taught(PLAIN, machines_of([run(0, 3.6)]))
    assert 1.0 < got.seconds.likely / PLAIN.seconds.likely < 1.15
    assert got.seconds.high / got.seconds.likely >= PLAIN.seconds.high / PLAIN.seconds.likely
    among = taught(PLAIN, machines_of([run(i, 1.0) for i in range(10)] + [run(10, 3.6)]))
    assert among.seconds.likely == pytest.approx(PLAIN.seconds.likely, rel=0.03)


def test_two_prints_that_agree_are_believed() -> None:
    """Each supports the other: two at 1.4 count as they are."""
    got = taught(PLAIN, machines_of([run(0, 1.4), run(1, 1.42)]))
    assert got.seconds.likely / PLAIN.seconds.likely == pytest.approx(1.36, abs=0.02)


def test_nothing_known_changes_nothing() -> None:
    """Without a log, and on machines of which it says nothing, the estimate stays the same object."""
    assert taught(PLAIN, UNKNOWN) is PLAIN
    assert taught(replace(PLAIN, machine="other"), logged(1.4)).seconds == PLAIN.seconds
    cut = replace(PLAIN, route=Route.CUT)
    assert taught(cut, logged(1.4)) is cut


def test_breakdown_and_cost_follow() -> None:
    """What the time is made of still adds up to it, and the machine's hours are paid for."""
    got = taught(PLAIN, logged(1.4), cost_hour=3.0)
    assert sum(got.breakdown_s.values()) == pytest.approx(got.seconds.likely)
    more_s = got.seconds.likely - PLAIN.seconds.likely
    assert got.cost == pytest.approx(2.0 + more_s / 1200.0)
    assert got.learnt == pytest.approx(got.seconds.likely / PLAIN.seconds.likely)


def test_taught_once() -> None:
    """Teaching an estimate that was taught already changes nothing."""
    once = taught(PLAIN, logged(1.4))
    assert taught(once, logged(1.4)) is once


SILENT = (
    replace(run(1, 1.4), failed=True),
    replace(run(1, 1.4), timed=False),
    replace(run(1, 1.4), ran_s=0.0),
    replace(run(1, 1.4), estimated_s=0.0),
)


@pytest.mark.parametrize("silent", SILENT)
def test_what_says_nothing_of_time(silent: RunSeen) -> None:
    """Failed runs, and runs whose ends were not told, do not move the estimate."""
    assert taught(PLAIN, machines_of([silent])) is PLAIN


@pytest.mark.parametrize("factor", [DOUBTFUL * 1.01, 0.99 / DOUBTFUL])
def test_a_log_that_cannot_be_right(factor: float) -> None:
    """A run that took far too long or short is not believed: somebody forgot to tell its end."""
    assert doubtful(run(1, factor))
    assert taught(PLAIN, machines_of([run(1, factor)])) is PLAIN


def test_speed_and_acceleration_beat_one_factor() -> None:
    """Where shapes differ in what slows them, unseen ones come right; one factor leaves them off."""
    world = changed(USUAL, 0.8, 0.5)
    known, really = on(USUAL, PRINTED), on(world, PRINTED)
    runs = [
        run(i, really[name].seconds.likely / known[name].seconds.likely, known[name])
        for i, name in enumerate([*PRINTED] * 2)
    ]
    machines, one_factor = machines_of(runs), machines_of(replace(r, moves=None) for r in runs)
    assert machines.known("printer", Route.PRINT).pace is not None
    for name, truth in on(world, UNSEEN).items():
        estimate = on(USUAL, {name: UNSEEN[name]})[name]
        off, plain = (
            abs(math.log(taught(estimate, which).seconds.likely / truth.seconds.likely))
            for which in (machines, one_factor)
        )
        assert off < max(0.01, plain)
        assert off < 0.05
        got = taught(estimate, machines)
        assert got.seconds.low < truth.seconds.likely < got.seconds.high
        assert sum(got.breakdown_s.values()) == pytest.approx(got.seconds.likely)


def test_one_odd_print_does_not_bend_speed_and_acceleration() -> None:
    """One print told far too late does not move what unseen shapes take by more than a seventh."""
    world = changed(USUAL, 0.8, 0.5)
    known, really = on(USUAL, PRINTED), on(world, PRINTED)
    runs = [
        run(i, really[name].seconds.likely / known[name].seconds.likely, known[name])
        for i, name in enumerate([*PRINTED] * 2)
    ]
    odd = [*runs[:3], replace(runs[3], ran_s=3.6 * runs[3].ran_s), *runs[4:]]
    for name, estimate in on(USUAL, UNSEEN).items():
        usual_s, bent_s = (
            taught(estimate, machines_of(which)).seconds.likely for which in (runs, odd)
        )
        assert bent_s == pytest.approx(usual_s, rel=0.15), name


def test_few_prints_teach_one_factor_only() -> None:
    """With fewer prints than are needed to tell speed from acceleration, one factor is learnt."""
    box = on(USUAL, {"box": PRINTED["box"]})["box"]
    machines = machines_of(run(i, 1.2, box) for i in range(ENOUGH - 1))
    assert machines.known("printer", Route.PRINT).pace is None
    assert taught(box, machines).seconds.likely > 1.1 * box.seconds.likely


@given(st.permutations(range(8)))
def test_order_does_not_matter(order: list[int]) -> None:
    """Entries read in any order teach the same."""
    table = Moves(fixed_s=480.0, moving_s=((2000.0, 1500.0, 1400.0),) * 7)
    runs = [run(i, 1.0 + 0.05 * i, replace(PLAIN, moves=table)) for i in range(8)]
    straight, shuffled = (
        taught(PLAIN, machines_of(these)) for these in (runs, [runs[i] for i in order])
    )
    assert straight == shuffled


def test_beds_heat_once() -> None:
    """Three copies of one part and one of another heat and cool once; worked out by hand."""
    short = replace(PLAIN, seconds=Spread(900.0, 980.0, 1080.0))
    assert load_s([(PLAIN, 3), (short, 1)]) == 480.0 + 3 * 2820.0 + 500.0
    table = replace(PLAIN, moves=Moves(fixed_s=480.0, moving_s=((2.0, 1.0),)))
    assert load_moves([(table, 3), (table, 1)]) == Moves(fixed_s=480.0, moving_s=((8.0, 4.0),))
    assert load_moves([(table, 1), (PLAIN, 1)]) is None


def test_first_figures_follow() -> None:
    """First figures move with what is known and stay as wide as they are."""
    rough = taught_rough(Spread(50.0, 100.0, 200.0), logged(1.4), "printer", "PLA")
    assert rough.likely == pytest.approx(140.0, rel=0.02)
    assert rough.high / rough.likely == pytest.approx(2.0)
    assert taught_rough(Spread(1.0, 2.0, 3.0), UNKNOWN, "printer", "PLA") == Spread(1.0, 2.0, 3.0)
