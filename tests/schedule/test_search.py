"""Improving plans by small changes."""

from dataclasses import dataclass, field, replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.progress import Unwatched
from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.schedule import search
from fabsched.schedule.live import Sofar, Unheard
from fabsched.schedule.moves import Changer, Draft
from fabsched.schedule.race import SOFT, Judge, merit, ranked
from fabsched.schedule.rules import proposals
from fabsched.schedule.search import BEGINNINGS, EACH, ENOUGH, RIVAL_TRIES, beginnings, searched
from fabsched.schedule.taking import plan_of, taken_for
from fabsched.schedule.trial import Bench, mean_of
from fabsched.schedule.walk import Walk
from tests.model.made import H, printing, task, weekend
from tests.schedule.synthetic import synthetic_weekend
from tests.schedule.weekends import maker_weekend

LITTLE = 400_000


def judge(found: Weekend, scenarios: int = 300) -> Judge:
    """A judge with luck of its own."""
    return Judge(draw(compile_weekend(found), scenarios, 11))


@dataclass
class Follower(Unheard):
    """Hears of every better plan, and has enough after some of them."""

    heard: list[Sofar] = field(default_factory=list)
    most: int = 10**6

    def better(self, sofar: Sofar) -> None:
        """Remember it."""
        self.heard.append(sofar)

    def enough(self) -> bool:
        """After so many."""
        return len(self.heard) >= self.most


class Stopped(Unwatched):
    """A watch that wants an end."""

    def stopped(self) -> bool:
        """Always."""
        return True


@settings(max_examples=8)
@given(st.integers(0, 2**32), st.sampled_from([6, 15, 25]))
def test_search_never_makes_a_plan_worse(seed: int, count: int) -> None:
    """By the judge's own measure, whatever it starts from; what it finds is reached by swaps."""
    found = synthetic_weekend(count, seed % 20)
    by = judge(found, 150)
    starts = [proposal.plan for proposal in ranked(by, proposals(found))[:2]]
    better = searched(by, starts, work=LITTLE, seed=seed)
    assert merit(by, better) >= max(merit(by, start) for start in starts)
    assert taken_for(found, frozenset(better.order)).live == frozenset(better.order)
    assert sorted((*better.order, *better.dropped)) == sorted(a.id for a in found.activities)


