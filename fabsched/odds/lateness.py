"""When what comes from outside comes: how much later than told, given how long it has not come.

Of what was told for a moment that has passed, only that lateness counts that is still possible: the
distribution is cut off below what has been waited for already. The factor by which this maker's
deliveries are later than told holds for all of them; what is overdue tells of it by Bayes' rule.
"""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Awaited
from fabsched.odds.compile import Frame
from fabsched.odds.pert import log_chance_beyond, pert_places, value_beyond
from fabsched.odds.tables import Reals
from fabsched.odds.truths import Factor

NIGH = 0.1
"""What is later than was thought possible is taken to need another tenth of that time in the mean,
with no memory of how long it has been, since nobody knows (our own assumption)."""
LEAST_S = 60.0
"""Mean of that rest at least (our own choice)."""
DEVIATES: Reals = np.linspace(-8.0, 8.0, 3201)
"""Normal deviates at which a factor is looked at."""
NODES = 201
"""Quantiles that stand for a distribution where three figures of it are wanted."""


def promised_s(activity: Activity) -> int:
    """The moment that was told first of what an activity waits for."""
    return activity.awaited.told_s if activity.awaited else activity.earliest_s


def overdue(activity: Activity, moment_s: int, factor: Factor | None = None) -> Activity:
    """An activity at a moment by which what it waits for has not come.

    Args:
        activity: unchanged unless it waits for something that may be late and was told to come before.
        moment_s: the moment.
        factor: what is not known of the lateness of deliveries; None if nothing is unknown.
    """
    late = activity.awaited.late if activity.awaited else activity.late
    waited_s = moment_s - promised_s(activity)
    if activity.late is None or late is None or waited_s <= 0 or late.low == late.high > waited_s:
        return activity
    waits = Awaited(told_s=promised_s(activity), late=late, waited_s=waited_s)
    rest = _rest(waits, factor or Factor())
    return replace(
        activity, earliest_s=max(activity.earliest_s, moment_s), late=rest, awaited=waits
    )


def lateness_of(activity: Activity, factor: Reals, rng: np.random.Generator, count: int) -> Reals:
    """Seconds after the promised moment at which something comes that may be late, (count,).

    Args:
        activity: what waits for it.
        factor: (count,) or one, by which deliveries are later than told in each weekend.
        rng: its luck.
        count: how many weekends.
    """
    awaited = activity.awaited
    late = awaited.late if awaited else activity.late or Spread(0.0, 0.0, 0.0)
    if awaited and awaited.waited_s > 0:
        return _later(awaited, factor, rng.random(count))
    late_s: Reals = (late.low + (late.high - late.low) * pert_places(late, rng, count)) * factor
    return late_s


def informed(deviates: Reals | float, frame: Frame, factor: Factor) -> Reals:
    """Normal deviates of the factor of deliveries, moved to what is overdue already.

    The larger stays the larger, so that weekends keep their luck.
    """
    told = _overdue(frame.weekend.activities)
    if not told or not factor.sigma:
        return np.asarray(deviates)
    before, after = (_below(logs) for logs in (_prior(), _posterior(told, factor)))
    return np.asarray(np.interp(np.interp(deviates, DEVIATES, before), after, DEVIATES))


def narrowed(factor: Factor, frame: Frame) -> Factor:
    """The log-normal with mean and spread of the logarithm as they are with what is overdue."""
    told = _overdue(frame.weekend.activities)
    if not told or not factor.sigma:
        return factor
    logs = _posterior(told, factor)
    weights = np.exp(logs - logs.max())
    mean = float(np.average(DEVIATES, weights=weights))
    spread = float(np.sqrt(np.average((DEVIATES - mean) ** 2, weights=weights)))
    return Factor(float(factor.at(mean)), factor.sigma * spread)


def _overdue(activities: Iterable[Activity]) -> tuple[Awaited, ...]:
    """Everything that is overdue, each promised moment once or with each of its latenesses."""
    found = (each.awaited for each in activities if each.late and each.awaited)
    return tuple(dict.fromkeys(each for each in found if each.waited_s > 0))


def _prior() -> Reals:
    return -0.5 * DEVIATES**2


def _posterior(told: Iterable[Awaited], factor: Factor) -> Reals:
    """Logarithm of the density of the deviates, but for a constant.

    What was told for the same moment comes together: that it has not come is seen but once.
    """
    alike: dict[int, Reals] = {}
    for each in told:
        seen = _log_chance(each, factor.at(DEVIATES))
        alike[each.told_s] = np.minimum(alike.get(each.told_s, seen), seen)
    logs = _prior() + np.sum(list(alike.values()), axis=0)
    return logs if np.isfinite(logs).any() else _prior()


def _log_chance(each: Awaited, factor: Reals) -> Reals:
    """Logarithm of the chance that it has not come yet."""
    if each.late.low == each.late.high:
        return np.zeros_like(factor)
    return log_chance_beyond(each.late, each.waited_s / factor)


def _below(logs: Reals) -> NDArray[np.float64]:
    """Share of a density below each of the deviates."""
    weights = np.exp(logs - logs.max())
    below = np.concatenate([[0.0], np.cumsum(weights[1:] + weights[:-1])])
    return np.asarray(below / below[-1])


def _later(each: Awaited, factor: Reals, uniform: Reals) -> Reals:
    """The lateness that goes with uniform draws, longer than it has been waited."""
    rest_s = max(LEAST_S, NIGH * each.waited_s)
    beyond: Reals = each.waited_s - rest_s * np.log1p(-uniform)
    if each.late.low == each.late.high:
        return beyond
    still = np.broadcast_to(_log_chance(each, factor), uniform.shape)
    logs = np.where(np.isfinite(still), still, 0.0) + np.log1p(-uniform)
    return np.where(np.isfinite(still), value_beyond(each.late, logs) * factor, beyond)


def _rest(each: Awaited, factor: Factor) -> Spread:
    """P10, P50 and P90 of what is left to wait, over all that may be true of deliveries."""
    evenly = (np.arange(NODES) + 0.5) / NODES
    logs = _posterior((each,), factor) if factor.sigma else _prior()
    factors = factor.at(np.interp(evenly, _below(logs), DEVIATES))
    pairs = _later(each, np.repeat(factors, NODES), np.tile(evenly, NODES))
    low, likely, high = np.quantile(pairs - each.waited_s, (0.1, 0.5, 0.9))
    return Spread(max(0.0, float(low)), max(0.0, float(likely)), max(0.0, float(high)))
