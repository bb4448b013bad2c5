"""Lines of support: where pillars stand, which way lines run, how much they fill."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.estimate.columns import Grid
from fabsched.estimate.placing import place
from fabsched.estimate.scaffold import PILLAR, Lines, Scaffold, length_mm, pillars_of
from fabsched.estimate.support import Posts, Support, support_of
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies

BUILD = Build()


def support(mesh: Mesh, build: Build = BUILD) -> Support:
    """Support of a part as it stands."""
    return support_of(place(mesh, "part"), build)


def rough_ball() -> Mesh:
    """A ball whose surface is jagged, so that about as much of it leans too far as does not."""
    ball = bodies.sphere(25, 6)
    jag = 1.0 + 0.004 * np.random.default_rng(0).standard_normal(len(ball.vertices))
    return Mesh(ball.vertices * jag[:, None], ball.faces)


POST = st.tuples(
    st.integers(0, 8), st.integers(0, 8), st.integers(0, 5), st.integers(1, 5), st.integers(1, 4)
)
"""Row, column, where the lower post begins, how high it is, and the gap to one above it."""


def posts_of(drawn: list[tuple[int, int, int, int, int]]) -> Posts:
    """Two posts, one above the other, in each of some columns, row by row."""
    columns = sorted({(row, column): rest for row, column, *rest in drawn}.items())
    rows = [
        (row, column, low, low + height)
        for (row, column), (begin, height, gap) in columns
        for low in (begin, begin + height + gap)
    ]
    row, column, low, high = (np.array(part) for part in zip(*rows, strict=True))
    return Posts(row.astype(np.int32), column.astype(np.int32), low * 1.0, high * 1.0)


def standing(posts: Posts, z: float) -> set[tuple[int, int]]:
    """Places at which a post stands at a height."""
    chosen = (posts.low <= z) & (z < posts.high)
    return set(zip(posts.row[chosen].tolist(), posts.column[chosen].tolist(), strict=True))


@given(st.lists(POST, min_size=1, max_size=60))
def test_a_pillar_stands_where_most_of_its_posts_do(
    drawn: list[tuple[int, int, int, int, int]],
) -> None:
    """At every height, a pillar of 3 x 3 columns stands exactly where 5 posts or more stand."""
    posts = posts_of(drawn)
    pillars, _ = pillars_of(posts, Grid(0.0, 0.0, 0.4, 9, 9), 3)
    for z in np.arange(0.5, 16.0):
        count: dict[tuple[int, int], int] = {}
        for row, column in standing(posts, z):
            count[row // 3, column // 3] = count.get((row // 3, column // 3), 0) + 1
        assert standing(pillars, z) == {place for place, n in count.items() if n >= 5}
    order = list(zip(pillars.row, pillars.column, pillars.low, strict=True))
    assert order == sorted(order)


def test_narrow_pillars_are_the_posts() -> None:
    """One column wide, pillars are the posts themselves on the same grid."""
    got = support(bodies.sphere(9))
    pillars, grid = pillars_of(got.posts, got.grid, 1)
    assert grid == got.grid
    for name in Posts._fields:
        assert np.array_equal(getattr(pillars, name), getattr(got.posts, name))


def layers(scaffold: Scaffold, height_mm: float) -> list[Lines]:
    """The lines of every layer of 0.2 mm."""
    return [scaffold.lines(0.2 * layer + 0.1) for layer in range(round(height_mm / 0.2))]


@pytest.mark.parametrize("share", [0.1, 0.15, 0.3, 0.6])
def test_lines_fill_their_share(share: float) -> None:
    """Lines of support, as beads of all layers, fill the share of the supported volume."""
    build = Build(support=share)
    got = support(bodies.sphere(25), build)
    scaffold = Scaffold(got, build)
    filled = sum(length_mm(lines) for lines in layers(scaffold, 50)) * 0.45 * 0.2
    assert filled == pytest.approx(share * got.volume_mm3, rel=0.06)


def test_no_support_printed_at_share_zero() -> None:
    """At share 0 there are no lines, but the need is still known."""
    build = Build(support=0.0)
    got = support(bodies.sphere(25), build)
    assert got.volume_mm3 > 3000
    assert [spans.line.size for spans in Scaffold(got, build).lines(1.0)] == [0, 0]


@pytest.mark.parametrize("turn", [0, 90])
def test_lines_run_along_the_longer_side(turn: float) -> None:
    """Under a shelf of 60 x 12 mm run four lines of 60 mm, whichever way it points."""
    shelf = bodies.joined(bodies.box(60, 3, 20), bodies.box(60, 15, 3, (0, 0, 20)))
    lines = Scaffold(support(bodies.turned(shelf, turn)), BUILD).lines(10.0)
    used, unused = lines if turn == 0 else lines[::-1]
    assert unused.line.size == 0
    assert used.line.size == 4
    assert length_mm(lines) == pytest.approx(4 * 60, rel=0.02)
    across = np.sort(used.ends[:, 1 if turn == 0 else 0])
    assert np.diff(across) == pytest.approx([3, 3, 3], abs=0.61)  # snapped to pillars


def test_a_narrow_ledge_still_gets_its_line() -> None:
    """Under a ledge narrower than the gap between lines runs one line, all along it."""
    ledge = bodies.joined(bodies.box(40, 10, 20), bodies.box(40, 11.8, 3, (0, 0, 20)))
    lines = Scaffold(support(ledge), BUILD).lines(10.0)
    assert sum(spans.line.size for spans in lines) == 1
    assert length_mm(lines) == pytest.approx(40, abs=1.2)


def test_crumbs_get_none() -> None:
    """An overhang of half a square millimetre holds itself."""
    nub = bodies.joined(bodies.box(20, 20, 20), bodies.box(0.7, 0.7, 3, (20, 9, 12)))
    assert support(nub).volume_mm3 > 0.0
    assert length_mm(Scaffold(support(nub), BUILD).lines(5.0)) == 0.0


def test_ragged_overhangs_are_held_by_whole_lines() -> None:
    """Under a jagged ball no piece is shorter than a pillar, and most are several long."""
    scaffold = Scaffold(support(rough_ball()), BUILD)
    ends = np.concatenate([s.ends for lines in layers(scaffold, 50) for s in lines])
    length = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1])
    assert length.min() >= 0.4 * PILLAR - 1e-9
    assert length.mean() > 3 * 0.4 * PILLAR


@settings(max_examples=20)
@given(st.floats(3, 30), st.floats(3, 30), st.floats(1, 20))
def test_lines_stay_under_the_overhang(x: float, y: float, z: float) -> None:
    """Lines reach no further than half a pillar beyond what they carry, and never above it."""
    table = bodies.joined(bodies.box(4, 4, z + 1), bodies.box(x + 4, y + 4, 3, (0, 0, z)))
    scaffold = Scaffold(support(table), BUILD)
    ends = np.concatenate([spans.ends for spans in scaffold.lines(z / 2)])
    assert (ends >= -0.8).all()
    assert (ends[:, ::2] <= x + 4.8).all()
    assert (ends[:, 1::2] <= y + 4.8).all()
    assert length_mm(scaffold.lines(z + 0.01)) == 0.0
