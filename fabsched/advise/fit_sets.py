"""Sets of changes that make a weekend fit together, where none does alone.

Changes are put together one by one: all pairs of the most promising, then the best of these with one
more, and so on. What a set is worth is the later deadline it would still need, since the chance itself
is none for most of what is looked at. All are judged on a few weekends of their own; what is told is
judged on the fresh ones of the scales. What can be taken out of a set again, or asked for in a smaller
size, is.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from fabsched.advise.drops import made_of
from fabsched.advise.fits import OF_LOG, Fit, Lever
from fabsched.advise.levers import Changed, put_to
from fabsched.advise.weighing import WORK, Scales
from fabsched.model.plan import Plan
from fabsched.model.progress import Watch, check
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.carried import carried_out
from fabsched.schedule.remedies import without
from fabsched.schedule.replan import carried_over

FEW = 200
"""Weekends a set is looked at on (our own choice)."""

PROMISING = 16
"""So many changes are put together (our own choice)."""

KEPT = 4
"""So many sets are given one more change (our own choice)."""

MOST = 4
"""Changes in a set at most: more of them are another project (our own choice)."""

SURER = 0.05
"""A set that needs as late a deadline as no change is told if it wins so much chance without (our own
choice)."""

TOLD = 3
"""So many sets that are enough are told."""

DROPS = (Lever.DROP, Lever.DROP_NEEDED)
ON_ITS_OWN = frozenset(
    {*DROPS, *OF_LOG, Lever.HOURS, Lever.AWAKE, Lever.HANDS, Lever.MACHINE, Lever.ARRIVAL}
)
"""Changes that can be put to any weekend; all others begin one anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A set of changes, as looked at on few weekends.

    Attributes:
        fits: the changes.
        weekend: with all of them.
        plan: for it.
        late_s: by how much the deadline still has to be later for the wanted share.
        missed: share that is late.
    """

    fits: tuple[Fit, ...]
    weekend: Weekend
    plan: Plan
    late_s: float = 0.0
    missed: float = 0.0


def judged(scales: Scales, tried: Tried) -> Fit:
    """What becomes of a set on the fresh weekends of the scales, in the better of two orders."""
    plans = (tried.plan, scales.reordered(tried.weekend, tried.plan))
    gain = max((scales.gain(tried.weekend, plan) for plan in plans), key=lambda gain: gain.on_time)
    one = len(tried.fits) == 1
    return replace(
        tried.fits[0] if one else Fit(code=Lever.SET, parts=tried.fits),
        on_time=gain.on_time,
        gain=gain.gain,
        error=gain.error,
        enough=gain.on_time >= scales.weekend.wanted_odds,
    )


def fit_sets(
    scales: Scales, changes: Sequence[Changed], cost: Callable[[Fit], float], watch: Watch
) -> tuple[Tried, ...]:
    """The cheapest of the smallest sets that are enough; else the one that gets furthest.

    Args:
        scales: the plan that is not good enough.
        changes: those that may be put together; not one that puts the deadline off.
        cost: what a change asks of people.
        watch: told of the progress, asked whether to stop.

    Raises:
        Cancelled: the watch said stop.
    """
    return _Search(scales, changes, cost, watch).run()


class _Search:
    """One search, with what it needs all along."""

    def __init__(
        self,
        scales: Scales,
        changes: Sequence[Changed],
        cost: Callable[[Fit], float],
        watch: Watch,
    ) -> None:
        few = min(FEW, scales.sample.scenarios)
        seed = scales.sample.seed + 2
        self.few = replace(scales.sample, seed=seed, scenarios=few, threads=1)  # too few to share
        self.scales, self.cost, self.watch, self.changes = scales, cost, watch, changes

    def run(self) -> tuple[Tried, ...]:
        """Sets of two, three and so on, until some are enough."""
        base = self._looked_at((), self.scales.weekend, self.scales.plan)
        singles = [self._single(change) for change in self.changes]
        pool = self._promising(
            tried for tried in singles if tried.late_s <= base.late_s and not self._is_enough(tried)
        )
        sets = pool
        for size in range(2, MOST + 1):
            self.watch.report((size - 2) / (MOST - 1), "fitting")
            larger = self._larger(sets, pool)
            good = self._smallest(each for each in larger if not each.late_s)
            if good:
                return good
            sets = [self._reordered(each) for each in larger[:KEPT]] or sets
        best = min((base, *sets), key=self._worth)
        sooner, surer = best.late_s < base.late_s, best.missed <= base.missed - SURER
        return (self._pruned(best),) if sooner or surer else ()

    def _is_enough(self, tried: Tried) -> bool:
        """Whether it does alone: whatever were put to it would be too much."""
        return not tried.late_s and judged(self.scales, tried).enough

    def _worth(self, tried: Tried) -> tuple[float, float, float]:
        return tried.late_s, tried.missed, self._cost(tried)

    def _cost(self, tried: Tried) -> float:
        return sum(self.cost(fit) for fit in tried.fits)

    def _looked_at(self, fits: tuple[Fit, ...], weekend: Weekend, plan: Plan) -> Tried:
        check(self.watch)
        finishes = finishes_of(
            self.few.draws(compile_weekend(weekend)), plan, threads=self.few.threads
        )
        finishes = np.minimum(finishes, weekend.horizon_s)
        place = max(0, ceil(weekend.wanted_odds * len(finishes)) - 1)
        late_s = max(0, int(np.partition(finishes, place)[place]) - weekend.deadline_s)
        missed = float((finishes > weekend.deadline_s).mean())
        return Tried(
            fits=fits, weekend=weekend, plan=plan, late_s=late_s, missed=missed if late_s else 0.0
        )

    def _single(self, change: Changed) -> Tried:
        plan = self.scales.carried(change.weekend)
        return self._looked_at((change.fit,), change.weekend, plan)

    def _promising(self, singles: Iterable[Tried]) -> list[Tried]:
        """The best size of each change, what wins as much by less before.

        Of sizes that win nothing alone the largest, and of these the last: it may win with others, and
        is made smaller then.
        """
        best: dict[tuple[object, ...], Tried] = {}
        for tried in sorted(singles, key=_at_most):
            best.setdefault(_key(tried.fits[0]), tried)
        return sorted(best.values(), key=self._worth)[:PROMISING]

    def _larger(self, sets: Sequence[Tried], pool: Sequence[Tried]) -> list[Tried]:
        """Each set with one more change, the best first."""
        found: dict[frozenset[Fit], Tried] = {}
        for some in sets:
            for one in pool:
                fits = (*some.fits, *one.fits)
                if frozenset(fits) not in found and _go_together(fits):
                    found[frozenset(fits)] = self._together(fits, some.plan)
        return sorted(found.values(), key=self._worth)

    def _together(self, fits: tuple[Fit, ...], plan: Plan) -> Tried:
        """All of some changes: first what begins a weekend anew, then what is left out."""
        begun = [c.weekend for c in self.changes if c.fit in fits and not _is_free(c.fit)]
        weekend = begun[0] if begun else self.scales.weekend
        plan = carried_over(weekend, plan)
        gone = [fit.subject for fit in fits if fit.code in DROPS]
        if gone:
            settled = carried_out(weekend, plan)
            made = made_of(settled)
            ids = frozenset[str]().union(*(made.get(item, ()) for item in gone))
            weekend = without(settled, ids) if ids < {a.id for a in settled.activities} else weekend
        weekend = put_to(weekend, Fit(code=Lever.SET, parts=fits))
        return self._looked_at(fits, weekend, carried_over(weekend, plan))

    def _reordered(self, tried: Tried) -> Tried:
        """With a better order, if one is found with little effort."""
        plan = self.scales.reordered(tried.weekend, tried.plan, WORK // 2)
        return min(
            tried, self._looked_at(tried.fits, tried.weekend, plan), key=lambda each: each.late_s
        )

    def _smallest(self, good: Iterable[Tried]) -> tuple[Tried, ...]:
        """The cheapest of them, each as small as it can be, that are enough on fresh weekends."""
        found: list[Tried] = []
        for tried in sorted(good, key=self._cost)[: 2 * TOLD]:
            small = self._pruned(tried)
            known = {frozenset(each.fits) for each in found}
            if frozenset(small.fits) in known or len(found) == TOLD:
                continue
            for each in (small, tried):
                if judged(self.scales, each).enough:
                    found.append(each)
                    break
        return tuple(found)

    def _pruned(self, tried: Tried) -> Tried:
        """Without what wins nothing, and with each change in the smallest size that does as well."""
        for fit in sorted(tried.fits, key=self.cost, reverse=True):
            for less in self._less(tried, fit):
                if less and self._is_as_good(each := self._together(less, tried.plan), tried):
                    tried = each
                    break
        return tried

    def _less(self, tried: Tried, fit: Fit) -> Iterator[tuple[Fit, ...]]:
        rest = tuple(other for other in tried.fits if other is not fit)
        yield rest
        sizes = {c.fit for c in self.changes if _key(c.fit) == _key(fit)}
        for smaller in sorted(sizes, key=lambda each: each.size_s):
            if smaller.size_s < fit.size_s:
                yield (*rest, smaller)

    @staticmethod
    def _is_as_good(less: Tried, more: Tried) -> bool:
        return (less.late_s, less.missed) <= (more.late_s, more.missed)


def _at_most(tried: Tried) -> tuple[float, float, int, int]:
    fit = tried.fits[0]
    return tried.late_s, tried.missed, -fit.size_s, -fit.until_s


def _is_free(fit: Fit) -> bool:
    return fit.code in ON_ITS_OWN


def _key(fit: Fit) -> tuple[object, ...]:
    """Of changes that exclude one another: one a day for hours, one for all else."""
    if not _is_free(fit):
        return ("begun",)
    dated = fit.code in {Lever.HOURS, Lever.AWAKE, Lever.HANDS}
    return fit.code, fit.subject, fit.from_s // DAY_S if dated else 0


def _go_together(fits: Sequence[Fit]) -> bool:
    return len({_key(fit) for fit in fits}) == len(fits)
