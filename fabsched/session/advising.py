"""From a plan to what bears on its odds, and to advice. Heavy: imported when a request runs."""

from collections.abc import Iterator
from dataclasses import replace

from fabsched.advise.advice import MOST_LOOKS, Weighed, advice_of
from fabsched.advise.counsel import Counselled, Look, without_coupon
from fabsched.advise.coupon_items import PlannedCoupon, gate_of, planned_coupon
from fabsched.advise.coupon_worth import coupon_look
from fabsched.advise.weighing import Scales
from fabsched.files.parts import read_part
from fabsched.model.errors import InputError
from fabsched.model.experience import Seen
from fabsched.model.plan import Odds
from fabsched.model.progress import Watch, check
from fabsched.model.project import Fit, Part
from fabsched.model.shapes import Mesh
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Run
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
BEFORE_COUPONS = 0.4
"""Share of the work that is done when the first coupon is cut (roughly)."""
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
    known = odds.low is not None or odds.done_s is not None
    if known or not truths.shared_doubt or not given.answer.plan.order:
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


def advice_for(given: AdviceInput, watch: Watch) -> Iterator[Counselled]:
    """Advice on a plan: without coupons at first, then with each that was weighed.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    check(watch)
    weekend, plan, asked = given.weekend, given.answer.plan, given.given
    if not plan.order or given.answer.odds.done_s is not None:
        return
    sample = Sample(
        seed=asked.seed,
        scenarios=ADVISED,
        truths=_worlds(given.answer.odds, asked.seen),
        threads=THREADS,
    )
    scales = Scales.of(weekend, plan, sample)
    known = given.answer.odds.on_time - float(scales.base.mean())
    for told in advice_of(
        scales,
        asked.project,
        coupons=_coupons(given, scales, Stretch(watch, BEFORE_COUPONS, 1.0)),
        before=weekend.begin_s > asked.now_s,
        most_looks=None if given.all_looks else MOST_LOOKS,
        watch=Stretch(watch, 0.0, BEFORE_COUPONS),
    ):
        yield agreeing(told, known)


def agreeing(told: Counselled, known: float) -> Counselled:
    """Advice whose chances are those of the plan, more or less what each change wins.

    What a change wins is told apart well on a few weekends with the same luck; the chance without it
    is known better from the plan's own, so that the two together are known better as well (control
    variates: Law and Kelton, Simulation Modeling and Analysis, from memory). And the chance that is
    told beside it is the one that everything else tells.

    Args:
        told: advice.
        known: by how much the chance of the plan is above that on the weekends of the advice.
    """

    def moved(chance: float) -> float:
        return min(1.0, max(0.0, chance + known))

    def seen(look: Look) -> Look:
        gain = replace(look.gain, on_time=moved(look.gain.on_time))
        return replace(look, without=moved(look.without), gain=gain)

    return Counselled(
        advice=tuple(replace(each, on_time=moved(each.on_time)) for each in told.advice),
        looks=tuple(map(seen, told.looks)),
        coupons=tuple(map(seen, told.coupons)),
    )


def _coupons(given: AdviceInput, scales: Scales, watch: Watch) -> Iterator[Weighed]:
    """Coupons that are not in the project yet, each weighed in the plan as it is."""
    wanted = promising(given)
    for number, (part, fit) in enumerate(wanted):
        planned = _cut_out(given, part, fit, Stretch(watch, number / len(wanted), 1.0))
        found = coupon_look(scales, planned) if planned else None
        if planned is not None and found is not None:
            yield Weighed(planned=planned, look=found)


def promising(given: AdviceInput) -> list[tuple[Part, Fit]]:
    """Critical dimensions that have no coupon yet and would ease a gate, the most promising first.

    That is by how much machine time a bad fit is expected to cost: the gate's chance of finding it
    times what its part takes to make again. What is made or begun already is tried without.
    """
    project = given.given.project
    left = {part for run in _carried(given) if run.going is None for part, _ in run.cargo}

    def promise(each: tuple[Part, Fit]) -> float:
        gate = gate_of(project, *each)
        return gate.chance * _again_s(given, each[0]) if gate else 0.0

    found = [each for each in without_coupon(project) if each[0].id in left and promise(each) > 0]
    return sorted(found, key=promise, reverse=True)


def _carried(given: AdviceInput) -> Iterator[Run]:
    """Runs of the plan."""
    for ident in given.answer.plan.order:
        activity = given.weekend.activity(ident)
        if isinstance(activity, Run):
            yield activity


def _again_s(given: AdviceInput, part: Part) -> float:
    """Machine seconds of one copy, on the first machine that is known."""
    if part.minutes is not None:
        return part.minutes.likely * MINUTE_S
    known = given.given.estimates.get(part.id, {})
    return next((estimate.seconds.likely for estimate in known.values()), 0.0)


def _cut_out(given: AdviceInput, part: Part, fit: Fit, watch: Watch) -> PlannedCoupon | None:
    """A coupon that could be made; None for a part at fault, which is told of elsewhere."""
    check(watch)
    asked = given.given
    try:
        shape, _ = read_part(given.folder / part.file, part.unit)
        if isinstance(shape, Mesh):
            return planned_coupon(
                asked.project, part, fit, shape, asked.shop, names=coupon_names(), watch=watch
            )
    except InputError:
        pass
    return None
