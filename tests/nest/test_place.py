"""Nesting: nothing overlaps or sticks out, nothing is lost, and it is no better than is possible."""

import json
import math
from collections import Counter
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.shapes import Points2
from fabsched.nest.place import fits, nest
from fabsched.nest.records import Item, Layout, Placement, Ring, alike
from fabsched.nest.verify import distance_mm

FOLDER = Path(__file__).parent.parent / "data" / "nesting"

SMALLEST_AREA = (1, 6, 15, 35, 60, 99, 154, 210, 300, 405, 513, 667, 836, 1035, 1265, 1512)
"""Area of the smallest rectangle around squares of sides 1 to n (OEIS A038666; Korf, ICAPS 2004)."""
SMALLEST_HEIGHT = (1, 2, 3, 5, 5, 9, 11, 14, 15, 15, 19, 23, 22, 23, 23, 28)
"""Its shorter side (same source)."""


def box(wide: float, high: float) -> Ring:
    """A rectangle."""
    return ((0, 0), (wide, 0), (wide, high), (0, high))


def area_mm2(ring: Points2 | Ring) -> float:
    """Area by the shoelace formula, without sign."""
    x, y = np.array(ring).T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def placed(items: Sequence[Item], layout: Layout) -> list[tuple[int, Points2]]:
    """Bin and outline of every copy."""
    outlines = {item.id: item.outline for item in items}
    return [(p.bin, p.outline_mm(outlines[p.id])) for p in layout.placements]


def extent_mm(items: Sequence[Item], layout: Layout) -> Points2:
    """Upper right corner of everything placed."""
    return np.asarray(np.concatenate([ring for _, ring in placed(items, layout)]).max(axis=0))


@st.composite
def stars(draw: st.DrawFn) -> Ring:
    """Simple polygons around (0, 0), as concave as can be."""
    radii = draw(st.lists(st.floats(2, 40), min_size=3, max_size=9))
    shift = draw(st.tuples(st.floats(-50, 50), st.floats(-50, 50)))
    turns = np.arange(len(radii)) * math.tau / len(radii)
    x = shift[0] + np.array(radii) * np.cos(turns)
    y = shift[1] + np.array(radii) * np.sin(turns)
    return tuple(zip(x.tolist(), y.tolist(), strict=True))


@settings(max_examples=60)
@given(
    st.lists(st.tuples(stars(), st.integers(0, 4)), min_size=1, max_size=5),
    st.sampled_from((0.0, 0.3, 2.0, 5.0)),
    st.sampled_from((0.5, 0.8, 2.0)),
    st.sampled_from(((0.0,), (0.0, 90.0, 180.0, 270.0), (0.0, 30.0))),
    st.sampled_from((0, 30_000)),
)
def test_nothing_overlaps_sticks_out_or_is_lost(
    shapes: list[tuple[Ring, int]],
    gap_mm: float,
    resolution_mm: float,
    turns: tuple[float, ...],
    effort: int,
) -> None:
    """Whatever the shapes, the gap, the pixels and the angles."""
    items = [Item(id=f"p{i}", outline=ring, count=n) for i, (ring, n) in enumerate(shapes)]
    size = (121.3, 90.0)
    layout = nest(
        items, alike(size, 2), gap_mm, turns=turns, resolution_mm=resolution_mm, effort=effort
    )
    rings = placed(items, layout)
    assert layout.bins <= 2
    for _, ring in rings:
        assert (ring >= -1e-9).all()
        assert (ring <= np.add(size, 2e-6)).all()
    for (bin_a, a), (bin_b, b) in combinations(rings, 2):
        if bin_a == bin_b:
            # Without a gap parts may touch; then their corners are tried a little farther in.
            least = distance_mm(a, b) if gap_mm else distance_mm(_shrunk(a), _shrunk(b)) + 1e-9
            assert least > 0.999 * gap_mm
    copies = Counter([(p.id, p.copy) for p in layout.placements] + list(layout.unplaced))
    assert copies == {(item.id, k): 1 for item in items for k in range(item.count)}


def _shrunk(ring: Points2) -> Points2:
    """A star a thousandth smaller."""
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
    return np.asarray(middle + (ring - middle) * 0.999)


@pytest.mark.parametrize("n", range(1, 17))
def test_squares_never_pack_tighter_than_the_proven_optimum(n: int) -> None:
    """Squares of sides 1 to n in a strip as high as the smallest rectangle around them."""
    items = [Item(id=str(k), outline=box(k, k)) for k in range(1, n + 1)]
    strip = (1000.0, float(SMALLEST_HEIGHT[n - 1]))
    layout = nest(items, alike(strip, 1), 0.0, resolution_mm=1.0)
    wide, high = extent_mm(items, layout)
    assert layout.unplaced == ()
    assert SMALLEST_AREA[n - 1] - 1e-6 <= wide * high
    assert wide * strip[1] <= 1.5 * SMALLEST_AREA[n - 1]


@pytest.mark.parametrize("name", ["fu", "blaz1", "shapes1"])
def test_strips_come_near_the_best_known_and_never_beat_it(name: str) -> None:
    """Instances of the ESICUP data sets (CC0), best layouts of arXiv 2509.13329.

    Ours are found in milliseconds, the best ones in many minutes.
    """
    data = json.loads((FOLDER / f"{name}.json").read_text())
    items = [
        Item(id=str(i), outline=tuple((x, y) for x, y in item["polygon"]), count=item["quantity"])
        for i, item in enumerate(data["items"])
    ]
    area = sum(area_mm2(item.outline) * item.count for item in items)
    high = data["strip_height"]
    turns = data["items"][0]["rotations_deg"]
    found = []
    for effort in (0, 10_000_000):
        strip = alike((4 * area / high, high), 1)
        layout = nest(items, strip, 0.0, turns=turns, resolution_mm=0.25, effort=effort)
        assert layout.unplaced == ()
        found.append(100 * area / (extent_mm(items, layout)[0] * high))
    assert 0.75 * data["best_utilisation_percent"] < found[0] <= found[1]
    assert found[1] < data["best_utilisation_percent"]


