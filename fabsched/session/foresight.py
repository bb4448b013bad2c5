"""From a plan to what a window shows of its odds. Heavy: imported when a request runs."""

from fabsched.model.progress import Watch
from fabsched.odds.outlook import moments, outlooks, standing
from fabsched.odds.sample import Sample
from fabsched.odds.told import Outlook
from fabsched.schedule.chains import Gain, gains
from fabsched.schedule.isolation import Isolated, isolated
from fabsched.schedule.stretch import Stretch
from fabsched.session.advising import MOMENTS, THREADS, odds_told
from fabsched.session.knowledge import knowledge_of
from fabsched.session.odds_records import OddsInput, OddsTold
from fabsched.session.warming import make_ready

BRIEF = 400
"""Scenarios from each moment, where a glance is enough."""


def course_of(given: OddsInput, watch: Watch) -> tuple[Outlook, ...]:
    """Time needed against time left, soon.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    weekend, course = given.weekend, given.answer.course
    truths = knowledge_of(given.seen).truths
    sample = Sample(seed=given.seed, scenarios=BRIEF, truths=truths, threads=THREADS)
    at_s = moments(weekend, course, MOMENTS)
    later = outlooks(weekend, given.answer.plan, course, at_s[1:], sample, watch=watch)
    return (standing(weekend, given.answer.odds), *later)


def bearing_of(
    given: OddsInput, watch: Watch
) -> tuple[OddsTold, tuple[Gain, ...], tuple[Isolated, ...]]:
    """All that bears on the odds, what would move the finish, and what is kept apart.

    Raises:
        Cancelled: the watch said stop.
    """
    weekend, plan, course = given.weekend, given.answer.plan, given.answer.course
    told = odds_told(given, Stretch(watch, 0.0, 0.95))
    return told, gains(weekend, plan, course), isolated(weekend, plan)
