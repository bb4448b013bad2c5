"""What is left of what goes on, against distributions cut off by scipy."""

import numpy as np
import pytest
from scipy import stats

from fabsched.model.spread import Spread
from fabsched.odds.pert import pert_places
from fabsched.schedule.progress import LEAST_S, left_of_run, left_of_work

WORK = Spread(3000, 4500, 9000)
RUN = Spread(9000, 10000, 12000)
Z90 = stats.norm.ppf(0.9)


def _pert(seconds: Spread) -> "stats.rv_continuous":
    """The beta distribution through three points, lambda = 4 (Vose, Risk Analysis, 2008; from memory)."""
    span = seconds.high - seconds.low
    a = 1 + 4 * (seconds.likely - seconds.low) / span
    return stats.beta(a, 6 - a, loc=seconds.low, scale=span)


@pytest.mark.parametrize("spent_s", [3500, 4500, 6000, 7500, 8400])
def test_the_rest_of_work_is_its_distribution_cut_off(spent_s: float) -> None:
    """Mean and end are those of scipy's beta above the time spent, three quantiles are near."""
    whole, rest = _pert(WORK), left_of_work(WORK, spent_s)
    mean = whole.expect(lb=spent_s, ub=WORK.high, conditional=True) - spent_s
    assert rest.mean == pytest.approx(mean, abs=LEAST_S)
    assert rest.high == WORK.high - spent_s
    places = pert_places(rest, np.random.default_rng(1), 40_000)
    drawn = rest.low + (rest.high - rest.low) * places
    for share in (0.1, 0.5, 0.9):
        wanted = whole.isf((1 - share) * whole.sf(spent_s)) - spent_s
        assert np.quantile(drawn, share) == pytest.approx(wanted, abs=0.06 * rest.high + LEAST_S)


def test_work_that_has_hardly_begun_or_taken_too_long() -> None:
    """Before its low figure it is as long as told; past its high one nobody knows, another tenth."""
    assert left_of_work(WORK, 1000) == Spread(2000, 3500, 8000)
    assert left_of_work(WORK, 3000).mean == pytest.approx(left_of_work(WORK, 3001).mean, abs=30)
    assert left_of_work(WORK, 12000).likely == 1200
    assert left_of_work(Spread.exactly(600), 300).likely == 300


@pytest.mark.parametrize("spent_s", [9000, 9800, 10000, 11000, 13000, 20000])
def test_the_rest_of_a_run_is_its_distribution_cut_off(spent_s: float) -> None:
    """P10, P50 and P90 are those of scipy's normal of the logarithm above the time spent."""
    sigmas = np.log([RUN.likely / RUN.low, RUN.high / RUN.likely]) / Z90
    deviate = np.log(spent_s / RUN.likely)
    still = stats.norm.sf(deviate / sigmas[int(deviate > 0)])
    rest = left_of_run(RUN, spent_s)
    for share, found in zip((0.1, 0.5, 0.9), (rest.low, rest.likely, rest.high), strict=True):
        z = stats.norm.isf((1 - share) * still)
        wanted = RUN.likely * np.exp(z * sigmas[int(z > 0)]) - spent_s
        assert found == pytest.approx(wanted, rel=1e-6, abs=1e-3)


def test_a_run_that_should_have_stopped_long_ago_has() -> None:
    """The further past its high figure, the smaller the share of that time that is left."""
    shares = [left_of_run(RUN, s).likely / s for s in (12000, 20000, 100000)]
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] < 0.01
    assert left_of_run(Spread.exactly(600), 700) == Spread.exactly(0.0)
    assert left_of_run(Spread(600, 600, 700), 599).likely == 1
