"""Room for wires, against the table for conduits."""

import pytest

from fabsched.advise.wiring import wiring_room


@pytest.mark.parametrize(("cables", "limit"), [(1, 0.53), (2, 0.31), (3, 0.40), (9, 0.40)])
def test_limits_are_those_of_the_code(cables: int, limit: float) -> None:
    """NFPA 70, chapter 9, table 1: 53 % for one, 31 % for two, 40 % for more (from memory)."""
    assert wiring_room([1.0] * cables, [20.0]).limit == limit


def test_areas_of_circles_and_boxes() -> None:
    """Nine wires of 1 mm in a round channel of 6 mm fill 9/36 of it; a box counts with its sides."""
    assert wiring_room([1.0] * 9, [6.0]).fill == pytest.approx(0.25)
    box = wiring_room([2.0], [2.0, 3.0])
    assert box.fill == pytest.approx(3.14159 / 6, rel=1e-5)
    assert box.fits
    assert box.least_mm2 * box.limit == pytest.approx(box.bundle_mm2)
