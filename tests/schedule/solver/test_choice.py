"""The solver decides what is carried out as well as when."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Going, Hands, Run, Swap, Turn, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.carried import carried_out
from fabsched.schedule.checked_choice import choice_faults
from fabsched.schedule.guide import guided, laid_out, order_of
from fabsched.schedule.rules import proposals
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.choice import taken_in_turn
from fabsched.schedule.solver.solve import solve
from fabsched.schedule.solver.times import Objective
from tests.schedule.synthetic import synthetic_weekend
from tests.schedule.weekends import HOUR, maker_weekend

ENOUGH = Bounds(work=10.0)

State = frozenset[str]


def choices(weekend: Weekend) -> list[State]:
    """Every set of activities swaps lead to."""
    seen, fresh = {weekend.standing}, [weekend.standing]
    while fresh:
        state = fresh.pop()
        new = {near for swap in weekend.swaps for near in _after(state, swap)} - seen
        seen |= new
        fresh += new
    return sorted(seen, key=sorted)


def _after(state: State, swap: Swap) -> Iterator[State]:
    for out, into in ((swap.out, swap.into), (swap.into, swap.out)):
        if out <= state and not into & state:
            yield (state - out) | into


def choosing(weekend: Weekend, state: State) -> Plan:
    """The plan that carries these out in the order they are listed."""
    order = tuple(a.id for a in weekend.activities if a.id in state)
    return Plan(order=order, dropped=frozenset(a.id for a in weekend.activities) - state)


@pytest.mark.parametrize("seed", [3])
def test_best_choice_is_the_best_of_all_choices(seed: int) -> None:
    """With swaps as literals the earliest finish is that of the best choice, each solved alone."""
    weekend = synthetic_weekend(6, seed)
    alone = [
        solve(carried_out(weekend, choosing(weekend, state)), Objective.NOMINAL, ENOUGH)
        for state in choices(weekend)
    ]
    found = solve(weekend, Objective.NOMINAL, ENOUGH)
    finishes = [each.finish_s for each in alone if each.finish_s is not None]
    assert (found.status, found.finish_s) == ("optimal", min(finishes))
    assert {a.id for a in weekend.activities} - found.left_out in choices(weekend)


@pytest.mark.parametrize("seed", [0, 1])
def test_proposals_of_the_solver_are_allowed_choices(seed: int) -> None:
    """What it proposes is reached by swaps, and can be carried out."""
    weekend = synthetic_weekend(12, seed)
    start = proposals(weekend)[0].plan
    found = guided(weekend, start, Bounds(work=0.1), watch=UNWATCHED)
    assert found
    for proposal in found:
        assert not list(choice_faults(weekend, proposal.plan))
        assert replay(weekend, proposal.plan, nominal(weekend)).done_s.keys() == {
            *proposal.plan.order
        }


def test_bound_of_a_plan_lies_before_its_course() -> None:
    """What is said of the order on the clock: never later than the course, the gap between them."""
    weekend = synthetic_weekend(12, 1)
    plan = proposals(weekend)[2].plan
    said = laid_out(weekend, plan, ENOUGH, watch=UNWATCHED)
    finish_s = replay(weekend, plan, nominal(weekend)).finish_s
    assert said.bound_s is not None
    assert said.gap is not None
    assert said.bound_s <= finish_s
    taken_s = finish_s - weekend.begin_s
    assert said.gap == pytest.approx((finish_s - said.bound_s) / taken_s)


@pytest.mark.parametrize("seed", range(6))
def test_a_plan_is_optimal_only_without_a_gap(seed: int) -> None:
    """What the solver proved of a schedule of its own says nothing of the plan."""
    weekend = synthetic_weekend(6, seed)
    for proposal in proposals(weekend)[:4]:
        said = laid_out(weekend, proposal.plan, ENOUGH, watch=UNWATCHED)
        assert (said.status == "optimal") == (said.gap == 0)
        assert (said.status == "feasible") == (said.gap is not None and said.gap > 0)


def test_swaps_are_taken_one_after_the_other() -> None:
    """Swaps that build on each other are taken in turn; those that never can are refused."""
    weekend = maker_weekend()
    first = Swap(id="a", kind=Turn.BED, name="A", out=State({"roof"}), into=State({"x"}))
    then = Swap(id="b", kind=Turn.BED, name="B", out=State({"x"}), into=State({"y"}))
    both = (then, first)
    weekend = replace(weekend, swaps=both)
    roof = weekend.standing | {"roof"}
    assert taken_in_turn(weekend, both, {"a": True, "b": True}) == (roof - {"roof"}) | {"y"}
    assert taken_in_turn(weekend, both, {"a": False, "b": True}) is None
    assert taken_in_turn(weekend, both, {"a": False, "b": False}) == roof


def test_what_goes_on_keeps_its_machine() -> None:
    """A run that was started before holds its machine from the beginning; others come after it."""
    horizon = 100 * HOUR
    always = Windows.always(0, horizon)
    maker = maker_weekend()
    lid = Run(
        id="lid",
        name="Lid",
        choices=maker.activities[0].choices if isinstance(maker.activities[0], Run) else (),
        attended=False,
        start_s=600,
        clear_s=300,
        going=Going("mex", Spread.exactly(2 * HOUR)),
    )
    foot = replace(lid, id="foot", going=None)
    weekend = replace(
        maker,
        begin_s=0,
        deadline_s=50 * HOUR,
        horizon_s=horizon,
        hands=(Hands(id="maker", name="Maker", base="home", windows=always),),
        sites=tuple(replace(site, windows=always) for site in maker.sites),
        stations=tuple(replace(station, windows=always) for station in maker.stations),
        activities=(lid, foot),
    )
    found = solve(weekend, Objective.NOMINAL, ENOUGH)
    assert found.starts == {"lid": 0, "foot": 2 * HOUR + 300}
    plan = order_of(weekend, found, Plan(order=("foot", "lid")))
    assert plan.order == ("lid", "foot")
    assert replay(weekend, plan, nominal(weekend)).finish_s == found.finish_s
