"""The odds of whole plans against closed forms and published networks."""

from math import comb, factorial

import numpy as np
import pytest

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import NOTICE_S, Choice, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.odds import MOST_BINS, odds_from, odds_of
from fabsched.odds.simulate import simulate
from fabsched.odds.tables import Reals
from tests.model.made import END, MIN, H, as_listed, printing, task, weekend

MANY = 50_000
UNIT_S = 10_000
"""Worked examples are counted in this, so that whole seconds round nothing away."""


def finishes(week: Weekend, seed: int = 11) -> Reals:
    """Finishes of the plan that follows the list."""
    return simulate(week, as_listed(week), scenarios=MANY, seed=seed).astype(np.float64)


def error(values: Reals) -> float:
    """Standard error of the mean of values."""
    return float(values.std() / np.sqrt(len(values)))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_single_job_is_on_time_as_often_as_its_figures_say(share: float) -> None:
    """With the deadline at P10, P50 or P90 of the only job, that share is on time."""
    job = Spread(9 * H, 10 * H, 14 * H)
    limit = {0.1: job.low, 0.5: job.likely, 0.9: job.high}[share]
    week = weekend(printing("lid", job, start_s=0, clear_s=0), deadline_s=round(limit))
    odds = odds_of(week, as_listed(week), scenarios=MANY, seed=5)
    assert abs(odds.on_time - share) <= 3 * np.sqrt(share * (1 - share) / MANY)
    assert odds.standard_error == pytest.approx(np.sqrt(share * (1 - share) / MANY), rel=0.05)


@pytest.mark.parametrize(
    ("three", "mean", "variance"), [((1, 2, 9), 3.0, 1.7143), ((1, 4, 7), 4.0, 1.2857)]
)
def test_a_single_work_has_the_moments_of_its_three_points(
    three: tuple[int, int, int], mean: float, variance: float
) -> None:
    """Mean (a + 4m + b) / 6 and variance (mean - a)(b - mean) / 7.

    The mean is that of PERT (Malcolm, Roseboom, Clark and Fazar, Oper. Res. 7(5), 1959, 646-669); the
    variance that of the beta with lambda = 4 (Vose, Risk Analysis, 2008; from memory), which is not
    the 1.7778 and 1.0 of the rule of 1959, ((b - a) / 6)^2.
    """
    values = finishes(weekend(task("w", Spread(*(UNIT_S * each for each in three))))) / UNIT_S
    assert abs(values.mean() - mean) <= 3 * error(values)
    squares = (values - mean) ** 2
    assert abs(squares.mean() - variance) <= 3 * error(squares)


def test_works_in_a_row_add_up() -> None:
    """Means and variances of a chain are sums: the critical path of Taylor's worked network.

    Expected times 9, 5, 6 and 4 add up to 24 (Taylor, Introduction to Management Science, as
    reprinted at flylib.com, 3.287.1.117); the variances are those of the beta-PERT, lambda = 4.
    """
    path = ((5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5))
    works = [
        task(f"w{n}", Spread(*(figure * UNIT_S for figure in figures)))
        for n, figures in enumerate(path)
    ]
    values = finishes(weekend(*works)) / UNIT_S
    variance = sum((m - a) * (b - m) / 7 for (a, _, b), m in zip(path, (9, 5, 6, 4), strict=True))
    assert abs(values.mean() - 24) <= 3 * error(values)
    spread = (values - 24) ** 2
    assert abs(spread.mean() - variance) <= 3 * error(spread)


NETWORK = {
    "a": ((1, 2, 3), ()),
    "b": ((2, 3, 4), ()),
    "c": ((1, 2, 3), ("a",)),
    "d": ((2, 4, 6), ("a", "b")),
    "e": ((1, 4, 7), ("c",)),
    "f": ((1, 2, 9), ("c",)),
    "g": ((3, 4, 11), ("d", "e")),
    "h": ((1, 2, 3), ("f", "g")),
}
"""A worked network in weeks (Render, Stair and Hanna; from memory): what each takes and waits for."""


