"""Simulated odds against distributions worked out another way, within three standard errors."""

from functools import cache

import numpy as np
import pytest
from scipy import stats

from fabsched.model.spread import Spread
from fabsched.model.weekend import AGAIN, NOTICE_S, Choice, Weekend
from fabsched.odds.simulate import simulate
from tests.model.made import MIN, H, as_listed, hours, printing, task, weekend

MANY = 50_000
UNIT_S = 10_000
"""Worked examples are counted in this, so that whole seconds round nothing away."""

Q = 0.4
"""How likely a gate finds a fault at its first look."""


def share_done(week: Weekend, moment_s: float, seed: int = 19) -> float:
    """Share of weekends done by a moment under the plan that follows the list."""
    finishes = simulate(week, as_listed(week), scenarios=MANY, seed=seed)
    return float(np.mean(finishes <= moment_s))


def agrees(share: float, expected: float) -> bool:
    """Whether a share lies within three standard errors of what is expected."""
    return abs(share - expected) <= 3 * float(np.sqrt(expected * (1 - expected) / MANY))


def pert(low: float, likely: float, high: float) -> stats.rv_continuous:
    """Beta-PERT with lambda = 4 (Vose, Risk Analysis, 2008; from memory), by another library."""
    place = (likely - low) / (high - low)
    return stats.beta(1 + 4 * place, 5 - 4 * place, loc=low, scale=high - low)


def works(*figures: tuple[float, float, float], people: tuple[str, ...]) -> Weekend:
    """Works that wait for nothing, in units."""
    return weekend(
        *(
            task(f"w{n}", Spread(*(UNIT_S * each for each in three)), people=people)
            for n, three in enumerate(figures)
        ),
        people=people,
    )


@pytest.mark.parametrize("limit", [20, 22, 24, 26, 28, 30])
def test_the_length_of_a_chain_is_the_convolution_of_its_works(limit: int) -> None:
    """Taylor's critical path (flylib.com, 3.287.1.117): done by each moment as densities fold to.

    The book's normal curve of variance 5.0 gives 0.9633 by 28; the beta-PERT of lambda = 4 is wider
    (variance 5.86), so that less is done by then.
    """
    path = ((5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5))
    step = 0.001
    density = np.ones(1)
    for low, likely, high in path:
        cells = np.arange(low, high, step)
        mass = pert(low, likely, high).cdf(cells + step) - pert(low, likely, high).cdf(cells)
        density = np.convolve(density, mass)
    # Each cell stands for its middle.
    values = sum(three[0] for three in path) + len(path) * step / 2 + step * np.arange(len(density))
    expected = float(density[values <= limit].sum())
    assert agrees(share_done(works(*path, people=("ada",)), limit * UNIT_S), expected)
    assert limit != 28 or expected < 0.9633


@pytest.mark.parametrize("limit", [8, 10, 12])
def test_the_last_of_several_works_is_done_as_often_as_all_of_them(limit: int) -> None:
    """Hands side by side: the distribution of a maximum is the product of the distributions."""
    figures = ((5, 8, 17), (7, 10, 13), (4, 6, 8))
    expected = float(np.prod([pert(*three).cdf(limit) for three in figures]))
    week = works(*figures, people=("ada", "bo", "cy"))
    assert agrees(share_done(week, limit * UNIT_S), expected)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_every_print_has_to_succeed_at_once_where_there_is_no_slack(count: int) -> None:
    """Several printers with time for one attempt each: (1 - p)^n.

    41.1 % of prints failed in an open studio (Song and Telenko, Procedia CIRP 80, 2019).
    """
    runs = [
        printing(
            f"r{n}",
            choices=(Choice(f"m{n}", Spread.exactly(2 * H)),),
            start_s=0,
            clear_s=0,
            fail_start=0.411,
        )
        for n in range(count)
    ]
    week = weekend(*runs, machines={f"m{n}": "home" for n in range(count)})
    assert agrees(share_done(week, 2 * H), 0.589**count)


@pytest.mark.parametrize(("looks", "expected"), [(1, 1 - Q), (2, 1 - Q * Q * AGAIN), (3, 1.0)])
def test_a_gate_is_passed_after_so_many_looks(looks: int, expected: float) -> None:
    """Rounds of work and look: 1 - q, then 1 - 0.3 q^2, then always.

    A second fault must not have the luck of the first: that would give q instead of 0.3 q^2.
    """
    week = weekend(task("a", H), task("fit", H, after=("a",), chance=Q, redo=("a",)))
    assert agrees(share_done(week, looks * 2 * H), expected)


@pytest.mark.parametrize("deadline_h", [12.4, 15.0, 22.35, 24.0, 34.0, 40.0])
def test_a_print_that_fails_at_night_is_found_in_the_morning(deadline_h: float) -> None:
    """Ten hours of print through the night, repeated until it succeeds: solved backwards in time.

    An attempt that begins on the machine at a moment succeeds with chance 1 - p; else it fails
    anywhere, is noticed a quarter of an hour later, and begins anew when somebody is up for the
    fifteen minutes it takes to clear and start it.
    """
    chance, length_s, up = 0.3, 10 * H, hours((0, 3), (12, 27), (36, 51), (60, 75))
    week = weekend(printing("lid", length_s, fail_start=chance), up=up)
    deadline_s = round(deadline_h * H)

    @cache
    def done_in_time(minute: int) -> float:
        ends_s = minute * MIN + length_s
        if ends_s > deadline_s:
            return 0.0
        cleared = up.first_fit(ends_s, 5 * MIN) + 5 * MIN <= deadline_s
        noticed = range(minute * MIN + NOTICE_S + MIN // 2, ends_s + NOTICE_S, MIN)
        again = [up.first_fit(moment_s, 15 * MIN) + 15 * MIN for moment_s in noticed]
        later = np.mean([done_in_time(round(moment_s / MIN)) for moment_s in again])
        return (1 - chance) * cleared + chance * float(later)

    assert agrees(share_done(week, deadline_s), done_in_time(10))
