"""From a plan to what bears on its odds, and to advice. Heavy: imported when a request runs."""

from collections.abc import Iterator
from dataclasses import replace

from fabsched.advise.advice import MOST_LOOKS, Weighed, advice_of
from fabsched.advise.counsel import Counselled, without_coupon
from fabsched.advise.coupon_items import PlannedCoupon, planned_coupon
from fabsched.advise.coupon_worth import coupon_look
from fabsched.advise.weighing import Scales
from fabsched.files.parts import read_part
from fabsched.model.errors import InputError
from fabsched.model.experience import Seen
from fabsched.model.plan import Odds
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Mesh
from fabsched.odds.compile import compile_weekend
from fabsched.odds.dangers import dangers
from fabsched.odds.decisions import decisions
from fabsched.odds.outlook import moments, outlooks, standing
from fabsched.odds.ranges import range_of
from fabsched.odds.sample import Sample
from fabsched.odds.setbacks import setbacks
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule.fallbacks import with_fallbacks
from fabsched.schedule.stretch import Stretch
from fabsched.session.advice_records import AdviceInput
from fabsched.session.coupon_making import coupon_names
from fabsched.session.fallback_ways import fallback_ways
from fabsched.session.knowledge import knowledge_of
from fabsched.session.odds_records import OddsInput, OddsTold
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
    instead = fallback_ways(given.planned) if given.planned else ()
    both = with_fallbacks(weekend, plan, instead)
    hours = decisions(*both, many, watch=Stretch(watch, 0.7, 0.9))
    at_s = moments(weekend, course, MOMENTS)
    ahead = outlooks(weekend, plan, course, at_s[1:], many, watch=Stretch(watch, 0.9, 1.0))
    return OddsTold(
        odds=odds,
        setbacks=costly,
        dangers=risky,
        decisions=hours,
        outlooks=(standing(weekend, odds), *ahead),
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
        coupons=tuple(_coupons(given, scales, watch)),
        before=weekend.begin_s > asked.now_s,
        most_looks=None if given.all_looks else MOST_LOOKS,
        watch=watch,
    )


def _coupons(given: AdviceInput, scales: Scales, watch: Watch) -> Iterator[Weighed]:
    """Coupons that are not in the project yet, each weighed in the plan as it is."""
    for planned in _cut_coupons(given, watch):
        found = coupon_look(scales, planned)
        if found is not None:
            yield Weighed(planned=planned, look=found)


def _cut_coupons(given: AdviceInput, watch: Watch) -> Iterator[PlannedCoupon]:
    """The first so many that could be made; parts at fault are told of elsewhere."""
    project, shop = given.given.project, given.given.shop
    for part, fit in without_coupon(project)[: given.coupons]:
        check(watch)
        try:
            shape, _ = read_part(given.folder / part.file, part.unit)
            if isinstance(shape, Mesh):
                yield planned_coupon(
                    project, part, fit, shape, shop, names=coupon_names(), watch=watch
                )
        except InputError:
            continue
