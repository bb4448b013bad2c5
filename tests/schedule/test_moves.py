"""Small changes to a plan."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.schedule.moves import Changer, draft_of
from fabsched.schedule.rules import proposals
from fabsched.schedule.taking import nothing_taken
from tests.model.made import as_listed, task, weekend
from tests.schedule.synthetic import synthetic_weekend

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=40)
@given(st.integers(6, 50), SEEDS)
def test_a_changed_plan_is_a_plan(count: int, seed: int) -> None:
    """It names everything that is carried out once, and that is reached by swaps alone."""
    found = synthetic_weekend(count, seed % 50)
    changer = Changer(found, np.random.default_rng(seed))
    draft = draft_of(found, proposals(found)[0].plan)
    for _ in range(60):
        draft = changer.changed(draft)
        reached = nothing_taken(found).as_many(draft.taken.swaps)
        assert sorted(draft.order) == sorted(draft.taken.live) == sorted(reached.live)
    plan = draft.plan(found)
    assert sorted((*plan.order, *plan.dropped)) == sorted(a.id for a in found.activities)


def test_every_kind_of_change_happens() -> None:
    """The order changes, and every swap that can be taken at once is taken now and then."""
    found = synthetic_weekend(40, 1)
    changer = Changer(found, np.random.default_rng(0))
    start = draft_of(found, proposals(found)[0].plan)
    after = [changer.changed(start) for _ in range(2000)]
    first = {swap for swap in found.swaps if swap.out <= found.standing}
    assert {swap for draft in after for swap in draft.taken.swaps} >= first
    assert len({draft.order for draft in after}) > 300


def test_what_is_swapped_in_is_as_urgent_as_what_went_out() -> None:
    """Until the search moves it."""
    found = synthetic_weekend(40, 1)
    changer = Changer(found, np.random.default_rng(0))
    start = draft_of(found, proposals(found)[0].plan)
    for _ in range(400):
        draft = changer.swapped(start)
        for swap in draft.taken.swaps:
            assert swap.out <= found.standing
            first = min(start.order.index(ident) for ident in swap.out)
            assert min(draft.order.index(ident) for ident in swap.into) == first


def test_neighbours_decide_one_thing_otherwise() -> None:
    """Every swap that can be taken, or left again, once; what stays keeps its order."""
    found = synthetic_weekend(40, 1)
    changer = Changer(found, np.random.default_rng(0))
    draft = draft_of(found, proposals(found)[0].plan)
    for _ in range(60):
        draft = changer.changed(draft)
    taken = draft.taken
    left = [swap for swap in taken.swaps if taken.leaving(swap)]
    possible = [swap for swap in found.swaps if taken.allows(swap) or swap in left]
    near = changer.neighbours(draft)
    assert [{*taken.swaps} ^ {*other.taken.swaps} for other in near] == [{s} for s in possible]
    for other in near:
        assert sorted(other.order) == sorted(other.taken.live)
        stays = {*draft.order} & {*other.order}
        old, new = ([i for i in each.order if i in stays] for each in (draft, other))
        assert old == new


def test_one_activity_has_no_order_to_change() -> None:
    """The plan stays as it is."""
    found = weekend(task("wire"))
    draft = draft_of(found, proposals(found)[0].plan)
    assert Changer(found, np.random.default_rng(0)).changed(draft) == draft


def test_what_is_moved_in_vain_is_moved_less_often() -> None:
    """Of eight works, the one that it is good to move is moved most by far."""
    found = weekend(*(task(ident) for ident in "abcdefgh"))
    changer, start = Changer(found, np.random.default_rng(0)), draft_of(found, as_listed(found))
    moves = dict.fromkeys(start.order, 0)
    for _ in range(3000):
        order = changer.changed(start).order
        # Without the one that was moved, the others stand as before; of two neighbours either was.
        moved = [i for i in start.order if _without(order, i) == _without(start.order, i)]
        changer.learn(moved == ["b"])
        for ident in moved if len(moved) == 1 else ():
            moves[ident] += 1
    assert moves["b"] > 2 * max(moves[i] for i in moves if i != "b")


def _without(order: tuple[str, ...], ident: str) -> tuple[str, ...]:
    return tuple(other for other in order if other != ident)
