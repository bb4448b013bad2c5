"""Weekends of forty activities that are under way, in which something has just happened.

The weekends are those the planner is measured on (`tests/schedule/synthetic.py`), and the plans in hand
come from the same search as the program's, so that what is compared is what happens afterwards.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from fabsched.model.log import Entry, Event
from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.state import state_of
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.answers import checked_course
from fabsched.schedule.effort import QUICK
from fabsched.schedule.race import Judge, ranked
from fabsched.schedule.rules import proposals
from fabsched.schedule.search import beginnings, searched
from fabsched.schedule.under_way import UnderWay, under_way
from tests.schedule.following import entry, told
from tests.schedule.synthetic import synthetic_weekend

WEEKENDS, FAILURES = 6, 4
"""The longest prints of so many weekends fail."""

FAR = 0.6
"""How far they have got by then."""

DELAY_S = 3 * 3600
"""Something is late by so much."""

EARLY = 0.5
"""What is done early has taken this share of its time."""


@dataclass(frozen=True, slots=True)
class Case:
    """A weekend in which something has just happened.

    Attributes:
        plan: the plan in hand.
        left: what is left.
        subject: id of what it happened to.
        event: what happened.
        taken: ids of the machine and person that are freed or taken by it.
    """

    plan: Plan
    left: UnderWay
    subject: str
    event: Event
    taken: frozenset[str]


@cache
def plan_in_hand(seed: int) -> tuple[Weekend, Plan, Course]:
    """A weekend with the plan the program's first search finds, and its nominal course."""
    weekend = synthetic_weekend(40, seed)
    judge = Judge(draw(compile_weekend(weekend), QUICK.race, 1))
    plans = [proposal.plan for proposal in ranked(judge, proposals(weekend))]
    plan = searched(judge, beginnings(plans), work=QUICK.work(40), seed=1)
    return weekend, plan, checked_course(weekend, plan)


@cache
def failures() -> tuple[Case, ...]:
    """The longest prints of every weekend fail, each in a weekend of its own."""
    return tuple(case for seed in range(WEEKENDS) for case in failures_of(seed))


def failures_of(seed: int) -> Iterator[Case]:
    """The longest prints of one weekend fail."""
    _, _, course = plan_in_hand(seed)
    runs = [b for b in course.blocks if b.kind is Kind.RUN and not b.attended]
    for block in sorted(runs, key=lambda block: block.start_s - block.end_s)[:FAILURES]:
        now_s = block.start_s + round(FAR * (block.end_s - block.start_s))
        yield _case(seed, block, Event.FAILED, now_s)


def delays_of(seed: int) -> Iterator[Case]:
    """Work that should begin now cannot for some hours: the third, the ninth and the fifteenth."""
    _, _, course = plan_in_hand(seed)
    for block in _works(course)[2:15:6]:
        yield _case(seed, block, Event.DELAYED, block.start_s - 1, block.start_s + DELAY_S)


def early_ends_of(seed: int) -> Iterator[Case]:
    """Work is done in half its time: the fourth, the tenth and the sixteenth."""
    _, _, course = plan_in_hand(seed)
    for block in _works(course)[3:16:6]:
        now_s = block.start_s + round(EARLY * (block.end_s - block.start_s))
        yield _case(seed, block, Event.FINISHED, now_s)


def _works(course: Course) -> list[Block]:
    """Work and gates in order of their beginning, each once."""
    blocks = (b for b in course.blocks if b.kind in {Kind.WORK, Kind.GATE} and "#" not in b.id)
    return sorted(blocks, key=lambda block: block.start_s)


def _case(seed: int, block: Block, event: Event, now_s: int, until_s: int | None = None) -> Case:
    weekend, plan, course = plan_in_hand(seed)
    entries = told(weekend, course, now_s)
    last = _entry(weekend, block, event, now_s, until_s, len(entries) + 1)
    left = under_way(weekend, state_of((*entries, last)), now_s)
    return Case(plan, left, block.activity, event, frozenset({block.resource}))


def _entry(
    weekend: Weekend, block: Block, event: Event, now_s: int, until_s: int | None, ident: int
) -> Entry:
    return replace(entry(weekend, block, event, now_s), id=ident, until_s=until_s)
