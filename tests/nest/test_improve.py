"""Offcuts, areas kept free and holes: layouts that get better, never worse, and stay sound."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, FillRule

from fabsched.nest.improve import improved
from fabsched.nest.place import layout_faults, nest
from fabsched.nest.records import TURNS, Bin, Item, Layout, Placement, Ring, Task, alike
from fabsched.nest.verify import apart_mm
from fabsched.nest.worth import Effort, score_of
from tests.nest.test_rooms import FRAME, box, stars
from tests.nest.test_strips import Impatient, star

ONCE = Effort(portions=1)
"""One portion of work, the same on any computer."""
TRIANGLE = Bin(size_mm=(200.0, 200.0), outline=((0, 0), (200, 0), (0, 200)))
CLAMPED = Bin(size_mm=(200.0, 100.0), keep_out=(box(30, 30), box(20, 40, 60, 60)))


@settings(max_examples=12)
@given(
    st.lists(st.tuples(stars(4, 15), st.integers(1, 3)), min_size=1, max_size=3),
    st.one_of(st.just(()), stars(40, 60)),
    st.lists(stars(5, 15), min_size=1, max_size=2),
    st.sampled_from((0.0, 3.0)),
    st.integers(0, 9),
)
def test_layouts_never_get_worse_and_stay_sound(
    shapes: list[tuple[Ring, int]], outline: Ring, keep_out: list[Ring], gap_mm: float, seed: int
) -> None:
    """Measured by areas and distances of another library than the placing."""
    items = [Item(id=f"p{i}", outline=ring, count=n) for i, (ring, n) in enumerate(shapes)]
    rooms = [Bin(size_mm=(120.0, 120.0), outline=outline, keep_out=tuple(keep_out))] * 2
    standing = nest(items, rooms, gap_mm, resolution_mm=2.0)
    better = improved(
        standing, Task(items=items, bins=rooms, gap_mm=gap_mm), Effort(portions=1, seed=seed)
    )
    assert score_of(better, items, rooms) <= score_of(standing, items, rooms)
    copies = {(p.id, p.copy) for p in better.placements} | set(better.unplaced)
    assert copies == {(item.id, k) for item in items for k in range(item.count)}
    known = {item.id: item.outline for item in items}
    placed = [(p.bin, p.outline_mm(known[p.id])) for p in better.placements]
    for _, ring in placed:
        assert ring.min() >= -1e-4
        assert ring.max() <= 120.0 + 1e-4
        area = CrossSection([ring], FillRule.NonZero)
        assert not outline or (area - _area(outline)).area() < 0.02
        assert all((area ^ _area(free)).area() < 0.02 for free in keep_out)
    for (one, a), (other, b) in combinations(placed, 2):
        if one == other and gap_mm:
            assert apart_mm([a], [b]) > 0.999 * gap_mm


def _area(ring: Ring) -> CrossSection:
    return CrossSection([np.array(ring, dtype=np.float64)], FillRule.NonZero)


@pytest.mark.parametrize("room", [TRIANGLE, CLAMPED])
def test_less_of_a_sheet_is_used_and_the_seed_decides(room: Bin) -> None:
    """Stars on an offcut and around clamps; the same work gives the same layout."""
    items = [star(kind) for kind in range(2)]
    standing = nest(items, [room], 2.0, resolution_mm=1.0)
    task = Task(items=items, bins=[room], gap_mm=2.0)
    better = improved(standing, task, ONCE)
    assert score_of(better, items, [room]) < score_of(standing, items, [room])
    assert layout_faults(better, items, [room], 2.0) == ()
    assert improved(standing, task, ONCE) == better


def test_an_offcut_is_saved_where_one_can_be() -> None:
    """Two plates on two triangles that both fit on one."""
    items, bins = [Item(id="plate", outline=box(60, 60), count=2)], [TRIANGLE] * 2
    spots = [
        Placement(id="plate", copy=k, bin=k, x_mm=1.0, y_mm=1.0, turn_deg=0.0) for k in range(2)
    ]
    better = improved(
        Layout(placements=tuple(spots)), Task(items=items, bins=bins, gap_mm=2.0), ONCE
    )
    assert {p.bin for p in better.placements} == {0}
    assert layout_faults(better, items, bins, 2.0) == ()


def test_a_part_moves_into_the_hole_of_another() -> None:
    """It lay beside the plate, whose opening has room for it."""
    items, bins = [FRAME, Item(id="block", outline=box(46, 26))], alike((200.0, 60.0), 1)
    spots = [
        Placement(id=ident, copy=0, bin=0, x_mm=x, y_mm=0.0, turn_deg=0.0)
        for ident, x in (("frame", 0.0), ("block", 90.0))
    ]
    standing = Layout(placements=tuple(spots))
    better = improved(
        standing, Task(items=items, bins=bins, gap_mm=2.0), Effort(seconds=4, portions=1)
    )
    assert score_of(better, items, bins)[3] == pytest.approx(80.0, abs=1e-3)
    assert layout_faults(better, items, bins, 2.0) == ()


def test_it_ends_when_told() -> None:
    """A minute was allowed; it is asked once whether to go on."""
    items = [star(kind) for kind in range(2)]
    standing, watch = nest(items, [CLAMPED], 2.0, resolution_mm=1.0), Impatient()
    task = Task(items=items, bins=[CLAMPED], gap_mm=2.0)
    better = improved(standing, task, Effort(seconds=60), watch)
    assert score_of(better, items, [CLAMPED]) <= score_of(standing, items, [CLAMPED])
    assert watch.told == ["improving-layout"]


def test_nothing_to_improve() -> None:
    """No part, no bin; and a part that fills its offcut."""
    empty = Layout(placements=())
    assert improved(empty, Task(items=[], bins=[], gap_mm=1.0), ONCE) == empty
    items = [Item(id="square", outline=box(100, 100), turns_deg=TURNS)]
    half = Bin(size_mm=(100.0, 150.0), outline=(*box(100, 100)[:3], (50, 140), (0, 100)))
    standing = nest(items, [half], 0.0)
    assert improved(standing, Task(items=items, bins=[half], gap_mm=0.0), ONCE) == standing
    assert math.isclose(score_of(standing, items, [half])[3], 100.0)
