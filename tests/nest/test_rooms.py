"""Offcuts of any shape, areas kept free, parts inside of parts: nothing overlaps or sticks out."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, FillRule

from fabsched.nest.place import layout_faults, nest, tuned_mm
from fabsched.nest.records import Bin, Item, Layout, Placement, Ring, Task, alike
from fabsched.nest.verify import apart_mm, faults


def box(wide: float, high: float, x: float = 0.0, y: float = 0.0) -> Ring:
    """A rectangle."""
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


FRAME = Item(id="frame", outline=box(80, 60), holes=(box(50, 30, 15, 15),))
"""A plate with an opening."""


@st.composite
def stars(draw: st.DrawFn, least: float, most: float) -> Ring:
    """Simple polygons inside of a square from (0, 0), as concave as can be."""
    radii = np.array(draw(st.lists(st.floats(least, most), min_size=3, max_size=8)))
    turns = np.arange(len(radii)) * math.tau / len(radii)
    x, y = most + radii * np.cos(turns), most + radii * np.sin(turns)
    return tuple(zip(x.tolist(), y.tolist(), strict=True))


@settings(max_examples=60)
@given(
    st.lists(st.tuples(stars(2, 15), st.integers(0, 4)), min_size=1, max_size=4),
    stars(30, 60),
    st.lists(stars(3, 20), max_size=2),
    st.sampled_from((0.0, 0.3, 3.0)),
    st.sampled_from((0, 20_000)),
)
def test_parts_stay_inside_of_offcuts_and_off_what_is_kept_free(
    shapes: list[tuple[Ring, int]],
    outline: Ring,
    keep_out: list[Ring],
    gap_mm: float,
    effort: int,
) -> None:
    """Whatever the shapes: measured by areas and distances of another library than the placing."""
    items = [Item(id=f"p{i}", outline=ring, count=n) for i, (ring, n) in enumerate(shapes)]
    rooms = [Bin(size_mm=(120.0, 120.0), outline=outline, keep_out=tuple(keep_out))] * 2
    layout = nest(items, rooms, gap_mm, resolution_mm=1.0, effort=effort)
    rings = {item.id: item.outline for item in items}
    placed = [(p.bin, p.outline_mm(rings[p.id])) for p in layout.placements]
    border = CrossSection([np.array(outline)], FillRule.NonZero)
    for _, ring in placed:
        area = CrossSection([ring], FillRule.NonZero)
        assert (area - border).area() < 0.02
        assert all(
            (area ^ CrossSection([np.array(k)], FillRule.NonZero)).area() < 0.02 for k in keep_out
        )
    for (one, a), (other, b) in combinations(placed, 2):
        if one == other and gap_mm:
            assert apart_mm([a], [b]) > 0.999 * gap_mm


def test_a_part_lies_in_the_opening_of_another() -> None:
    """With the gap all around; and not where the gap leaves no room."""
    for side, inside in ((26.0, 1), (27.0, 0)):
        items = [FRAME, Item(id="block", outline=box(46, side))]
        layout = nest(items, alike((80.0, 60.0), 1), 2.0)
        assert len(layout.placements) == 1 + inside
        assert layout_faults(layout, items, alike((80.0, 60.0), 1), 2.0) == ()


@pytest.mark.parametrize(
    ("x", "y", "word"),
    [
        (17.0, 17.0, ""),
        (16.0, 17.0, "too close"),
        (40.0, 20.0, "too close"),
        (0.0, 0.0, "too close"),
    ],
)
def test_the_check_knows_openings(x: float, y: float, word: str) -> None:
    """A block in the middle of one, too near its border, across it, and on the plate itself."""
    block = Item(id="block", outline=box(46, 26))
    spots = [
        Placement(id=ident, copy=0, bin=0, x_mm=at[0], y_mm=at[1], turn_deg=0.0)
        for ident, at in (("frame", (0.0, 0.0)), ("block", (x, y)))
    ]
    found = layout_faults(
        Layout(placements=tuple(spots)), [FRAME, block], alike((90.0, 70.0), 1), 2.0
    )
    assert bool(found) == bool(word)
    assert all(word in line for line in found)


def test_the_check_knows_offcuts_and_areas_kept_free() -> None:
    """A square over the slope of a triangle, one on a clamp, and one nearer to it than the gap."""
    square = [np.array(box(30, 30, 50, 50))]
    triangle = Bin(size_mm=(100.0, 100.0), outline=((0, 0), (100, 0), (0, 100)))
    clamped = Bin(size_mm=(100.0, 100.0), keep_out=(box(10, 10, 75, 75),))
    assert faults([square], triangle, 1.0) == ("part 0 sticks out",)
    assert faults([square], clamped, 1.0) == ("part 0 is too close to an area kept out",)
    beside = [np.array(box(10, 10, 64.4, 75))]
    assert faults([beside], clamped, 1.0) == ("part 0 is too close to an area kept out",)
    assert faults([beside], clamped, 0.5) == ()
    assert faults([[np.array(box(30, 30, 10, 10))]], triangle, 1.0) == ()


def test_offcuts_are_used_before_sheets() -> None:
    """Bins are filled in the order they are given in, each as its shape allows."""
    triangle = Bin(size_mm=(100.0, 100.0), outline=((0, 0), (100, 0), (0, 100)))
    items = [Item(id="square", outline=box(45, 45), count=2)]
    layout = nest(items, [triangle, Bin(size_mm=(100.0, 100.0))], 2.0)
    assert sorted(p.bin for p in layout.placements) == [0, 1]


def test_only_angles_that_are_allowed_are_used() -> None:
    """A strip along the grain does not lie across, though it would fit there."""
    along = Item(id="strip", outline=box(90, 10), count=2, turns_deg=(0.0, 180.0))
    layout = nest([along], alike((50.0, 100.0), 1), 1.0)
    assert layout.unplaced == (("strip", 0), ("strip", 1))
    free = Item(id="strip", outline=box(90, 10), count=2)
    assert nest([free], alike((50.0, 100.0), 1), 1.0).unplaced == ()


def test_pixels_are_chosen_to_fit_the_parts() -> None:
    """Sides that are multiples of 0.7 are drawn with pixels of which 0.7 is a multiple."""
    items = [Item(id=str(k), outline=box(0.7 * k, 2.1 * k)) for k in (3, 5, 8)]
    pixel_mm = tuned_mm(Task(items=items, bins=alike((70.0, 70.0), 1), gap_mm=0.0), 0.4)
    assert 0.3 <= pixel_mm <= 0.4
    assert 0.7 / pixel_mm == pytest.approx(round(0.7 / pixel_mm))
    squares = Item(id="a", outline=box(7, 7), count=101)
    assert len(nest([squares], alike((70.0, 70.0), 1), 0.0).placements) == 100
