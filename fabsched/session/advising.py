"""From a plan to what bears on its odds, and to advice. Heavy: imported when a request runs."""

from dataclasses import replace

from fabsched.model.plan import Odds
from fabsched.model.progress import Watch, check
from fabsched.odds.compile import compile_weekend
from fabsched.odds.dangers import dangers
from fabsched.odds.decisions import decisions
from fabsched.odds.outlook import moments, outlooks
from fabsched.odds.ranges import range_of
from fabsched.odds.sample import Sample
from fabsched.odds.setbacks import setbacks
from fabsched.schedule.stretch import Stretch
from fabsched.session.knowledge import knowledge_of
from fabsched.session.odds_records import OddsInput, OddsTold
from fabsched.session.warming import make_ready

MOMENTS = 12
"""Moments of the course at which time needed is set against time left."""
THREADS = 2
"""Threads that share scenarios; changes no result."""
RANGED = 4000
"""Scenarios in each world the range of the odds is made of."""


def odds_told(given: OddsInput, watch: Watch) -> OddsTold:
    """What bears on the odds of a plan.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    weekend, plan, course = given.weekend, given.answer.plan, given.answer.course
    many = Sample(seed=given.seed, scenarios=4000, threads=THREADS)
    few = replace(many, scenarios=1000)
    odds = _with_range(given, watch)
    costly = setbacks(
        weekend, plan, scenarios=many.scenarios, seed=given.seed, watch=Stretch(watch, 0.1, 0.5)
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