def longest_paths(count: int) -> Reals:
    """Lengths of the network's longest path by numpy's own beta and nothing of ours, in weeks."""
    rng = np.random.default_rng(1959)
    done: dict[str, Reals] = {}
    for name, ((low, likely, high), after) in NETWORK.items():
        place = (likely - low) / (high - low)
        drawn = low + (high - low) * rng.beta(1 + 4 * place, 5 - 4 * place, count)
        done[name] = drawn + np.max([done[each] for each in after] or [np.zeros(count)], axis=0)
    return np.asarray(done["h"])


def test_a_network_with_hands_enough_is_later_than_its_critical_path() -> None:
    """Eight people who are always there do everything as early as the longest path allows.

    The book's critical path has mean 15 and promises 71.57 % by week 16; as paths merge, the finish is
    later. Moments and shares are those of a million longest paths drawn another way, within three
    standard errors of both; they are known beforehand from other draws: mean 15.236, 69.0 % by week 16.
    """
    people, reference = tuple(f"p{n}" for n in range(8)), longest_paths(1_000_000)
    works = [
        task(name, Spread(*(x * UNIT_S for x in three)), after=after, people=people)
        for name, (three, after) in NETWORK.items()
    ]
    values = finishes(weekend(*works, people=people)) / UNIT_S

    def alike(mine: Reals, other: Reals) -> bool:
        return bool(abs(mine.mean() - other.mean()) <= 3 * np.hypot(error(mine), error(other)))

    assert alike(values, reference)
    assert alike((values - 15.236) ** 2, (reference - 15.236) ** 2)
    for week in (13, 14, 15, 16, 17, 18, 20):
        assert alike((values <= week).astype(float), (reference <= week).astype(float))
    assert abs(values.mean() - 15.236) <= 3 * error(values) + 0.01
    assert abs((values <= 16).mean() - 0.690) <= 3 * np.sqrt(0.69 * 0.31 / MANY) + 0.0005
    assert values.mean() - 3 * error(values) > 15
    assert (values <= 16).mean() < 0.7157


@pytest.mark.parametrize(
    ("count", "expected"),
    # Expected maximum of n standard normals, n times the integral of x phi Phi^(n-1) (formula as at
    # johndcook.com, 9 March 2022; values computed).
    [(2, 0.5642), (3, 0.8463), (4, 1.0294), (5, 1.1630), (10, 1.5388)],
)
def test_the_last_of_several_machines_is_late(count: int, expected: float) -> None:
    """Machines side by side: the logarithm of the last one's time has the mean of a maximum."""
    sigma, z90 = 0.2, 1.2815515655446004
    job = Spread(*(10 * H * np.exp(sigma * z) for z in (-z90, 0, z90)))
    runs = [
        printing(f"r{n}", start_s=0, clear_s=0, choices=(Choice(f"m{n}", job),))
        for n in range(count)
    ]
    week = weekend(*runs, machines={f"m{n}": "home" for n in range(count)})
    values = np.log(finishes(week) / (10 * H)) / sigma
    assert abs(values.mean() - expected) <= 3 * error(values)


def test_a_print_that_may_fail_takes_as_long_as_the_closed_form() -> None:
    """P / (1 - p) failures on average, each half the time, the notice and hands to start again.

    The mean of the geometric distribution (Feller, An Introduction to Probability Theory and Its
    Applications I, chapter XI; from memory).
    """
    chance, hours = 0.2, 2 * H
    values = finishes(weekend(printing("lid", hours, fail_start=chance)))
    failures = chance / (1 - chance)
    expected = 15 * MIN + hours + failures * (hours / 2 + NOTICE_S + 15 * MIN)
    assert abs(values.mean() - expected) <= 3 * error(values)


