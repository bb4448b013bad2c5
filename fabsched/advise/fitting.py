"""When it cannot be done in time: the smallest changes that would make it fit.

Each change is planned anew with little effort, and carried out on the same luck as the plan. Of a
change that can be had in more than one size, the smallest is told that is enough; if none is, the
largest.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.drops import drops, made_of
from fabsched.advise.fit_sets import Tried, fit_sets, judged
from fabsched.advise.fits import Fit, Lever
from fabsched.advise.levers import Changed, levers
from fabsched.advise.weighing import Scales
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check, tell
from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.carried import carried_out
from fabsched.schedule.remedies import without
from fabsched.schedule.stretch import Stretch

STEP_S = 15 * MINUTE_S
"""A later deadline is asked for in quarters of an hour (our own choice)."""

WORTH = 0.02
"""What wins less chance is not told (our own choice)."""

SPARING = 0.75
"""A set that is not enough is told with a later deadline if that is put off by no more than this share
of what it were without the set, and else with the chance it gives (our own choice)."""

CLOSER = 4
"""Things left out that are given a better order."""

NEEDED = 3
"""So many needed things are looked at as left out (our own choice)."""

NAMELESS: Mapping[str, str] = MappingProxyType({})
"""Everything is called by its id."""

LAST_S = 7 * DAY_S
"""A later deadline is told after all else that is enough."""

LAST = {Lever.DROP_NEEDED, Lever.DEADLINE}
"""Changes that do not spare the search for several at once, though they be enough."""

COSTS_S = {
    Lever.DROP: 0,
    Lever.WAY: HOUR_S // 2,
    Lever.DROP_NEEDED: DAY_S,
    Lever.MACHINE: 2 * DAY_S,
}
"""What a change without a size asks of people, beside the hours of others; only sorts them (our own
choice)."""


def fits(
    scales: Scales,
    others: Iterable[Changed] = (),
    *,
    last: Iterable[Changed] = (),
    names: Mapping[str, str] = NAMELESS,
    carriers: frozenset[str] = frozenset(),
    watch: Watch = UNWATCHED,
) -> tuple[Fit, ...]:
    """Changes that would help, those that are enough first, the smallest of these before others.

    The rest follows by the chance it wins. What is needed is only left out of the few that win most.

    Args:
        scales: the plan that is not good enough.
        others: changes that cannot be seen from the weekend alone: another start, another way.
        last: changes of what is made; only looked at where no other and no set of others is enough,
            and told after them.
        names: of parts and works, by id.
        carriers: ids of what is never left out; see `drops.carriers`.
        watch: told of the progress, asked whether to stop; before the long search for sets, it is
            handed the single changes (a tuple of `Fit`) if it takes what is found.

    Raises:
        Cancelled: the watch said stop.
    """
    known, scales = scales.known, _at_its_best(scales)
    changes = (*levers(scales.weekend, scales.plan), *others)
    late = _put_off(scales)
    found = [
        *_dropped(scales, names, carriers, Stretch(watch, 0.0, 0.2)),
        *_tried(scales, changes, Stretch(watch, 0.2, 0.6)),
        *([late.fit] if late else []),
    ]
    if not any(fit.enough and fit.code not in LAST for fit in found):
        tell(watch, _in_order(found, known))
        left_out = _left_out(scales, names, carriers)
        sets = fit_sets(scales, (*changes, *left_out), _cost, Stretch(watch, 0.6, 0.97))
        told = (_and_put_off(scales, each, late) for each in sets)
        found += [each for each in told if each.code is Lever.SET]
        if not any(fit.enough and fit.code not in LAST for fit in found):
            found += _tried(scales, tuple(last), Stretch(watch, 0.97, 1.0))
    return _in_order(found, known)


def _in_order(found: Iterable[Fit], known: float) -> tuple[Fit, ...]:
    """Those that win something, the first to be told first, with what is known better of the plan."""
    told = sorted((fit for fit in found if fit.gain >= WORTH), key=_rank)
    return tuple(replace(fit, on_time=min(1.0, max(0.0, fit.on_time + known))) for fit in told)


def _at_its_best(scales: Scales) -> Scales:
    """With a better order, if one is found as easily as for the changes: else they would win by it."""
    plan = scales.reordered(scales.weekend, scales.plan)
    gain = scales.gain(scales.weekend, plan).gain
    return Scales.of(scales.weekend, plan, scales.sample) if gain > 0 else scales


def _cost(fit: Fit) -> float:
    """What a change asks of people, of a set all of it; a later deadline comes last."""
    return sum(
        COSTS_S.get(each.code, 0) + each.size_s + (LAST_S if each.code is Lever.DEADLINE else 0)
        for each in fit.each
    )


def _rank(fit: Fit) -> tuple[bool, bool, float, float, str]:
    """What is enough by how little it asks for, the rest by what it wins; the last resort last."""
    is_last = fit.code is Lever.COPIES
    first = _cost(fit) if fit.enough else -fit.gain
    return is_last, not fit.enough, first, -fit.on_time, fit.subject


def _left_out(
    scales: Scales, names: Mapping[str, str], carriers: frozenset[str]
) -> Iterator[Changed]:
    """The weekend without each thing that can be left out, for sets."""
    settled = carried_out(scales.weekend, scales.plan)
    for item, ids in made_of(settled).items():
        rest = without(settled, ids)
        if item not in carriers and rest.activities:
            needed = any(activity.needed for activity in settled.activities if activity.id in ids)
            code = Lever.DROP_NEEDED if needed else Lever.DROP
            yield Changed(
                fit=Fit(code=code, subject=item, name=names.get(item, item)), weekend=rest
            )


def _and_put_off(scales: Scales, tried: Tried, alone: "_Late | None") -> Fit:
    """A set with what becomes of it; if it is not enough, with the later deadline it still needs.

    Where that is hardly sooner than the one that would do `alone`, the set is told as it is, not
    enough.
    """
    fit = judged(scales, tried)
    if fit.enough:
        return fit
    late = _put_off(Scales.of(tried.weekend, tried.plan, scales.sample))
    if late is None or (alone and fit.gain >= WORTH and not _spares(late.fit, alone.fit)):
        return fit
    some = Fit(code=Lever.SET, parts=(*tried.fits, late.fit))
    return _weighed(scales, some, late.weekend, (late.plan,))


def _spares(late: Fit, alone: Fit) -> bool:
    """Whether a deadline is put off by so much less that the set is worth making for it."""
    return late.size_s <= SPARING * alone.size_s


def _dropped(
    scales: Scales, names: Mapping[str, str], carriers: frozenset[str], watch: Watch
) -> Iterator[Fit]:
    """Leaving something out: anything optional, and the few needed things that win most."""
    found = [
        drop
        for drop in drops(scales, closer=CLOSER + len(carriers), watch=watch)
        if drop.item not in carriers
    ]
    needed = [drop for drop in found if drop.needed][:NEEDED]
    for drop in (*(drop for drop in found if not drop.needed), *needed):
        yield Fit(
            code=Lever.DROP_NEEDED if drop.needed else Lever.DROP,
            subject=drop.item,
            name=names.get(drop.item, drop.item),
            on_time=drop.gain.on_time,
            gain=drop.gain.gain,
            error=drop.gain.error,
            enough=drop.gain.on_time >= scales.weekend.wanted_odds,
        )


def _tried(scales: Scales, changes: Sequence[Changed], watch: Watch) -> Iterator[Fit]:
    """The changes one can ask for, one of each kind for each thing it is about."""
    glances: dict[tuple[Lever, str], dict[int, tuple[float, Changed]]] = {}
    for number, change in enumerate(changes):
        check(watch)
        watch.report(0.5 * number / len(changes), "fitting")
        gain = scales.gain(change.weekend, scales.carried(change.weekend)).gain
        sizes = glances.setdefault((change.fit.code, change.fit.subject), {})
        size = change.fit.size
        if size not in sizes or gain > sizes[size][0]:
            sizes[size] = (gain, change)
    for number, sizes in enumerate(glances.values()):
        watch.report(0.5 + 0.5 * number / len(glances), "fitting")
        yield _smallest(scales, [sizes[size][1] for size in sorted(sizes)], watch)


def _smallest(scales: Scales, changes: Sequence[Changed], watch: Watch) -> Fit:
    """The first that is enough once it is planned anew; the largest where even that is not."""
    largest = _planned(scales, changes[-1])
    if not largest.enough:
        return largest
    for change in changes[:-1]:
        check(watch)
        smaller = _planned(scales, change)
        if smaller.enough:
            return smaller
    return largest


def _planned(scales: Scales, change: Changed) -> Fit:
    """A change with the better of the plan there is and one found for it."""
    carried = scales.carried(change.weekend)
    plans = (carried, scales.reordered(change.weekend, carried))
    return _weighed(scales, change.fit, change.weekend, plans)


def _weighed(scales: Scales, fit: Fit, weekend: Weekend, plans: Iterable[Plan]) -> Fit:
    """A change with what the best of some plans makes of it."""
    gain = max((scales.gain(weekend, plan) for plan in plans), key=lambda gain: gain.on_time)
    return replace(
        fit,
        on_time=gain.on_time,
        gain=gain.gain,
        error=gain.error,
        enough=gain.on_time >= scales.weekend.wanted_odds,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Late:
    """A later deadline, with the plan that keeps it as surely as wanted."""

    fit: Fit
    weekend: Weekend
    plan: Plan


def _put_off(scales: Scales) -> _Late | None:
    """The least by which the deadline would have to be later; None if no hours are known then."""
    weekend = scales.weekend
    later_s = _later_s(weekend, _finishes(scales, scales.plan))
    if not later_s:
        return None
    longer = replace(weekend, deadline_s=weekend.deadline_s + later_s)
    plan = scales.reordered(longer, scales.plan)
    other_s = _later_s(weekend, _finishes(scales, plan))
    best = plan if other_s is not None and other_s < later_s else scales.plan
    size_s = min(later_s, other_s) if other_s else later_s
    until_s = weekend.deadline_s + size_s
    longer = replace(weekend, deadline_s=until_s)
    fit = Fit(code=Lever.DEADLINE, size_s=size_s, until_s=until_s)
    fit = _weighed(scales, fit, longer, (best,))
    return _Late(fit=fit, weekend=longer, plan=best)


def _finishes(scales: Scales, plan: Plan) -> NDArray[np.int64]:
    draws = scales.sample.draws(compile_weekend(scales.weekend))
    return finishes_of(draws, plan, threads=scales.sample.threads)


def _later_s(weekend: Weekend, finishes: NDArray[np.int64]) -> int | None:
    """By how much the deadline has to be later for the wanted share, in whole steps."""
    place = max(0, ceil(weekend.wanted_odds * len(finishes)) - 1)
    done_s = int(np.partition(finishes, place)[place])
    if done_s >= NEVER:
        return None
    return max(0, -(-(done_s - weekend.deadline_s) // STEP_S) * STEP_S)
