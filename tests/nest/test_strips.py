"""Improving layouts: never worse, always sound, and it ends when told to."""

import math
from time import monotonic

import numpy as np
import pytest

from fabsched.nest import tight
from fabsched.nest.improve import improved
from fabsched.nest.place import layout_faults, nest
from fabsched.nest.records import TURNS, Bin, Item, Layout, Placement, Ring, Task, alike
from fabsched.nest.strip_child import StripTask
from fabsched.nest.strips import improvable, packed_again, packings
from fabsched.nest.worth import Effort, score_of

BRIEF = Effort(seconds=3)
"""As long as a test may take."""


def box(wide: float, high: float) -> Ring:
    """A rectangle."""
    return ((0, 0), (wide, 0), (wide, high), (0, high))


def star(kind: int) -> Item:
    """A concave part, four copies."""
    turns = np.arange(10) * math.tau / 10
    radii = np.where(np.arange(10) % 2, 8.0 + kind, 18.0 + 2 * kind)
    x, y = radii * np.cos(turns), radii * np.sin(turns)
    return Item(id=f"star{kind}", outline=tuple(zip(x.tolist(), y.tolist(), strict=True)), count=4)


class Impatient:
    """A watch that wants an end at once, and remembers what it was told."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def report(self, done: float, stage: str) -> None:
        """Remember it."""
        assert 0 <= done <= 1
        self.told.append(stage)

    def stopped(self) -> bool:
        """As soon as anything was told."""
        return bool(self.told)


def test_the_library_is_there() -> None:
    """It is among the dependencies."""
    assert improvable()


@pytest.mark.parametrize("few", [0, tight.FEW])
def test_a_layout_gets_shorter_and_stays_sound(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stars interlock better than pixels let them, and keep their gap: by the library and by our search."""
    monkeypatch.setattr(tight, "FEW", few)
    items, bins = [star(kind) for kind in range(3)], alike((400.0, 100.0), 2)
    standing = nest(items, bins, 2.0)
    better = improved(standing, Task(items=items, bins=bins, gap_mm=2.0), BRIEF)
    assert score_of(better, items, bins) < score_of(standing, items, bins)
    assert layout_faults(better, items, bins, 2.0) == ()
    copies = {(item.id, k) for item in items for k in range(item.count)}
    assert {(p.id, p.copy) for p in better.placements} == copies
    assert {p.turn_deg for p in better.placements} <= set(TURNS)


def test_a_sheet_is_saved_where_one_can_be() -> None:
    """Two plates side by side that were laid onto two sheets."""
    items, bins = [Item(id="plate", outline=box(48, 90), count=2)], alike((100.0, 100.0), 2)
    spots = [
        Placement(id="plate", copy=k, bin=k, x_mm=1.0, y_mm=1.0, turn_deg=0.0) for k in range(2)
    ]
    wasteful = Layout(placements=tuple(spots))
    better = improved(wasteful, Task(items=items, bins=bins, gap_mm=2.0), Effort(seconds=6))
    assert better.bins == 1
    assert layout_faults(better, items, bins, 2.0) == ()


def test_what_cannot_be_better_stays_as_it_stands() -> None:
    """Four squares that fill a sheet."""
    items, bins = [Item(id="square", outline=box(50, 50), count=4)], alike((100.0, 100.0), 1)
    standing = nest(items, bins, 0.0)
    assert improved(standing, Task(items=items, bins=bins, gap_mm=0.0), BRIEF) == standing


@pytest.mark.parametrize(
    "room",
    [
        Bin(size_mm=(100.0, 100.0), outline=((0, 0), (100, 0), (0, 100))),
        Bin(size_mm=(100.0, 100.0), keep_out=(box(10, 10),)),
    ],
)
def test_bins_that_are_no_strips_are_left_alone_by_strip_packing(room: Bin) -> None:
    """Offcuts with an outline of their own, and areas kept out."""
    items = [Item(id="square", outline=box(20, 20), count=3)]
    standing = nest(items, [room], 1.0)
    task, begun = Task(items=items, bins=[room], gap_mm=1.0), monotonic()
    assert packed_again(standing, task, BRIEF) == standing
    assert monotonic() - begun < 1.0


def test_it_ends_when_the_user_wants_it() -> None:
    """A minute was allowed; the child is gone long before."""
    watch = Impatient()
    task = StripTask((("a", box(10, 20), 9, TURNS),), 50.0, 1.0, 60, 1, 0)
    begun = monotonic()
    assert len(list(packings(task, watch))) <= 1
    assert monotonic() - begun < 20.0
    assert watch.told == ["improving-layout"]
