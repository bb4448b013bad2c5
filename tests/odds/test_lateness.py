"""When something comes that is overdue, against closed forms and integrals made by other means."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, stats

from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Awaited, Task
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.lateness import LEAST_S, NIGH, narrowed, overdue, promised_s
from fabsched.odds.midway import midway
from fabsched.odds.pert import log_chance_beyond, pert_shape, value_beyond
from fabsched.odds.ranges import range_of
from fabsched.odds.sparing import carried_by
from fabsched.odds.truths import AS_TOLD, Factor, Truths
from tests.model.made import H, as_listed, task, weekend

MANY = 40_000
LATE = Spread(0.0, 4.0 * H, 16.0 * H)
TOLD_S = 10 * H
DOUBT = Truths(late=Factor(1.0, 0.5))


def waiting(ident: str, told_s: int, waited_s: int, late: Spread = LATE) -> Activity:
    """Something that was told to come and has not, so many seconds later."""
    return overdue(task(ident, earliest_s=told_s, late=late), told_s + waited_s)


def lateness(*activities: Activity, truths: Truths = AS_TOLD) -> NDArray[np.float64]:
    """Seconds after its promised moment at which each comes, (activities, scenarios)."""
    draws = draw(compile_weekend(weekend(*activities)), MANY, 11, truths=truths)
    told = np.array([[promised_s(each)] for each in activities])
    return np.asarray(draws.luck.due - told, np.float64)


def is_share(found: NDArray[np.bool_], expected: float) -> bool:
    """Whether a share lies within three standard errors of what is expected."""
    return bool(abs(found.mean() - expected) <= 3 * np.sqrt(expected * (1 - expected) / len(found)))


def beta_of(late: Spread) -> stats.rv_continuous:
    """The lateness as scipy has it."""
    span = late.high - late.low
    return stats.beta(*pert_shape(late), loc=late.low, scale=span)


@pytest.mark.parametrize("hours", [0.5, 4.0, 10.0, 15.0])
def test_the_lateness_is_the_told_one_cut_off_below_what_was_waited(hours: float) -> None:
    """Kolmogorov-Smirnov against the truncated beta distribution of scipy."""
    waited_s = round(hours * H)
    (late_s,) = lateness(waiting("wire", TOLD_S, waited_s))
    told = beta_of(LATE)
    assert late_s.min() >= waited_s
    still = told.sf(waited_s)
    found = stats.kstest(late_s, lambda x: 1 - told.sf(np.maximum(x, waited_s)) / still)
    assert found.pvalue > 0.001


def test_what_was_thought_impossible_is_memoryless() -> None:
    """Later than the high figure: an exponential rest, whose chance of lasting t is exp(-t / mean)."""
    waited_s = 20 * H
    (late_s,) = lateness(waiting("wire", TOLD_S, waited_s))
    rest_s = late_s - waited_s
    for times in (0.5, 1.0, 2.0):
        assert is_share(rest_s > times * NIGH * waited_s, float(np.exp(-times)))
    sure = waiting("sure", TOLD_S, 30, Spread.exactly(10.0))
    assert abs(lateness(sure).mean() - 30 - LEAST_S) < 3 * LEAST_S / np.sqrt(MANY) + 0.5


def joint(waited_s: float, then: Spread | None = None, beyond_s: float = 0.0) -> float:
    """Chance that one is later than waited and another, told for then, later than beyond."""
    first, second = beta_of(LATE), beta_of(then or LATE)

    def density(z: float) -> float:
        factor = np.exp(0.5 * z)
        other = second.sf(beyond_s / factor) if then else 1.0
        return float(stats.norm.pdf(z) * first.sf(waited_s / factor) * other)

    return float(integrate.quad(density, -8, 8, epsabs=1e-12, limit=400)[0])


@pytest.mark.parametrize("hours", [4.0, 20.0])
def test_what_is_not_known_of_deliveries_is_weighed_by_what_is_overdue(hours: float) -> None:
    """The chance of so much more lateness is the ratio of two integrals over all factors (Bayes)."""
    waited_s = hours * H
    (late_s,) = lateness(waiting("wire", TOLD_S, round(waited_s)), truths=DOUBT)
    for more in (1.0, 5.0, 12.0):
        expected = joint(waited_s + more * H) / joint(waited_s)
        assert is_share(late_s > waited_s + more * H, expected)


def test_another_delivery_is_later_for_it() -> None:
    """One that is overdue by more than likely makes the next later; told together it counts once."""
    waited_s, next_s = 12 * H, 6.0 * H
    mine, other = waiting("wire", TOLD_S, waited_s), task("lid", earliest_s=90 * H, late=LATE)
    twin = waiting("box", TOLD_S, waited_s)
    _, alone = lateness(mine, other, truths=DOUBT)
    _, _, twice = lateness(mine, twin, other, truths=DOUBT)
    expected = joint(waited_s, LATE, next_s) / joint(waited_s)
    assert is_share(alone > next_s, expected)
    assert (alone == twice).all()
    _, before = lateness(task("wire"), other, truths=DOUBT)
    assert before.mean() < alone.mean()


def test_what_is_left_of_the_factor() -> None:
    """Mean and spread of its logarithm are those of an integral; nothing overdue changes nothing."""
    waited_s = 12 * H
    frame = compile_weekend(weekend(waiting("wire", TOLD_S, waited_s)))
    first, whole = beta_of(LATE), joint(waited_s)

    def moment(power: int) -> float:
        return float(
            integrate.quad(
                lambda z: z**power * stats.norm.pdf(z) * first.sf(waited_s / np.exp(0.5 * z)),
                *(-8, 8),
                epsabs=1e-12,
                limit=400,
            )[0]
        )

    mean, square = moment(1) / whole, moment(2) / whole
    found = narrowed(DOUBT.late, frame)
    assert np.log(found.median) == pytest.approx(0.5 * mean, abs=1e-3)
    assert found.sigma == pytest.approx(0.5 * np.sqrt(square - mean**2), abs=1e-3)
    early = compile_weekend(weekend(task("wire", earliest_s=TOLD_S, late=LATE)))
    assert narrowed(DOUBT.late, early) == DOUBT.late


@pytest.mark.parametrize("late", [LATE, Spread(10.0, 10.0, 50.0), Spread(0.0, 7.0, 7.5)])
def test_tails_are_those_of_the_beta_distribution(late: Spread) -> None:
    """Chances down to one in a million, and back, against scipy."""
    chances = np.array([1e-6, 1e-4, 0.03, 0.5, 0.999])
    values = beta_of(late).isf(chances)
    span = late.high - late.low
    assert np.exp(log_chance_beyond(late, values)) == pytest.approx(chances, rel=2e-3)
    assert value_beyond(late, np.log(chances)) == pytest.approx(values, abs=1e-4 * span)


def test_as_expected_it_comes_at_the_middle_of_what_is_left() -> None:
    """The nominal course waits for the median of the truncated distribution; replay agrees."""
    each = waiting("wire", TOLD_S, 8 * H)
    told = beta_of(LATE)
    median = told.isf(told.sf(8.0 * H) / 2) - 8 * H
    assert each.late is not None
    assert each.late.likely == pytest.approx(median, rel=0.01)
    assert each.earliest_s == TOLD_S + 8 * H
    week = weekend(each)
    draws = draw(compile_weekend(week), 50, 3)
    late = [scenario_of(draws, i).late["wire"] for i in range(50)]
    assert [TOLD_S + 8 * H + s for s in late] == draws.luck.due[0].tolist()


def test_what_is_not_overdue_stays_as_it_is() -> None:
    """Before its moment, where nothing may be late, and where a sure lateness has not passed."""
    early = task("wire", earliest_s=TOLD_S, late=LATE)
    assert overdue(early, TOLD_S) == early
    assert overdue(task("wire", earliest_s=TOLD_S), TOLD_S + H) == task("wire", earliest_s=TOLD_S)
    sure = replace(early, late=Spread.exactly(2.0 * H))
    assert overdue(sure, TOLD_S + H) == sure


def test_looking_twice_is_looking_once_later() -> None:
    """What was known to be overdue an hour ago is overdue by an hour more, not conditioned twice."""
    twice = overdue(waiting("wire", TOLD_S, 3 * H), TOLD_S + 5 * H)
    assert twice == waiting("wire", TOLD_S, 5 * H)


def test_what_was_told_for_two_moments_is_told_apart_when_both_have_passed() -> None:
    """Setbacks name each of two overdue deliveries, though both start now at the earliest."""
    one, two = (
        overdue(task(i, earliest_s=s, late=LATE), 9 * H) for i, s in (("a", H), ("b", 5 * H))
    )
    week = weekend(one, two)
    carried = carried_by(draw(compile_weekend(week), 10, 1), as_listed(week))
    assert carried.due == {"a": [0], "b": [1]}


def test_a_delivery_told_for_before_the_start_may_be_there_then() -> None:
    """Held to the start, it comes at the start as often as the told lateness ends before."""
    held = task(
        "wire",
        earliest_s=TOLD_S + 6 * H,
        late=Spread(0.0, 0.0, 10.0 * H),
        awaited=Awaited(told_s=TOLD_S, late=LATE),
    )
    (late_s,) = lateness(held)
    assert late_s.min() == 6 * H
    assert is_share(late_s == 6 * H, float(beta_of(LATE).cdf(6.0 * H)))


def test_over_the_course_it_comes_no_sooner_than_the_moment_looked_from() -> None:
    """Half an hour before it is likely, only what is left of its lateness counts."""
    week = weekend(replace(task("wire", H), earliest_s=2 * H, late=LATE))
    plan = as_listed(week)
    course = replay(week, plan, nominal(week))
    later, _ = midway(week, plan, course, 4 * H)
    (wire,) = later.activities
    assert isinstance(wire, Task)
    assert (wire.earliest_s, wire.awaited) == (
        4 * H,
        Awaited(told_s=2 * H, late=LATE, waited_s=2 * H),
    )
    there, _ = midway(week, plan, course, 6 * H)
    assert there.activities[0].late is None


def test_the_range_is_over_what_is_still_possible() -> None:
    """Its middle is the world of the middle factor that is left, against the truncated distribution."""
    waited_s, left_s = 15 * H, 5 * H
    wire = waiting("wire", H, waited_s)
    week = weekend(wire, deadline_s=H + waited_s + left_s)
    frame = compile_weekend(week)
    found = range_of(frame, as_listed(week), DOUBT, scenarios=8000, seed=1)
    told, factor = beta_of(LATE), narrowed(DOUBT.late, frame).median
    late = told.sf((waited_s + left_s - H) / factor) / told.sf(waited_s / factor)
    assert found.middle == pytest.approx(1 - late, abs=3 * np.sqrt(late * (1 - late) / 8000))
    assert found.low < found.middle < found.high
