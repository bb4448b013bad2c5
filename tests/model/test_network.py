"""What waits for what, and the copies that wait for a fault."""

import pytest
from hypothesis import given

from fabsched.model.network import network
from fabsched.model.plan import Plan
from fabsched.model.weekend import MAX_ROUNDS, Weekend
from tests.model.made import as_listed, printing, task, weekend
from tests.model.weekends import planned

PLAN = ("fit", "lid", "paint", "box", "glue")


def gated() -> Weekend:
    """A lid that is painted, and a test fit that may send both back."""
    return weekend(
        printing("box"),
        printing("lid"),
        task("paint", after=("lid",)),
        task("fit", after=("box", "paint"), chance=0.2, redo=("paint", "lid")),
        task("glue", after=("fit",)),
    )


def test_copies_come_first_and_keep_the_order_of_the_plan() -> None:
    """What a gate found wrong is more urgent than anything the plan names."""
    ids = [entry.id for entry in network(gated(), Plan(order=PLAN)).entries]
    assert ids == [
        *("fit>1", "fit>2", "fit>1>lid", "fit>2>lid", "fit>1>paint", "fit>2>paint"),
        *PLAN,
    ]


def test_each_round_waits_for_its_fault_and_for_itself() -> None:
    """A copy waits for the look that wakes it and for copies of its round; the gate for them all."""
    after = {entry.id: set(entry.after) for entry in network(gated(), Plan(order=PLAN)).entries}
    assert after["fit>1>lid"] == {"fit"}
    assert after["fit>1>paint"] == {"fit", "fit>1>lid"}
    assert after["fit>1"] == {"fit", "fit>1>lid", "fit>1>paint"}
    assert after["fit>2>lid"] == {"fit>1"}
    assert after["fit>2>paint"] == {"fit>1", "fit>2>lid"}


def test_what_follows_a_gate_waits_for_the_gate_alone() -> None:
    """Only the gate's completion releases its followers; a fault wakes the next round instead."""
    net = network(gated(), Plan(order=PLAN))
    assert [entry.id for entry in net.followers["fit"]] == ["glue"]
    assert {entry.id for entry in net.wakes["fit"]} == {"fit>1", "fit>1>lid", "fit>1>paint"}
    assert {entry.id for entry in net.wakes["fit>1"]} == {"fit>2", "fit>2>lid", "fit>2>paint"}
    assert net.wakes["fit>2"] == ()


def test_a_copy_waits_for_others_of_its_round_through_what_is_not_redone() -> None:
    """Sanding is not redone, but what is painted again still waits for what is printed again."""
    week = weekend(
        printing("lid"),
        task("sand", after=("lid",)),
        task("paint", after=("sand",)),
        task("fit", after=("paint",), chance=0.2, redo=("lid", "paint")),
    )
    after = {entry.id: set(entry.after) for entry in network(week, as_listed(week)).entries}
    assert after["fit>1>paint"] == {"fit", "fit>1>lid"}


def test_nothing_dropped_is_carried_out_or_waited_for() -> None:
    """A dropped activity leaves no entry, no copy and no need behind."""
    plan = Plan(order=("box", "paint", "fit", "glue"), dropped=frozenset({"lid"}))
    entries = network(gated(), plan).entries
    assert not any("lid" in entry.id for entry in entries)
    assert not any("lid" in need for entry in entries for need in entry.after)


def test_a_dropped_gate_takes_its_copies_along() -> None:
    """Without the gate nobody looks, so nothing is redone."""
    plan = Plan(order=("box", "lid", "paint", "glue"), dropped=frozenset({"fit"}))
    assert [entry.id for entry in network(gated(), plan).entries] == ["box", "lid", "paint", "glue"]


@pytest.mark.parametrize(
    "plan",
    [
        Plan(order=PLAN[1:]),  # one is missing
        Plan(order=(*PLAN, "lid")),  # one stands twice
        Plan(order=(*PLAN, "hinge")),  # one does not exist
        Plan(order=PLAN, dropped=frozenset({"hinge"})),  # what is dropped does not exist
    ],
)
def test_a_plan_names_everything_once(plan: Plan) -> None:
    """A plan that leaves it open what happens with an activity is refused."""
    with pytest.raises(ValueError, match="exactly once"):
        network(gated(), plan)


@given(planned())
def test_every_need_is_an_entry_and_every_follower_is_released_once(
    case: tuple[Weekend, Plan],
) -> None:
    """Each need of each entry is met exactly once: by a completion, or by the fault that wakes it."""
    net = network(*case)
    ids = {entry.id for entry in net.entries}
    assert len(ids) == len(net.entries)
    for entry in net.entries:
        told = [need for need in net.followers if entry in net.followers[need]]
        told += [look for look in net.wakes if entry in net.wakes[look]]
        assert sorted(told) == sorted(entry.after)
        assert set(entry.after) <= ids
        assert entry.round <= MAX_ROUNDS
