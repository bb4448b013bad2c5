"""The largest rectangle left of a sheet."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.shapes import Points2
from fabsched.nest.offcuts import PIXEL_MM, largest_free
from fabsched.nest.records import Bin


def box(x: float, y: float, wide: float, high: float) -> Points2:
    """A rectangle."""
    return np.array([[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]], dtype=np.float64)


def test_the_known_rest_of_a_sheet() -> None:
    """Beside one part, and nothing of a full sheet."""
    room = Bin(size_mm=(200.0, 100.0))
    assert largest_free(room, [[box(0, 0, 60, 40)]]) == (60, 0, 140, 100)
    assert largest_free(room, []) == (0, 0, 200, 100)
    assert largest_free(room, [[box(0, 0, 200, 100)]]) == (0, 0, 0, 0)


def test_what_lies_outside_of_an_offcut_is_not_left() -> None:
    """The largest square in a right triangle with legs of 100 is 50 wide."""
    triangle = Bin(size_mm=(100.0, 100.0), outline=((0, 0), (100, 0), (0, 100)))
    _, _, wide, high = largest_free(triangle, [])
    assert 45 * 45 < wide * high <= 50 * 50


@given(st.lists(st.tuples(*[st.integers(0, 9)] * 2, *[st.integers(1, 5)] * 2), max_size=6))
def test_no_rectangle_on_the_grid_is_larger(parts: list[tuple[int, int, int, int]]) -> None:
    """Found by trying every one of them."""
    room, taken = Bin(size_mm=(20.0, 20.0)), np.zeros((10, 10), dtype=bool)
    for x, y, wide, high in parts:
        taken[y : y + high, x : x + wide] = True
    rings = [[box(*(PIXEL_MM * side for side in part))] for part in parts]
    x, y, wide, high = (int(side / PIXEL_MM) for side in largest_free(room, rings))
    assert not taken[y : y + high, x : x + wide].any()
    areas = (
        (d - c) * (b - a)
        for a in range(10)
        for b in range(a + 1, 11)
        for c in range(10)
        for d in range(c + 1, 11)
        if not taken[a:b, c:d].any()
    )
    assert wide * high == max(areas, default=0)
