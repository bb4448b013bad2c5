"""From a plan to what bears on its odds, and to advice. Heavy: imported when a request runs."""

from collections.abc import Iterator
from dataclasses import replace

from fabsched.advise.advice import MOST_LOOKS, Weighed, advice_of
from fabsched.advise.counsel import Counselled, without_coupon
from fabsched.advise.coupon_items import PlannedCoupon, planned_coupon
from fabsched.advise.gates import look
from fabsched.advise.weighing import Scales
from fabsched.files.parts import read_part
from fabsched.model.errors import InputError
from fabsched.model.experience import Seen
from fabsched.model.plan import Odds, Plan
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Mesh
from fabsched.model.weekend import Swap, Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.dangers import dangers
from fabsched.odds.decisions import decisions
from fabsched.odds.outlook import moments, outlooks
from fabsched.odds.ranges import range_of
from fabsched.odds.sample import Sample
from fabsched.odds.setbacks import setbacks
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule.replan import carried_over
from fabsched.schedule.stretch import Stretch
from fabsched.schedule.taking import plan_of
from fabsched.session.advice_records import AdviceInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.odds_records import OddsInput, OddsTold
from fabsched.session.planning import laid_out
from fabsched.session.warming import make_ready

MOMENTS = 12
"""Moments of the course at which time needed is set against time left."""
THREADS = 2
"""Threads that share scenarios; changes no result."""
RANGED = 4000
"""Scenarios in each world the range of the odds is made of."""
ADVISED = 2000
"""Scenarios on which advice is weighed."""


def odds_told(given: OddsInput, watch: Watch) -> OddsTold:
    """What bears on the odds of a plan.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    weekend, plan, course = given.weekend, given.answer.plan, given.answer.course
    truths = _worlds(given.answer.odds, given.seen)
    many = Sample(seed=given.seed, scenarios=4000, truths=truths, threads=THREADS)
    few = replace(many, scenarios=1000)
    odds = _with_range(given, watch)
    costly = setbacks(
        weekend,
        plan,
        scenarios=many.scenarios,
        seed=given.seed,
        truths=truths,
        watch=Stretch(watch, 0.1, 0.5),
    )
    risky = dangers(weekend, plan, replace(many, scenarios=2000), watch=Stretch(watch, 0.5, 0.7))
    hours = decisions(weekend, plan, many, watch=Stretch(watch, 0.7, 0.9))
    at_s = moments(weekend, course, MOMENTS)
    ahead = outlooks(weekend, plan, course, at_s, few, watch=Stretch(watch, 0.9, 1.0))
    return OddsTold(
        odds=odds,
        setbacks=costly,
        dangers=risky,
        decisions=hours,
        outlooks=ahead,
    )


def _with_range(given: OddsInput, watch: Watch) -> Odds:
    """The odds of the plan, as a range as well."""
    watch.report(0.0, "odds")
    check(watch)
    odds = given.answer.odds
    truths = knowledge_of(given.seen).truths
    if odds.low is not None or not truths.shared_doubt or not given.answer.plan.order:
        return odds
    found = range_of(
        compile_weekend(given.weekend),
        given.answer.plan,
        truths,
        scenarios=RANGED,
        seed=given.seed,
        threads=THREADS,
    )
    return replace(odds, low=found.low, high=found.high)


def _worlds(odds: Odds, seen: tuple[Seen, ...]) -> Truths:
    """The worlds the odds of a plan were drawn from: those with a range were from many."""
    return AS_TOLD if odds.low is None else knowledge_of(seen).truths


def advice_for(given: AdviceInput, watch: Watch) -> Counselled:
    """Advice on a plan.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    check(watch)
    weekend, plan, asked = given.weekend, given.answer.plan, given.given
    if not plan.order:
        return Counselled()
    sample = Sample(
        seed=asked.seed,
        scenarios=ADVISED,
        truths=_worlds(given.answer.odds, asked.seen),
        threads=THREADS,
    )
    scales = Scales.of(weekend, plan, sample)
    return advice_of(
        scales,
        asked.project,
        coupons=tuple(_coupons(given, sample, watch)),
        before=weekend.begin_s > asked.now_s,
        most_looks=None if given.all_looks else MOST_LOOKS,
        watch=watch,
    )


def _coupons(given: AdviceInput, sample: Sample, watch: Watch) -> Iterator[Weighed]:
    """Coupons that are not in the project yet, each weighed in a weekend that has it."""
    for planned in _cut_coupons(given, watch):
        weekend = _with_coupon(given, planned)
        swap = _swap_of(weekend, planned) if weekend else None
        if weekend is None or swap is None:
            continue
        with_it = carried_over(weekend, given.answer.plan)
        without_it = _without(with_it.order, weekend, swap)
        scales = Scales.of(weekend, without_it, sample)
        yield Weighed(planned=planned, look=look(scales, swap))


def _cut_coupons(given: AdviceInput, watch: Watch) -> Iterator[PlannedCoupon]:
    """The first so many that could be made; parts at fault are told of elsewhere."""
    project, shop = given.given.project, given.given.shop
    for part, fit in without_coupon(project)[: given.coupons]:
        check(watch)
        try:
            shape, _ = read_part(given.folder / part.file, part.unit)
            if isinstance(shape, Mesh):
                yield planned_coupon(project, part, fit, shape, shop, watch=watch)
        except InputError:
            continue


def _with_coupon(given: AdviceInput, planned: PlannedCoupon) -> Weekend | None:
    """The weekend with a coupon as something that may be made; None if it cannot be planned."""
    asked = given.given
    changed = replace(
        asked,
        project=planned.edit(asked.project),
        estimates={**asked.estimates, planned.edit.coupon.id: planned.estimates},
    )
    try:
        return laid_out(changed, asked.now_s)
    except InputError:
        return None


def _swap_of(weekend: Weekend, planned: PlannedCoupon) -> Swap | None:
    """The swap that decides about the check of a coupon, and about nothing else."""
    if planned.edit.look is None:
        return None
    ident = planned.edit.look.id
    found = [swap for swap in weekend.swaps if ident in swap.into and "+" not in swap.id]
    return min(found, key=lambda swap: len(swap.into), default=None)


def _without(order: tuple[str, ...], weekend: Weekend, swap: Swap) -> Plan:
    """The plan that leaves the coupon out."""
    carried = [ident for ident in order if ident not in swap.into]
    if len(carried) == len(order):  # it was left out already
        return plan_of(weekend, order, frozenset(order))
    first = next(place for place, ident in enumerate(order) if ident in swap.into)
    return plan_of(
        weekend, (*order[:first], *sorted(swap.out), *order[first:]), frozenset(carried) | swap.out
    )
