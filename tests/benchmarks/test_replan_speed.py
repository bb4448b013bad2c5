"""How quickly, and how well, the rest of a weekend is planned after a long print has failed.

The weekends are made up, of forty activities (`tests/schedule/synthetic.py`): chances are comparisons
between ways to plan, no predictions.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from fabsched.advise.after_failure import choices, weighed
from fabsched.advise.options import Ground
from fabsched.model.log import Event
from fabsched.model.plan import Kind, Plan
from fabsched.model.state import state_of
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.answers import checked_course
from fabsched.schedule.orders import turned
from fabsched.schedule.race import Judge, best
from fabsched.schedule.replan import FIRST, replan
from fabsched.schedule.rules import Method, Proposal, proposals
from fabsched.schedule.search import improved, searched
from fabsched.schedule.under_way import UnderWay, under_way
from tests.schedule.following import entry, told
from tests.schedule.synthetic import synthetic_weekend

Benchmark = Callable[..., Any]

WEEKENDS, FAILURES = 3, 4
"""The four longest prints of three weekends."""


@dataclass(frozen=True, slots=True)
class Case:
    """A weekend in which a print has just failed.

    Attributes:
        plan: the plan in hand.
        left: what is left.
        subject: id of the print.
    """

    plan: Plan
    left: UnderWay
    subject: str


@cache
def cases() -> tuple[Case, ...]:
    """Every long print of every weekend fails when six tenths of it are done."""
    return tuple(case for seed in range(WEEKENDS) for case in _of_weekend(seed))


def _of_weekend(seed: int) -> Iterator[Case]:
    weekend = synthetic_weekend(40, seed)
    judge = Judge(draw(compile_weekend(weekend), 1000, 1))
    plan = improved(judge, best(judge, proposals(weekend)).plan, tries=300, seed=3)
    course = checked_course(weekend, plan)
    runs = [b for b in course.blocks if b.kind is Kind.RUN and not b.attended]
    for block in sorted(runs, key=lambda block: block.start_s - block.end_s)[:FAILURES]:
        now_s = block.start_s + (block.end_s - block.start_s) * 6 // 10
        entries = told(weekend, course, now_s)
        failed = replace(entry(weekend, block, Event.FAILED, now_s), id=len(entries) + 1)
        left = under_way(weekend, state_of((*entries, failed)), now_s)
        yield Case(plan, left, block.activity)


def longest() -> Case:
    """The case in which most is left to do."""
    return max(cases(), key=lambda case: len(case.left.weekend.activities))


def test_first_answer(benchmark: Benchmark) -> None:
    """From what is left to a plan with its odds."""
    case = longest()
    benchmark(lambda: replan(case.left.weekend, case.plan, seed=1, going=case.left.by_hand))


def test_first_choice(benchmark: Benchmark) -> None:
    """Until the first choice after the failure can be looked at."""
    benchmark(lambda: next(_options(longest())))


def test_all_choices(benchmark: Any) -> None:
    """Until all of them stand side by side."""
    found = benchmark.pedantic(lambda: list(_options(longest())), rounds=2)
    assert len(found) >= 5


def _options(case: Case) -> Iterator[Any]:
    ground = Ground(weekend=case.left.weekend, plan=case.plan, going=case.left.by_hand)
    return weighed(ground, choices(case.left.weekend, case.subject))


def test_what_is_gained(benchmark: Any) -> None:
    """Staying close to the plan in hand is better than keeping it, and not far from a free search.

    A free search turns a fifth of the order; here it is a twentieth at most.
    """
    kept, new, free, turns = benchmark.pedantic(_gains, rounds=1)
    benchmark.extra_info.update(kept=kept, new=new, free=free, turned=turns)
    assert new >= kept + 0.005
    assert new >= free - 0.015
    assert turns <= 0.05


def _gains() -> tuple[float, float, float, float]:
    """Mean chance with the old plan, the new one, a free search; mean share of pairs turned."""
    rows = [_gain(case) for case in cases()]
    kept, new, free, turns = np.mean(rows, axis=0).tolist()
    return kept, new, free, turns


def _gain(case: Case) -> tuple[float, float, float, float]:
    weekend = case.left.weekend
    found = replan(weekend, case.plan, seed=1, going=case.left.by_hand)
    frame = compile_weekend(weekend)
    judge, loose = Judge(draw(frame, 10_000, 77)), Judge(draw(frame, 500, 5))
    start = best(loose, (Proposal(Method.SEARCH, found.kept), *proposals(weekend))).plan
    free = searched(loose, (start,), work=FIRST.search, seed=3)
    plans = (found.kept, found.answer.plan, free)
    kept, new, other = (judge.score(plan).on_time for plan in plans)
    return kept, new, other, turned(found.answer.plan.order, found.kept.order)
