"""Learning from finished jobs: closed forms, a textbook example, coverage, and plain properties."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fabsched.estimate.learning import (
    PRINT_PRIOR,
    Prior,
    Ratio,
    left_out,
    lesson,
    next_job,
)
from fabsched.estimate.student import LIKE_NORMAL, share_within, t90
from fabsched.model.experience import NOTHING, Lesson
from fabsched.model.spread import Spread

PRINTS = Prior.reaching(PRINT_PRIOR)
TRUE = 1.4

NEWCOMB = (
    28, 26, 33, 24, 34, -44, 27, 16, 40, -2, 29, 22, 24, 21, 25, 30, 23, 29, 31, 19, 24, 20,
    36, 32, 36, 28, 25, 21, 28, 29, 37, 25, 28, 26, 30, 32, 36, 26, 30, 22, 36, 23, 27, 27,
    28, 27, 31, 27, 26, 33, 26, 32, 32, 24, 39, 28, 24, 25, 32, 25, 29, 27, 28, 29, 16, 23,
)  # fmt: skip
"""Newcomb's 66 measurements of the time light takes (Gelman et al., Bayesian Data Analysis, section
3.2, after Stigler 1977; from memory)."""

logs = st.floats(-0.7, 0.7)
jobs = st.lists(st.builds(Ratio, st.sampled_from(["PLA", "PETG", "ABS"]), logs), max_size=12)


@pytest.mark.parametrize("dof", [1, 2, 3, 6, 7, 16, 99, 1000, LIKE_NORMAL - 1])
def test_quantiles_of_t(dof: int) -> None:
    """The quantile at 0.9 is that of scipy."""
    assert t90(dof) == pytest.approx(stats.t.ppf(0.9, dof), abs=1e-12)


def test_quantiles_of_t_far_out() -> None:
    """With very many degrees of freedom the expansion around the normal is good to a millionth."""
    for dof in (LIKE_NORMAL, 10 * LIKE_NORMAL):
        assert t90(dof) == pytest.approx(stats.t.ppf(0.9, dof), abs=1e-6)


@given(st.floats(0.01, 50), st.integers(1, 60))
def test_shares_of_t(reach: float, dof: int) -> None:
    """The share within a reach is that of scipy, which loses its digits close to zero."""
    assert share_within(reach, dof) == pytest.approx(2 * stats.t.cdf(reach, dof) - 1, abs=1e-12)


def test_nothing_known_changes_nothing() -> None:
    """Without a finished job every spread stays as it is, to the bit."""
    spread = Spread(100.0 / PRINT_PRIOR, 100.0, 100.0 * PRINT_PRIOR)
    assert lesson(PRINTS, (), "PLA") == NOTHING
    assert NOTHING.applied(spread) is spread


def test_the_prior_is_the_shipped_spread() -> None:
    """Before any job the P90 of the model itself is that of the estimates shipped."""
    assert math.exp(next_job(PRINTS, (), "PLA").reach) == pytest.approx(PRINT_PRIOR, rel=1e-14)


def test_against_bayesian_data_analysis() -> None:
    """With hardly any prior, Newcomb's data give the book's 95 % interval, 23.6 to 28.8.

    A flat prior on mean and log scale is -1 degree of freedom here.
    """
    flat = Prior(scale2=0.0, common=1e12, alike=1e-12, dof=-1)
    known = next_job(flat, [Ratio("light", float(time)) for time in NEWCOMB], None)
    assert known.middle == pytest.approx(26.2, abs=0.05)
    assert known.scale == pytest.approx(10.8, abs=0.06)
    reach = stats.t.ppf(0.975, known.dof) * known.scale * math.sqrt(known.lean)
    assert known.middle - reach == pytest.approx(23.6, abs=0.05)
    assert known.middle + reach == pytest.approx(28.8, abs=0.06)


@given(st.lists(logs, min_size=1, max_size=20))
def test_one_level_is_the_normal_inverse_gamma(values: list[float]) -> None:
    """With no difference between materials it is the closed form of Murphy 2007, eq. 85-89.

    kappa_n = kappa + n, mu_n = n mean / kappa_n, beta_n = beta + sum of squares / 2 + kappa n mean^2
    / (2 kappa_n) (from memory).
    """
    prior = Prior(scale2=0.001, common=2.0, alike=1e-13, dof=6)
    known = next_job(prior, [Ratio("PLA", value) for value in values], "PLA")
    n, mean = len(values), float(np.mean(values))
    kappa = 1 / prior.common
    beta = prior.dof / 2 * prior.scale2 + float(np.sum((np.array(values) - mean) ** 2)) / 2
    beta += kappa * n * mean**2 / (2 * (kappa + n))
    assert known.middle == pytest.approx(n * mean / (kappa + n), rel=1e-9, abs=1e-12)
    assert known.scale**2 == pytest.approx(beta / ((prior.dof + n) / 2), rel=1e-9)
    assert known.lean == pytest.approx(1 / (kappa + n), rel=1e-9)


@given(jobs, st.randoms(use_true_random=False))
def test_order_does_not_matter(done: list[Ratio], chance: "st.randoms") -> None:  # type: ignore[valid-type] # what hypothesis gives
    """The same jobs in any order teach the same, to the bit."""
    shuffled = list(done)
    chance.shuffle(shuffled)  # type: ignore[attr-defined] # as above
    assert next_job(PRINTS, shuffled, "PLA") == next_job(PRINTS, done, "PLA")


@given(jobs, st.sampled_from(["PLA", "TPU"]))
def test_more_jobs_never_widen_on_average(done: list[Ratio], alike: str) -> None:
    """Averaged over what the next job may be, it never makes the range of the one after it wider.

    The squared scale is a parabola of the next job's surprise, so its mean follows from two points.
    """
    now = next_job(PRINTS, done, alike)
    spread2 = now.scale**2 * (1 + now.lean) * now.dof / (now.dof - 2)
    flat, one = (
        next_job(PRINTS, [*done, Ratio(alike, now.middle + surprise)], alike)
        for surprise in (0.0, 1.0)
    )
    mean2 = flat.scale**2 + (one.scale**2 - flat.scale**2) * spread2
    after2 = mean2 * (1 + flat.lean) * flat.dof / (flat.dof - 2)
    assert flat.lean < now.lean
    assert after2 <= spread2 * (1 + 1e-9)


@given(jobs)
def test_jobs_left_out_are_foretold_by_the_others(done: list[Ratio]) -> None:
    """What is left of each job is what the model without it would be off by."""
    for i, left in enumerate(left_out(PRINTS, done)):
        others = [*done[:i], *done[i + 1 :]]
        off = done[i].log - next_job(PRINTS, others, done[i].alike).middle
        assert left == pytest.approx(off, rel=1e-6, abs=1e-9)


def world(rng: np.random.Generator, prior: Prior, materials: Sequence[str]) -> list[Ratio]:
    """Jobs of one machine drawn from the model's own prior, the last of them not done yet."""
    sigma = math.sqrt(prior.dof * prior.scale2 / rng.chisquare(prior.dof))
    common = sigma * math.sqrt(prior.common) * rng.standard_normal()
    own = {m: sigma * math.sqrt(prior.alike) * rng.standard_normal() for m in set(materials)}
    return [Ratio(m, common + own[m] + sigma * rng.standard_normal()) for m in materials]


