"""Pixels cover their part, and the search finds what looking everywhere finds."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fabsched.nest.raster import Table, board, leftmost, occupy, rasterised


@given(st.lists(st.floats(0.3, 20), min_size=3, max_size=9), st.sampled_from((0.5, 1.0, 3.0)))
def test_pixels_cover_everything_and_little_more(radii: list[float], size: float) -> None:
    """Every point inside or on the border lies in a pixel of the part; every pixel is near it."""
    turns = np.arange(len(radii)) * math.tau / len(radii)
    ring = np.column_stack([radii * np.cos(turns), radii * np.sin(turns)])
    ring -= ring.min(axis=0)
    runs = rasterised([ring], size)
    pixels = {(int(r), c) for r, first, end in runs for c in range(first, end)}
    # A star is made of triangles around its middle, so that shares of its border lie inside.
    middle = ring[0] - [radii[0], 0.0]
    along = np.linspace(0, 1, 40)[:, None, None]
    border = (ring * (1 - along) + np.roll(ring, -1, axis=0) * along).reshape(-1, 2)
    for share in (0.999999, 0.7, 0.3):
        points = middle + share * (border - middle)
        cells = np.floor(points / size).astype(int)
        assert {(int(y), int(x)) for x, y in cells} <= pixels
    edges = np.abs(np.roll(ring, -1, axis=0) - ring).sum(axis=1)
    x, y = ring.T
    area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    # An edge passes at most |dx| + |dy| borders of pixels; the others lie inside altogether.
    assert len(pixels) <= area / size**2 + (edges / size + 2).sum()


def test_whole_pixels_are_covered_exactly() -> None:
    """A part on the lines of the grid takes no pixel beside it."""
    ring = np.array([[0.0, 0], [3, 0], [3, 1], [1, 1], [1, 2], [0, 2]])
    assert rasterised([ring], 0.5).tolist() == [[0, 0, 6], [1, 0, 6], [2, 0, 2], [3, 0, 2]]


def test_a_line_between_grid_lines_takes_one_row() -> None:
    """Something thinner than a pixel is a pixel wide."""
    ring = np.array([[0.0, 0.6], [4, 0.6], [4, 0.7], [0, 0.7], [0, 0]])
    assert rasterised([ring], 1.0).tolist() == [[0, 0, 4]]


@st.composite
def shapes(draw: st.DrawFn) -> Table:
    """Runs of a small part, some rows with a gap."""
    rows = draw(st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=1, max_size=3))
    found = []
    for row, pixels in enumerate(rows):
        for column, first in enumerate(pixels):
            if first and (column == 0 or not pixels[column - 1]):
                end = next((c for c in range(column, 4) if not pixels[c]), 4)
                found.append([row, column, end])
    return np.array(found or [[0, 0, 1]], dtype=np.int32)


@given(st.lists(st.tuples(shapes(), st.integers(0, 11), st.integers(0, 6)), max_size=6), shapes())
def test_the_search_finds_the_leftmost_then_lowest_place(
    before: list[tuple[Table, int, int]], part: Table
) -> None:
    """What trying every column and every row of it would find."""
    taken_next, free_next = board(np.zeros((9, 16), dtype=np.uint8))
    taken = np.zeros((9, 16), dtype=bool)
    for runs, column, row in before:
        occupy(taken_next, free_next, runs, 0, len(runs), column, row)
        for r, first, end in runs:
            taken[row + r, column + first : column + end] = True

    def free(column: int, row: int) -> bool:
        return not any(taken[row + r, column + a : column + b].any() for r, a, b in part)

    last = 15 - int(part[:, 2].max()), 8 - int(part[:, 0].max())

    def found(start: int, stop: int, top: int = 0) -> tuple[int, ...]:
        return leftmost(taken_next, free_next, part, 0, len(part), last, start, stop, top)[:2]

    places = [(c, r) for c in range(last[0] + 1) for r in range(last[1] + 1) if free(c, r)]
    wanted = min(places, default=(-1, -1))
    assert found(0, 99) == wanted
    assert found(0, 99, top=1) == min(places, key=lambda p: (p[0], -p[1]), default=(-1, -1))
    if wanted[0] >= 0:
        assert found(wanted[0], 99) == wanted
        assert found(0, wanted[0]) == (-1, -1)
