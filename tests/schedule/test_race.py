"""Comparing plans, and improving one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.progress import Unwatched
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.effort import Effort
from fabsched.schedule.race import Judge, best, merit, score_of
from fabsched.schedule.rules import Method, Proposal, proposals
from fabsched.schedule.search import changed, improved, tries_for
from tests.model.made import H, printing, task, weekend
from tests.schedule.weekends import maker_weekend


def judge(found: Weekend, scenarios: int = 300) -> Judge:
    """A judge with luck of its own."""
    return Judge(draw(compile_weekend(found), scenarios, 11))


def proposed(*order: str, method: Method = Method.FIRST_COME) -> Proposal:
    """A plan in this order."""
    return Proposal(method, Plan(order=order))


def test_score_counts_what_is_in_time() -> None:
    """The deadline itself is in time; nine in ten are done by the ninth of ten."""
    score = score_of(np.arange(1, 11) * H, 5 * H)
    assert (score.on_time, score.late_s, score.half_s) == (0.5, 9 * H, 5 * H)


@given(st.lists(st.integers(0, 100 * H), min_size=1, max_size=30), st.integers(1, 50 * H))
def test_earlier_is_never_worse(finishes: list[int], sooner: int) -> None:
    """If every weekend is done earlier, no part of the score falls."""
    now = score_of(np.array(finishes), 40 * H)
    then = score_of(np.array(finishes) - sooner, 40 * H)
    assert then.on_time >= now.on_time
    assert then.late_s < now.late_s
    assert then.value >= now.value


def test_value_sees_progress_where_the_share_does_not() -> None:
    """Hopeless plans still differ; never is worst and no overflow."""
    late, later, never = (score_of(np.array([f]), H) for f in (3 * H, 9 * H, NEVER))
    assert late.on_time == later.on_time == never.on_time == 0
    assert late.value > later.value > never.value >= 0


def test_best_is_on_time_most_often() -> None:
    """Whatever its place in the list."""
    found = replace(maker_weekend(), deadline_s=maker_weekend().deadline_s - 5 * H)
    ruled = proposals(found)
    by = judge(found)
    chosen = best(by, ruled)
    assert by.score(chosen.plan).on_time == max(by.score(p.plan).on_time for p in ruled)
    assert best(by, ruled[::-1]).plan == chosen.plan


def test_of_plans_equally_late_the_one_wins_that_is_usually_done_sooner() -> None:
    """Where neither the share on time nor nine in ten tell plans apart, half of them do."""
    by = judge(weekend(task("a"), task("b")))
    late, early = proposed("a", "b"), proposed("b", "a")
    same = score_of(np.array([2 * H, 2 * H, 9 * H]), H)
    by.known.update({late.plan: same, early.plan: replace(same, half_s=H)})
    assert best(by, [late, early]) == best(by, [early, late]) == early


def test_longer_runs_come_first_where_the_odds_do_not_differ() -> None:
    """Two prints on two machines: the order changes nothing, so the longer one leads."""
    fast, slow = (
        replace(printing(name), choices=(Choice(name, Spread.exactly(n * H)),), attended=False)
        for name, n in (("a", 1), ("b", 2))
    )
    found = weekend(
        replace(fast, start_s=0, clear_s=0),
        replace(slow, start_s=0, clear_s=0),
        machines={"a": "home", "b": "home"},
    )
    assert best(judge(found), [proposed("a", "b"), proposed("b", "a")]).plan.order == ("b", "a")


def test_earlier_ninth_decides_before_the_longer_run() -> None:
    """Both orders are always in time; one is done earlier."""
    found = weekend(
        task("build", 5 * H, after=("lid",)), printing("lid", H), printing("foot", 2 * H)
    )
    first, last = ("lid", "foot", "build"), ("foot", "lid", "build")
    by = judge(found)
    assert merit(by, Plan(order=first)) > merit(by, Plan(order=last))


def test_threads_change_no_score() -> None:
    """The same luck, shared out or not."""
    found = maker_weekend()
    plan = proposals(found)[0].plan
    alone = Judge(judge(found).draws, threads=1)
    assert alone.score(plan) == judge(found).score(plan)


@given(st.permutations(list("abcdefg")), st.integers(0, 2**32))
def test_changes_keep_everything(order: list[str], seed: int) -> None:
    """A change moves activities about and loses none."""
    plan = Plan(order=tuple(order), dropped=frozenset("z"))
    after = changed(plan, np.random.default_rng(seed))
    assert sorted(after.order) == sorted(order)
    assert after.dropped == plan.dropped


@settings(max_examples=5)
@given(st.integers(0, 2**32))
def test_search_never_makes_a_plan_worse(seed: int) -> None:
    """By the judge's own measure; the same seed finds the same plan."""
    found = replace(maker_weekend(), deadline_s=maker_weekend().deadline_s - 6 * H)
    by = judge(found, 100)
    start = proposals(found)[1].plan
    better = improved(by, start, tries=15, seed=seed)
    assert merit(by, better) >= merit(by, start)
    assert improved(judge(found, 100), start, tries=15, seed=seed) == better


def test_search_finds_the_only_good_order() -> None:
    """What all else waits for is listed last; the search brings it forward."""
    works = [task(f"w{i}", H) for i in range(4)]
    found = weekend(
        *works, printing("lid", 6 * H), task("build", H, after=("lid",)), deadline_s=8 * H
    )
    start = Plan(order=tuple(activity.id for activity in found.activities))
    by = judge(found, 100)
    better = improved(by, start, tries=60, seed=2)
    assert by.score(start).on_time < 0.1
    assert by.score(better).on_time > 0.8


def test_one_activity_leaves_nothing_to_search() -> None:
    """The plan stays as it is."""
    found = weekend(task("wire"))
    plan = Plan(order=("wire",))
    assert improved(judge(found), plan, tries=5, seed=0) is plan


def test_tries_shrink_with_the_weekend() -> None:
    """The bound is on work, not on tries; both limits hold."""
    by = judge(maker_weekend())
    entries = len(by.draws.frame.entries)
    assert tries_for(by, Effort(search=entries * 750 * 7)) == 7
    assert tries_for(by, Effort(search=10**12)) == Effort().most_tries
    assert tries_for(by, Effort(search=0)) == 0


class Stopped(Unwatched):
    """A watch that wants an end."""

    def stopped(self) -> bool:
        """Always."""
        return True


def test_race_and_search_stop_when_asked() -> None:
    """At the next plan."""
    found = maker_weekend()
    ruled = proposals(found)
    with pytest.raises(Cancelled):
        best(judge(found), ruled, watch=Stopped())
    with pytest.raises(Cancelled):
        improved(judge(found), ruled[0].plan, tries=5, seed=0, watch=Stopped())