@pytest.mark.parametrize("count", [0, 1, 4, 12])
def test_the_range_holds_four_in_five(count: int) -> None:
    """In worlds drawn from the prior, P10 to P90 holds the next print 80 % of the time, within 2."""
    rng = np.random.default_rng(count)
    inside = 0
    for _ in range(4000):
        materials = rng.choice(["PLA", "PETG"], count + 1)
        *done, new = world(rng, PRINTS, materials.tolist())
        known = next_job(PRINTS, done, new.alike)
        inside += abs(new.log - known.middle) <= known.reach
    assert inside / 4000 == pytest.approx(0.8, abs=0.02)


@pytest.mark.parametrize("materials", [["PLA"] * 10, ["PLA", "PETG"] * 5])
def test_ten_prints_find_the_true_factor(materials: list[str]) -> None:
    """After ten prints in a world of 1.4 the estimate is within 5 % of it, whatever the luck.

    Prints scatter by 3 %, as is believed of them.
    """
    rng = np.random.default_rng(14)
    found = []
    for _ in range(300):
        done = [Ratio(m, math.log(TRUE) + 0.03 * rng.standard_normal()) for m in materials]
        found.append(lesson(PRINTS, done, "PLA").factor)
    assert float(np.mean(found)) == pytest.approx(TRUE, rel=0.015)
    assert max(abs(factor / TRUE - 1) for factor in found) < 0.05


def test_the_first_surprise_widens_and_many_narrow() -> None:
    """One print far from what was believed widens the range; a steady machine narrows it."""
    surprise = [Ratio("PLA", math.log(TRUE))]
    assert lesson(PRINTS, surprise, "PLA").width > 1.0
    assert lesson(PRINTS, surprise * 30, "PLA").width < 0.7
    assert lesson(PRINTS, [Ratio("PLA", 0.0)] * 10, "PLA").width < 0.5


def test_another_material_learns_half_way() -> None:
    """What one material taught moves another on the same machine, but not as far."""
    done = [Ratio("PLA", math.log(TRUE))] * 10
    mine, other = (lesson(PRINTS, done, material) for material in ("PLA", "TPU"))
    assert 1.0 < other.factor < mine.factor
    assert (mine.known, mine.alike, other.known, other.alike) == (10, 10, 10, 0)
    assert other.width > mine.width


@given(
    st.lists(st.floats(0, 1e6), min_size=3, max_size=3).map(sorted),
    st.floats(0.1, 10),
    st.floats(0.05, 5),
)
def test_a_lesson_gives_a_spread(figures: list[float], factor: float, width: float) -> None:
    """Whatever was learnt, the three figures stay in order, and the middle is the factor's."""
    spread = Spread(*figures)
    got = Lesson(factor=factor, width=width, known=1).applied(spread)
    assert got.likely == spread.likely * factor
