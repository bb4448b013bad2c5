"""Time still needed against time left, over the course of a weekend."""

from collections.abc import Iterable

from fabsched.model.plan import Course, Odds, Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.midway import midway
from fabsched.odds.odds import odds_from
from fabsched.odds.sample import Sample
from fabsched.odds.simulate import finishes_of
from fabsched.odds.told import Outlook


def moments(weekend: Weekend, course: Course, count: int) -> tuple[int, ...]:
    """Evenly spaced moments from the beginning to the nominal finish or the deadline.

    Args:
        weekend: for the beginning and the deadline.
        course: the nominal course.
        count: how many, at least two; fewer come back where they lie within as few seconds.
    """
    last_s = max(weekend.begin_s, min(course.finish_s, weekend.deadline_s))
    span_s = last_s - weekend.begin_s
    evenly = (weekend.begin_s + span_s * number // (count - 1) for number in range(count))
    return tuple(dict.fromkeys(evenly))


def outlooks(
    weekend: Weekend,
    plan: Plan,
    course: Course,
    at_s: Iterable[int],
    sample: Sample,
    *,
    watch: Watch = UNWATCHED,
) -> tuple[Outlook, ...]:
    """Time needed against time left, at some moments of a course.

    At each moment everything has gone as in the course until then; what comes after is simulated
    anew, each thing with the same luck at every moment.

    Args:
        weekend: what is planned.
        plan: what was decided.
        course: how it goes until each moment: the nominal one, as a rule.
        at_s: the moments, none before the beginning.
        sample: weekends to simulate from each moment.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    found = []
    asked = tuple(at_s)
    for number, moment_s in enumerate(asked):
        check(watch)
        watch.report(number / len(asked), "outlook")
        found.append(_outlook(*midway(weekend, plan, course, moment_s), sample))
    return tuple(found)


def _outlook(weekend: Weekend, plan: Plan, sample: Sample) -> Outlook:
    """How it stands at the beginning of a weekend."""
    draws = sample.draws(compile_weekend(weekend))
    odds = odds_from(finishes_of(draws, plan, threads=sample.threads), weekend.deadline_s)
    return standing(weekend, odds)


def standing(weekend: Weekend, odds: Odds) -> Outlook:
    """Time needed against time left at the beginning, where the odds of a plan are known already.

    So that one figure is never told in two ways.
    """
    begin_s = weekend.begin_s
    return Outlook(
        moment_s=begin_s,
        left_s=weekend.deadline_s - begin_s,
        p10_s=_since(begin_s, odds.p10_s),
        p50_s=_since(begin_s, odds.p50_s),
        p90_s=_since(begin_s, odds.p90_s),
        on_time=odds.on_time,
    )


def _since(begin_s: int, end_s: int | None) -> int | None:
    return None if end_s is None else end_s - begin_s