def test_concave_parts_interlock() -> None:
    """Two angles share a rectangle that their boxes would not share."""
    angle = Item(
        id="angle", outline=((0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)), count=2
    )
    layout = nest([angle], alike((40, 30), 1), 0.0)
    assert layout.unplaced == ()


def test_a_part_lies_in_the_mouth_of_another() -> None:
    """A block inside a clamp, with the gap all around."""
    clamp = ((0, 0), (50, 0), (50, 10), (10, 10), (10, 40), (50, 40), (50, 50), (0, 50))
    items = [Item(id="clamp", outline=clamp), Item(id="block", outline=box(36, 26))]
    layout = nest(items, alike((50, 50), 1), 2.0)
    assert layout.unplaced == ()
    (_, outer), (_, inner) = placed(items, layout)
    assert distance_mm(outer, inner) >= 1.999


@pytest.mark.parametrize("side", [600.0, 599.9, 123.456, 0.3])
@pytest.mark.parametrize("gap_mm", [0.0, 2.0, 0.123])
def test_a_part_as_large_as_the_bin_fits(side: float, gap_mm: float) -> None:
    """However its size compares with pixels and gap; and nothing larger does."""
    for larger, count in ((0.0, 1), (0.01, 0)):
        item = Item(id="plate", outline=box(side + larger, 80.0))
        layout = nest([item], alike((side, 80.0), 3), gap_mm, turns=(0.0,))
        assert len(layout.placements) == count
        assert layout.bins == count


def test_copies_spread_over_bins_and_the_rest_is_told() -> None:
    """Four quarters to a bin, two bins, one copy left over."""
    item = Item(id="quarter", outline=box(49, 49), count=9)
    layout = nest([item], alike((100, 100), 2), 2.0)
    assert Counter(placement.bin for placement in layout.placements) == {0: 4, 1: 4}
    assert layout.unplaced == (("quarter", 8),)


def test_small_parts_fill_gaps_in_earlier_bins() -> None:
    """The first bin with room is taken, not the last one opened."""
    items = [
        Item(id="large", outline=box(90, 60), count=2),
        Item(id="small", outline=box(30, 30), count=2),
    ]
    layout = nest(items, alike((100, 100), 5), 2.0)
    assert [placement.bin for placement in layout.placements if placement.id == "small"] == [0, 0]


def test_nothing_to_place_is_an_empty_layout() -> None:
    """No items, and items without copies."""
    assert nest([], alike((10, 10), 1), 1.0) == Layout(placements=())
    assert nest([Item(id="a", outline=box(1, 1), count=0)], alike((10, 10), 1), 1.0).bins == 0


def test_more_effort_is_never_worse_and_always_the_same() -> None:
    """The usual order is among those tried; the same seed gives the same layout."""
    items = [Item(id=str(k), outline=box(20 + 7 * k, 60 - 6 * k), count=3) for k in range(6)]
    bins = alike((200, 90), 9)

    def tried(effort: int) -> Layout:
        return nest(items, bins, 1.0, effort=effort, seed=3)

    assert tried(300_000) == tried(300_000)
    assert tried(300_000).bins <= tried(0).bins


@given(st.integers(1, 12), st.integers(1, 12), st.integers(4, 20), st.integers(0, 4))
def test_squares_fill_a_bed_row_by_row(wide: int, high: int, side: int, gap: int) -> None:
    """As many fit as the product of how many fit along either side, and not one more."""
    bed = wide * (side + gap) - gap + 0.4, high * (side + gap) - gap + 0.4
    squares = Item(id="square", outline=box(side, side), count=wide * high + 1)
    assert len(nest([squares], alike(bed, 1), float(gap)).placements) == wide * high


def test_a_bed_that_is_too_small_takes_no_copy() -> None:
    """Not even one."""
    assert nest([Item(id="plate", outline=box(50, 20))], alike((49, 49), 1), 2.0).placements == ()


def test_a_part_may_be_turned_to_fit() -> None:
    """By quarter turns unless other angles are allowed."""
    assert fits(box(30, 80), (100, 40))
    assert not fits(box(30, 80), (100, 40), turns=(0.0, 180.0))
    assert not fits(box(141, 1), (101, 101))
    assert fits(box(141, 1), (101, 101), turns=(45.0,))


def test_a_placement_turns_first_and_moves_then() -> None:
    """A quarter turn counter-clockwise takes (1, 0) to (0, 1)."""
    placement = Placement(id="a", copy=0, bin=0, x_mm=10, y_mm=20, turn_deg=90)
    assert placement.outline_mm(((1, 0), (0, 2), (0, 0))).tolist() == [[10, 21], [8, 20], [10, 20]]


@pytest.mark.parametrize(
    ("outline", "count"),
    [
        (((0, 0), (1, 1)), 1),  # two corners
        (((0, 0), (1, 0), (math.nan, 1)), 1),  # no number
        (box(1, 1), -1),  # fewer than none
    ],
)
def test_an_item_without_meaning_cannot_exist(outline: Ring, count: int) -> None:
    """Refused where it is made."""
    with pytest.raises(ValueError, match="a:"):
        Item(id="a", outline=outline, count=count)


def test_an_outline_without_area_is_refused() -> None:
    """Three corners on one line."""
    with pytest.raises(ValueError, match="area"):
        nest([Item(id="a", outline=((0, 0), (1, 0), (2, 0)))], alike((10, 10), 1), 0.0)
