"""Plans by rule of thumb."""

from hypothesis import given

from fabsched.model.weekend import Run, Weekend
from fabsched.schedule.needs import asked_for
from fabsched.schedule.rules import (
    Method,
    critical_tail,
    expected_tail,
    first_come,
    longest_first,
    proposals,
)
from tests.model.made import MIN, H, cutting, printing, task, weekend
from tests.schedule.weekends import gate, maker_weekend, weekends


@given(weekends())
def test_every_rule_names_everything_once(found: Weekend) -> None:
    """A plan by each rule, none with anything twice or missing."""
    ids = sorted(activity.id for activity in found.activities)
    plans = {proposal.method: proposal.plan for proposal in proposals(found)}
    assert all(sorted(plan.order) == ids for plan in plans.values())
    assert len(plans) == 4


@given(weekends())
def test_what_nobody_asked_for_comes_last(found: Weekend) -> None:
    """In every rule but first-come."""
    asked = asked_for(found)
    for proposal in proposals(found):
        if proposal.method is not Method.FIRST_COME:
            waits = [ident not in asked for ident in proposal.plan.order]
            assert waits == sorted(waits)


def test_first_come_keeps_the_order_of_the_project() -> None:
    """As listed."""
    found = maker_weekend()
    assert first_come(found) == tuple(activity.id for activity in found.activities)


def test_longest_first_sorts_runs_by_length() -> None:
    """Sheets first, then prints from long to short, then work as listed."""
    found = weekend(
        task("wire"),
        printing("foot", H),
        task("saw", 9 * H),
        printing("lid", 2 * H),
        cutting("cut"),
    )
    assert longest_first(found) == ("cut", "lid", "foot", "wire", "saw")


def test_critical_tail_follows_the_longest_chain() -> None:
    """A short print before long work is more urgent than a long one before nothing."""
    found = weekend(
        printing("long", 5 * H), printing("short", H), task("build", 6 * H, after=("short",))
    )
    assert critical_tail(found) == ("short", "build", "long")


def test_expected_tail_counts_setbacks() -> None:
    """Of two prints of one length, the one that a gate may send back is more urgent."""
    look = gate("look", 10, 0.5, ("b",), "b")
    idle = task("idle", 10 * MIN, after=("a",))
    found = weekend(printing("a", 5 * H), printing("b", 5 * H), idle, look)
    assert critical_tail(found)[:2] == ("a", "b")
    assert expected_tail(found)[:2] == ("b", "a")


def test_rules_differ_on_a_real_weekend() -> None:
    """They are worth comparing."""
    orders = {proposal.plan.order for proposal in proposals(maker_weekend())}
    assert len(orders) == 4
    assert all(isinstance(run, Run) for run in maker_weekend().activities[:8])
