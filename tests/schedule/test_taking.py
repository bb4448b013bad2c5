"""Taking swaps, and leaving them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.schedule.taking import Taken, nothing_taken, plan_of, taken_for, whole_kinds
from tests.model.made import task, weekend
from tests.schedule.synthetic import synthetic_weekend

SEEDS = st.integers(0, 2**32 - 1)


def swap(ident: str, out: str, into: str, kind: Turn = Turn.ROUTE) -> Swap:
    """Activities of one letter each."""
    return Swap(id=ident, kind=kind, name=ident, out=frozenset(out), into=frozenset(into))


def lettered(*swaps: Swap) -> Weekend:
    """Four activities."""
    return replace(weekend(*(task(letter) for letter in "abcd")), swaps=swaps)


def wandered(found: Weekend, seed: int, steps: int = 30) -> Taken:
    """Swaps taken and left at random."""
    rng = np.random.default_rng(seed)
    taken = nothing_taken(found)
    for _ in range(steps if found.swaps else 0):
        one = found.swaps[int(rng.integers(len(found.swaps)))]
        if one in taken.swaps:
            taken = taken.leaving(one) or taken
        elif taken.allows(one):
            taken = taken.taking(one)
    return taken


@settings(max_examples=40)
@given(st.integers(6, 60), SEEDS)
def test_whatever_is_taken_is_reached_by_swaps(count: int, seed: int) -> None:
    """In the order in which they are kept, from what is carried out anyway."""
    found = synthetic_weekend(count, seed % 50)
    taken = wandered(found, seed)
    again = nothing_taken(found)
    for one in taken.swaps:
        again = again.taking(one)
    assert again == taken


@settings(max_examples=40)
@given(st.integers(6, 60), SEEDS)
def test_swaps_are_found_again_from_what_is_carried_out(count: int, seed: int) -> None:
    """Others perhaps, but they lead to the same."""
    found = synthetic_weekend(count, seed % 50)
    live = wandered(found, seed).live
    assert taken_for(found, live).live == live


def test_a_swap_needs_what_it_takes_out() -> None:
    """It is possible once another has brought that in, and can then not be left before it."""
    first, second = swap("first", "a", "b"), swap("second", "b", "c")
    found = lettered(first, second)
    assert not nothing_taken(found).allows(second)
    with pytest.raises(ValueError, match="second"):
        nothing_taken(found).taking(second)
    both = nothing_taken(found).as_many(found.swaps)
    assert both.live == frozenset("cd")
    assert both.leaving(first) is None
    assert both.leaving(second) == nothing_taken(found).taking(first)


def test_swaps_that_lead_on_are_found() -> None:
    """What the first brings in is no longer there after the second."""
    first, second = swap("first", "a", "b"), swap("second", "bc", "d")
    found = lettered(first, second)
    assert taken_for(found, frozenset("d")).swaps == (first, second)


def test_what_no_swaps_lead_to_is_where_others_start() -> None:
    """As for a plan in hand of which something is done."""
    found = lettered(swap("first", "a", "b"))
    taken = taken_for(found, frozenset("ad"))
    assert taken == Taken((), frozenset("ad"))
    assert taken.taking(found.swaps[0]).leaving(found.swaps[0]) == taken


def test_kinds_are_taken_as_a_whole() -> None:
    """Every combination of kinds there are, each outcome once."""
    found = lettered(swap("route", "a", "b"), swap("bed", "c", "d", Turn.BED))
    lives = {taken.live for taken in whole_kinds(found)}
    assert lives == {frozenset(letters) for letters in ("ac", "bc", "ad", "bd")}
    assert len(list(whole_kinds(weekend(task("a"))))) == 1


def test_plan_drops_what_is_not_carried_out() -> None:
    """The order names the rest, each once."""
    found = lettered(swap("route", "a", "b"))
    plan = plan_of(found, "dcba", frozenset("bcd"))
    assert (plan.order, plan.dropped) == (("d", "c", "b"), frozenset("a"))
