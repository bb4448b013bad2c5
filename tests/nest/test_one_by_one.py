"""Parts printed one after the other: the head clears what stands."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.shop import Printer
from fabsched.nest.one_by_one import gap_of, in_order
from fabsched.nest.records import Placement

PRINTER = Printer(
    id="p", name="P", place="home", bed_mm=(200, 200, 200), head_mm=40.0, gantry_mm=25.0
)
ONE_BY_ONE = Printer(
    id="p",
    name="P",
    place="home",
    bed_mm=(200, 200, 200),
    one_by_one=True,
    head_mm=40.0,
    gantry_mm=25.0,
)


def spot(ident: str) -> Placement:
    """Somewhere."""
    return Placement(id=ident, copy=0, bin=0, x_mm=0.0, y_mm=0.0, turn_deg=0.0)


@given(st.lists(st.floats(1, 100), max_size=8))
def test_whatever_stands_is_lower_than_the_carrier(heights: list[float]) -> None:
    """When a part begins, all before it are low; nothing low is left out."""
    known = {str(i): height for i, height in enumerate(heights)}
    ordered = [known[p.id] for p in in_order([spot(i) for i in known], known, ONE_BY_ONE)]
    for before, _ in combinations(ordered, 2):
        assert before <= ONE_BY_ONE.gantry_mm
    low = sum(height <= ONE_BY_ONE.gantry_mm for height in heights)
    assert len(ordered) == low + (low < len(heights))


def test_parts_lie_apart_by_the_reach_of_the_head() -> None:
    """Only where they are printed one after the other."""
    assert gap_of(PRINTER, 5.0) == 5.0
    assert gap_of(ONE_BY_ONE, 5.0) == 40.0
    spots = [spot("a"), spot("b")]
    assert in_order(spots, {"a": 30.0, "b": 30.0}, PRINTER) == tuple(spots)