@pytest.mark.parametrize("chance", [0.2, 0.411])
@pytest.mark.parametrize("attempts", [1, 2, 3, 4])
def test_a_print_is_done_after_so_many_tries_as_the_geometric_law_says(
    chance: float, attempts: int
) -> None:
    """Done in time for as many whole attempts: the sum over k of p^k (1 - p) F_k.

    k failures cost the sum of k uniform shares of the machine time, whose distribution F_k is that of
    Irwin and Hall (Biometrika 19, 1927; from memory), and k times notice, clearing and a new start.
    Attempts alone would give 1 - p^n (0.96 in two for one in five, 0.9306 in three for 41.1 %: Song and
    Telenko, Procedia CIRP 80, 2019), which is the least there can be.
    """
    length_s, hands_s = 2 * H, 15 * MIN
    again_s = NOTICE_S + hands_s
    limit_s = hands_s + attempts * length_s + (attempts - 1) * again_s
    week = weekend(printing("lid", length_s, fail_start=chance), deadline_s=limit_s)
    shares = [(limit_s - hands_s - length_s - k * again_s) / length_s for k in range(12)]
    expected = sum(
        chance**k * (1 - chance) * irwin_hall(k, share) for k, share in enumerate(shares)
    )
    odds = odds_of(week, as_listed(week), scenarios=MANY, seed=23)
    assert abs(odds.on_time - expected) <= 3 * np.sqrt(expected * (1 - expected) / MANY)
    assert expected >= 1 - chance**attempts - 1e-12


def irwin_hall(count: int, x: float) -> float:
    """How likely so many uniform shares add up to no more than x."""
    if x < 0 or count == 0:
        return float(x >= 0)
    terms = (
        (-1.0) ** k * comb(count, k) * max(0.0, min(x, count) - k) ** count for k in range(count)
    )
    return float(sum(terms)) / factorial(count)


def test_a_deadline_without_slack_is_met_by_those_that_do_not_fail() -> None:
    """With time for one attempt only, the odds are those of the first attempt.

    41.1 % of prints failed in an open studio (Song and Telenko, Procedia CIRP 80, 2019).
    """
    week = weekend(printing("lid", 2 * H, fail_start=0.411), deadline_s=15 * MIN + 2 * H)
    odds = odds_of(week, as_listed(week), scenarios=MANY, seed=11)
    assert abs(odds.on_time - 0.589) <= 3 * np.sqrt(0.589 * 0.411 / MANY)


def test_percentiles_are_moments_by_which_that_share_is_done() -> None:
    """P10 of ten finishes is the first of them, P90 the ninth; never is told as none."""
    odds = odds_from(np.array([5, 3, 9, 1, 7, 2, 8, 4, 6, NEVER]), 6)
    assert (odds.p10_s, odds.p50_s, odds.p90_s) == (1, 5, 9)
    assert odds.on_time == 0.6
    never = odds_from(np.array([1, NEVER, NEVER]), 6)
    assert (never.p10_s, never.p50_s, never.p90_s) == (1, None, None)
    assert odds_from(np.array([NEVER]), 6).finishes_s == ()


def test_a_histogram_counts_every_finish_once() -> None:
    """Bars are few, ascend, and hold every finish between their start and the next."""
    week = weekend(printing("lid", Spread(H, 20 * H, 40 * H), fail_start=0.3))
    values = simulate(week, as_listed(week), scenarios=2000, seed=2)
    bars = odds_from(values, 48 * H).finishes_s
    starts, counts = [start for start, _ in bars], [count for _, count in bars]
    assert len(bars) <= MOST_BINS
    assert starts == sorted(set(starts))
    bounds = np.array([*starts, END])
    assert np.histogram(values, bounds)[0].tolist() == counts


def test_a_seed_gives_the_same_odds_to_the_bit() -> None:
    """Two computations of one seed are equal; another seed is another sample."""
    week = weekend(printing("lid", Spread(H, 2 * H, 4 * H), fail_start=0.3), task("a"))
    plan = Plan(order=("a", "lid"))
    one = odds_of(week, plan, scenarios=500, seed=2)
    assert one == odds_of(week, plan, scenarios=500, seed=2)
    assert one != odds_of(week, plan, scenarios=500, seed=3)
