"""Comparing plans."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.progress import Unwatched
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Swap, Turn, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule.race import Judge, best, merit, ranked, score_of
from fabsched.schedule.rules import Method, Proposal, proposals
from tests.model.made import H, printing, task, weekend
from tests.schedule.synthetic import synthetic_weekend
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


class Stopped(Unwatched):
    """A watch that wants an end."""

    def stopped(self) -> bool:
        """Always."""
        return True


def test_race_stops_when_asked() -> None:
    """At the next plan."""
    found = maker_weekend()
    with pytest.raises(Cancelled):
        best(judge(found), proposals(found), watch=Stopped())


@settings(max_examples=10)
@given(st.integers(0, 99))
def test_of_many_only_the_best_are_looked_at_closely(seed: int) -> None:
    """They stand first, each once, the best of all looked at before all others."""
    found = synthetic_weekend(15, seed)
    by = judge(found, 400)
    ruled = ranked(by, (*proposals(found), *proposals(found)))
    merits = [merit(by, proposal.plan) for proposal in ruled]
    assert merits == sorted(merits, reverse=True)
    assert len(ruled) == len({proposal.plan for proposal in ruled}) <= 12
    assert {proposal.plan for proposal in ruled} <= {p.plan for p in proposals(found)}


def test_leaving_something_out_has_to_pay() -> None:
    """What may be left out is only left out if that makes being on time more likely."""
    extra = task("extra", H, needed=False)
    drop = Swap(id="drop", kind=Turn.DROP, name="extra", out=frozenset({"extra"}))
    found = replace(weekend(extra, task("main", H)), swaps=(drop,))
    by = judge(found)
    both = Plan(order=("main", "extra"))
    less = Plan(order=("main",), dropped=frozenset({"extra"}))
    assert by.score(both).on_time == 1
    assert merit(by, both) > merit(by, less)
