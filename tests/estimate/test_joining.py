"""Open chains of a damaged section are closed by the nearest beginnings."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.joining import close_chains, match_ends

POINTS = st.tuples(st.floats(-99, 99), st.floats(-99, 99))


@given(st.lists(st.tuples(POINTS, POINTS), min_size=1, max_size=25))
def test_every_chain_is_used_once(
    chains: list[tuple[tuple[float, float], tuple[float, float]]],
) -> None:
    """Whatever the chains, each is followed by exactly one, and all points end in the polygons."""
    begins = np.array([begin for begin, _ in chains])
    ends = np.array([end for _, end in chains])
    after = match_ends(begins, ends)
    assert sorted(after.tolist()) == list(range(len(chains)))
    points = np.stack([begins, ends], axis=1).reshape(-1, 2)
    starts = np.arange(0, len(points) + 1, 2)
    polygons = close_chains(points, starts, np.arange(len(chains)))
    made = np.concatenate(polygons)
    assert sorted(map(tuple, made)) == sorted(map(tuple, points))


@given(st.permutations(range(12)), st.integers(1, 11))
def test_small_gaps_are_bridged(order: list[int], shift: int) -> None:
    """Arcs of a circle with small gaps between them are put together again, in any order."""
    turn = 2 * np.pi / 12
    first = np.array(order) * turn
    arc = np.linspace(0.0, 0.9 * turn, 5)
    pieces = [np.stack([np.cos(a + arc), np.sin(a + arc)], axis=1) for a in first]
    begins = np.array([piece[0] for piece in pieces])
    after = match_ends(begins, np.array([piece[-1] for piece in pieces]))
    followers = [order[after[order.index(k)]] for k in range(12)]
    assert followers == [(k + 1) % 12 for k in range(12)]
    points = np.concatenate(pieces)
    (whole,) = close_chains(points, np.arange(0, 61, 5), np.roll(np.arange(12), shift))
    assert len(whole) == 60
