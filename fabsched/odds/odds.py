"""The odds of a plan."""

from dataclasses import replace
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Odds, Plan
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.ranges import range_of
from fabsched.odds.simulate import finishes_of
from fabsched.odds.truths import AS_TOLD, Truths

BIN_S = (300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400)
"""Widths of the bars of a histogram that read well on a clock (our own choice)."""

MOST_BINS = 60
"""A histogram has no more bars, whatever lies between them (our own choice)."""

RANGE_SHARE = 5
"""Each world of the range is simulated this many times less often than the odds themselves."""


def odds_of(  # noqa: PLR0913 - all that can be chosen about them
    weekend: Weekend,
    plan: Plan,
    *,
    scenarios: int = 20_000,
    seed: int,
    threads: int = 2,
    truths: Truths = AS_TOLD,
    ranges: bool = True,
) -> Odds:
    """The odds of a plan over many simulated weekends.

    Args:
        weekend: what is planned.
        plan: what was decided.
        scenarios: how many weekends to simulate.
        seed: not below zero; the same seed gives the same odds bit for bit.
        threads: how many share the scenarios; the odds do not depend on it.
        truths: what is not known about the world: each weekend is drawn from one that may be true,
            and the odds are told as a range over them as well.
        ranges: whether they are.

    Raises:
        ValueError: the plan does not name every activity exactly once.
    """
    frame = compile_weekend(weekend)
    draws = draw(frame, scenarios, seed, truths=truths, threads=threads)
    odds = odds_from(finishes_of(draws, plan, threads=threads), weekend.deadline_s)
    if not (ranges and truths.shared_doubt):
        return odds
    few = max(1, scenarios // RANGE_SHARE)
    found = range_of(frame, plan, truths, scenarios=few, seed=seed, threads=threads)
    return replace(odds, low=found.low, high=found.high)


def odds_from(finishes: NDArray[np.int64], deadline_s: int) -> Odds:
    """The odds from finishes.

    Args:
        finishes: (scenarios,) moments, at least one; `NEVER` where it is never done.
        deadline_s: the wall.
    """
    on_time = float(np.mean(finishes <= deadline_s))
    ordered = np.sort(finishes)
    return Odds(
        on_time=on_time,
        standard_error=sqrt(on_time * (1 - on_time) / len(finishes)),
        p10_s=_by_when(ordered, 0.1),
        p50_s=_by_when(ordered, 0.5),
        p90_s=_by_when(ordered, 0.9),
        scenarios=len(finishes),
        finishes_s=_histogram(ordered[ordered < NEVER]),
    )


def _by_when(ordered: NDArray[np.int64], share: float) -> int | None:
    """Moment by which a share of the weekends is done; None if it never is."""
    moment = int(ordered[ceil(share * len(ordered)) - 1])
    return moment if moment < NEVER else None


def _bars(ordered: NDArray[np.int64], width_s: int) -> int:
    """How many bars of a width are not empty."""
    return int(np.count_nonzero(np.diff(ordered // width_s))) + 1


def _histogram(finishes: NDArray[np.int64]) -> tuple[tuple[int, int], ...]:
    """Start of each bar that is not empty, and how many finishes lie in it.

    As narrow as they can be: the few weekends done a week later do not blur all others.
    """
    if not len(finishes):
        return ()
    coarsest_s = max(BIN_S[-1], ceil((finishes[-1] - finishes[0] + 1) / (MOST_BINS - 1)))
    width_s = next((width for width in BIN_S if _bars(finishes, width) <= MOST_BINS), coarsest_s)
    starts, counts = np.unique(finishes // width_s * width_s, return_counts=True)
    return tuple(zip(starts.tolist(), counts.tolist(), strict=True))