@pytest.mark.parametrize("enough", [ENOUGH, dict.fromkeys(ENOUGH, 0)])
def test_same_seed_finds_the_same(enough: dict[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    """Whichever thread is faster, and with more starts; another seed finds something else."""
    monkeypatch.setattr(search, "ENOUGH", enough)
    found = synthetic_weekend(25, 3)
    start = [proposals(found)[0].plan]
    once, again, other = (
        searched(judge(found, 150), start, work=LITTLE, seed=seed) for seed in (5, 5, 6)
    )
    assert once == again != other


def test_search_finds_the_only_good_order() -> None:
    """What all else waits for is listed last; the search brings it forward."""
    works = [task(f"w{i}", H) for i in range(4)]
    found = weekend(
        *works, printing("lid", 6 * H), task("build", H, after=("lid",)), deadline_s=8 * H
    )
    start = Plan(order=tuple(activity.id for activity in found.activities))
    by = judge(found, 100)
    assert by.score(start).on_time < 0.1
    assert by.score(searched(by, [start], work=100_000, seed=2)).on_time > 0.8


def test_search_takes_the_swap_that_saves_the_day() -> None:
    """Printing the whole takes a day and a half, joining two pieces an hour."""
    route = Swap(
        id="route",
        kind=Turn.ROUTE,
        name="case",
        out=frozenset({"case"}),
        into=frozenset({"piece", "join"}),
    )
    found = replace(
        weekend(
            printing("case", 36 * H),
            printing("piece", H),
            task("join", H, after=("piece",)),
            task("build", H, after=("case", "join")),
            deadline_s=20 * H,
        ),
        swaps=(route,),
    )
    by = judge(found, 100)
    start = plan_of(found, ("case", "build", "piece", "join"), found.standing)
    better = searched(by, [start], work=100_000, seed=2)
    assert by.score(start).on_time == 0
    assert by.score(better).on_time == 1
    assert better.dropped == {"case"}


def test_the_best_plan_has_rivals(monkeypatch: pytest.MonkeyPatch) -> None:
    """Searches begin later from what decides one thing otherwise, if there is time for them."""
    begun: list[Draft] = []

    def begin(bench: Bench, changer: Changer, draft: Draft) -> Walk:
        begun.append(draft)
        return Walk(bench, changer, draft)

    monkeypatch.setattr(search, "Walk", begin)
    found = synthetic_weekend(15, 3)
    plan = proposals(found)[0].plan
    enough = RIVAL_TRIES * EACH * len(plan.order) * 3 // 2
    searched(judge(found), [plan], work=enough, seed=1)
    rivals = [draft for draft in begun if draft.taken.live != frozenset(plan.order)]
    assert len({draft.taken.live for draft in rivals}) == len(rivals) >= 2
    for one, other in pairwise(rivals):
        assert len({*one.taken.swaps} ^ {*other.taken.swaps}) == 2
    begun.clear()
    searched(judge(found), [plan], work=LITTLE, seed=1)
    assert {draft.taken.live for draft in begun} == {frozenset(plan.order)}


def test_better_plans_are_told_as_they_are_found() -> None:
    """Each is on time as often as said, and at least as often as those before."""
    found = synthetic_weekend(25, 3)
    by, follower = judge(found), Follower()
    better = searched(by, [proposals(found)[0].plan], work=3_000_000, seed=1, live=follower)
    scores = [by.score(sofar.plan) for sofar in follower.heard]
    ranks = [(score.on_time, score.value) for score in scores]
    assert ranks == sorted(ranks)
    assert len(set(ranks)) == len(ranks) > 1
    assert all(by.score(s.plan).on_time == s.on_time for s in follower.heard)
    assert by.score(better).on_time >= follower.heard[-1].on_time


def test_search_ends_when_that_is_enough() -> None:
    """With the best plan so far."""
    found = synthetic_weekend(15, 2)
    by, follower = judge(found), Follower(most=1)
    start = proposals(found)[0].plan
    better = searched(by, [start], work=10**12, seed=1, live=follower)
    assert merit(by, better) >= merit(by, follower.heard[0].plan) >= merit(by, start)


def test_search_stops_when_asked() -> None:
    """Before the next change."""
    found = maker_weekend()
    start = proposals(found)[0].plan
    with pytest.raises(Cancelled):
        searched(judge(found), [start], work=10**9, seed=0, watch=Stopped())


def test_one_activity_leaves_nothing_to_search() -> None:
    """The plan stays as it is."""
    found = weekend(task("wire"))
    plan = Plan(order=("wire",))
    assert searched(judge(found), [plan], work=1000, seed=0) == plan


@settings(max_examples=20)
@given(st.integers(0, 20), st.integers(0, 31))
def test_bench_values_are_those_of_the_judge(seed: int, which: int) -> None:
    """Whether all scenarios are carried out at once or in three goes."""
    found = synthetic_weekend(15, seed)
    by = judge(found, 500)
    ruled = proposals(found)
    plan, bench = ruled[which % len(ruled)].plan, Bench(by, 500)
    values = bench.values(plan)
    assert float(values.mean()) == pytest.approx(by.score(plan).value)
    assert bench.spent >= 500 * len(plan.order)
    lower = bench.values_if_near(plan, values - 0.1, 0.0)
    assert lower is not None
    assert (lower == values).all()
    assert bench.values_if_near(plan, values, 0.0) is values
    assert bench.values_if_near(plan, values + 0.1, 0.0) is None


def test_close_weekends_are_carried_out_first() -> None:
    """Whatever their order, each keeps its value; the first end nearest to the deadline."""
    found = synthetic_weekend(15, 3)
    by = judge(found, 500)
    plan, bench = proposals(found)[0].plan, Bench(by, 500)
    listed = bench.values(plan)
    values = bench.sort(listed)
    assert sorted(values) == sorted(listed)
    assert (bench.values(plan) == values).all()
    far = [
        abs(value - round(value) - SOFT / 2) if value > 0.5 else SOFT / 2 - value
        for value in values
    ]
    assert far == sorted(far)
    assert mean_of(values) == mean_of(listed)


def test_searches_begin_with_different_choices() -> None:
    """The best plan of each; no more than some."""
    found = synthetic_weekend(40, 2)
    plans = [proposal.plan for proposal in proposals(found)]
    chosen = beginnings(plans)
    assert chosen[0] == plans[0]
    assert len({plan.dropped for plan in chosen}) == len(chosen) == BEGINNINGS
    assert beginnings(plans[:2]) == plans[:1]


def test_departing_may_count_against_a_plan() -> None:
    """A judge's dislike is part of every value."""

    class Unkind(Judge):
        """Dislikes everything."""

        def dislike(self, plan: Plan) -> float:
            """By half."""
            return 0.5 if plan.order else 0.0

    found = maker_weekend()
    plan = proposals(found)[0].plan
    draws = judge(found).draws
    fair, less = Bench(judge(found), 300).values(plan), Bench(Unkind(draws), 300).values(plan)
    assert fair - less == pytest.approx(0.5)
    assert replace(judge(found).score(plan), value=0, on_time=0) == replace(
        Unkind(draws).score(plan), value=0, on_time=0
    )
