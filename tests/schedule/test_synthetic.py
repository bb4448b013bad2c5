"""The made-up weekends are weekends, and as hard as they are meant to be."""

from graphlib import TopologicalSorter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.weekend import Run, Task, Turn
from fabsched.schedule.taking import nothing_taken
from tests.schedule.synthetic import synthetic_weekend

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=30)
@given(st.integers(6, 120), SEEDS)
def test_everything_named_is_there(count: int, seed: int) -> None:
    """Needs, repetitions and swaps name activities that exist; nothing waits in a circle."""
    found = synthetic_weekend(count, seed)
    ids = {activity.id for activity in found.activities}
    settled = {activity.id for activity in found.settled}
    assert len(ids) == len(found.activities)
    for activity in found.activities:
        redo = activity.redo if isinstance(activity, Task) else ()
        assert ids >= {*activity.after}
        assert settled >= {*redo}
    for swap in found.swaps:
        assert ids >= swap.out | swap.into
        assert not swap.out & swap.into
    assert [*TopologicalSorter({a.id: a.after for a in found.activities}).static_order()]


@settings(max_examples=30)
@given(st.integers(6, 120), SEEDS)
def test_every_swap_can_be_taken(count: int, seed: int) -> None:
    """At once, or after the two parts of a third are on one bed."""
    found = synthetic_weekend(count, seed)
    assert found.standing
    first = nothing_taken(found)
    reached = [first.taking(swap) for swap in found.swaps if first.allows(swap)]
    for swap in found.swaps:
        assert first.allows(swap) or any(taken.allows(swap) for taken in reached)
    assert not any(swap.into & found.standing for swap in found.swaps)


@pytest.mark.parametrize("count", [15, 40, 100])
def test_size_is_as_asked(count: int) -> None:
    """Within a tenth, and an activity or two; every kind of decision is among them.

    Work in two pieces is one.
    """
    for seed in range(5):
        found = synthetic_weekend(count, seed)
        standing = (a for a in found.activities if a.id in found.standing)
        works = {a.of if isinstance(a, Task) else a.id for a in standing}
        assert abs(len(works) - count) <= 2 + count / 10
        if count > 15:
            assert {swap.kind for swap in found.swaps} == {Turn.ROUTE, Turn.GATE, Turn.BED}


def test_same_seed_same_weekend() -> None:
    """Another seed, another weekend."""
    assert synthetic_weekend(40, 3) == synthetic_weekend(40, 3)
    assert synthetic_weekend(40, 3) != synthetic_weekend(40, 4)


def test_a_part_that_does_not_fit_is_printed_alone() -> None:
    """Also where it was printed with others."""
    found = synthetic_weekend(40, 0)
    fits = [a for a in found.activities if isinstance(a, Task) and a.redo]
    assert fits
    again = {activity.id: activity for activity in found.settled}
    for fit in fits:
        (run,) = (again[ident] for ident in fit.redo)
        assert isinstance(run, Run)
        assert len(run.cargo) == 1


def test_a_repair_takes_most_of_the_test() -> None:
    """What is done before a test is not done again when it has found something."""
    found = synthetic_weekend(40, 0)
    rig, test = (found.activity(ident) for ident in ("rig-test0", "test0"))
    assert isinstance(rig, Task)
    assert isinstance(test, Task)
    assert (rig.of, test.after, test.redo) == ("test0", ("rig-test0",), ())
    assert rig.chance == 0 < test.chance
    whole = rig.seconds.likely + test.seconds.likely
    assert test.seconds.likely == pytest.approx(0.8 * whole, abs=150)


def test_a_third_is_printed() -> None:
    """Prints, cuts and work come in the shares they should."""
    found = synthetic_weekend(100, 0)
    runs = [a for a in found.activities if isinstance(a, Run) and a.id in found.standing]
    prints = [run for run in runs if not run.attended]
    assert (len(prints), len(runs) - len(prints)) == (28, 8)
