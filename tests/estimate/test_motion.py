"""Time along a path, against closed forms and published worked examples."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from fabsched.estimate.motion import corner_mm2_s2, move_s, plan_moves, slow_in_curves


def seconds(
    points: list[tuple[float, float]],
    *,
    speed: float = 100.0,
    accel: float = 1000.0,
    corner_mm: float = 0.02,
    stop: list[int] | None = None,
    curve: float = 0.0,
) -> NDArray[np.float64]:
    """Seconds of every move of a path with one speed and one acceleration."""
    xy = np.array(points, dtype=float)
    n = len(points) - 1
    out = np.zeros(n)
    flags = np.array(stop or [0] * n, dtype=np.uint8)
    x, y = np.ascontiguousarray(xy[:, 0]), np.ascontiguousarray(xy[:, 1])
    speeds = np.full(n, speed)
    if curve:
        slow_in_curves(x, y, speeds, curve)
    total = plan_moves(x, y, speeds, np.full(n, accel), flags, corner_mm, out)
    assert total == pytest.approx(out.sum(), rel=1e-12)
    return out


def test_published_trapezoid() -> None:
    """The worked example with unlike end speeds comes out at 3.445 s.

    Biagiotti & Melchiorri, Trajectory Planning for Automatic Machines and Robots (Springer 2008),
    section 3.2; example quoted from memory, 0.5 + 2.145 + 0.8 s computed again.
    """
    assert move_s(30.0, 5.0, 2.0, 10.0, 10.0) == pytest.approx(3.445, abs=1e-12)


@pytest.mark.parametrize(
    ("length", "wanted"),
    [
        (100.0, 100.0 / 100.0 + 100.0 / 1000.0),  # trapezoid: d/v + v/a
        (10.0, 0.2),  # exactly the length v^2/a at which the speed is just reached
        (5.0, 2.0 * math.sqrt(5.0 / 1000.0)),  # triangle: 2 sqrt(d/a)
    ],
)
def test_rest_to_rest(length: float, wanted: float) -> None:
    """A lone move obeys the textbook formulas for trapezoid and triangle (derived)."""
    assert seconds([(0.0, 0.0), (length, 0.0)])[0] == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(
    ("corner_mm", "inside_deg", "speed"),
    [(0.05, 90, 10.986841), (0.02, 90, 6.948688), (0.02, 135, 15.580161), (0.02, 60, 4.472136)],
)
def test_corner_speed(corner_mm: float, inside_deg: float, speed: float) -> None:
    """Corner speeds follow r = d sin(t/2) / (1 - sin(t/2)), v = sqrt(a r) with inside angle t.

    Kunz & Stilman, RSS VIII, 2012; the formula was read in reference implementations, the numbers
    computed from it with the inside angle, another form than the code's.
    """
    turn = math.cos(math.pi - math.radians(inside_deg))
    got = math.sqrt(corner_mm2_s2(turn, 1e3, 1e3, 1000.0, corner_mm))
    assert got == pytest.approx(speed, abs=1e-6)


def test_corner_limits() -> None:
    """Straight on there is no limit; turning back means standing still."""
    assert corner_mm2_s2(1.0, 10.0, 10.0, 1000.0, 0.02) == math.inf
    assert corner_mm2_s2(-1.0, 10.0, 10.0, 1000.0, 0.02) == 0.0


def test_right_angle_in_full() -> None:
    """Two legs of 50 mm around a right angle take 2 (t_up + cruise + t_down) with v = 6.948688.

    Each leg, from rest to 100 mm/s to the corner speed c: 0.1 + (100 - c)/1000 + rest/100 s.
    """
    c = math.sqrt(1000.0 * 0.02 * math.sqrt(0.5) / (1.0 - math.sqrt(0.5)))
    cruise = 50.0 - 5.0 - (100.0**2 - c**2) / 2000.0
    leg = 0.1 + (100.0 - c) / 1000.0 + cruise / 100.0
    got = seconds([(0, 0), (50, 0), (50, 50)])
    assert got.sum() == pytest.approx(2 * leg, rel=1e-12)


@pytest.mark.parametrize("radius", [1.0, 5.0, 20.0])
def test_circle_keeps_to_its_acceleration(radius: float) -> None:
    """A finely divided circle of radius R is run at sqrt(a R), give or take one chord.

    Centripetal acceleration v^2/R (elementary mechanics) is what the half-length limit enforces
    at the corners; between two of them the speed may rise to sqrt(a (R + chord)) and fall again.
    """
    turn = np.linspace(0.0, 4.0 * np.pi, 2001)
    taken = seconds(
        list(zip(radius * np.cos(turn), radius * np.sin(turn), strict=True)), speed=500.0
    )
    chord = 2.0 * radius * math.sin(turn[1] / 2.0)
    speed = chord / taken[900:1100]
    assert (speed <= math.sqrt(1000.0 * (radius + chord))).all()
    assert (speed >= math.sqrt(1000.0 * (radius - chord))).all()


def circle(radius: float, off_mm: float, rounds: int = 4) -> list[tuple[float, float]]:
    """A circle in chords that lie up to `off_mm` inside it."""
    sides = math.ceil(math.pi / math.acos(1.0 - off_mm / radius))
    turn = np.arange(rounds * sides + 1) * (2.0 * np.pi / sides)
    return list(zip(radius * np.cos(turn), radius * np.sin(turn), strict=True))


@pytest.mark.parametrize(("radius", "most"), [(1.0, 54.772256), (5.0, 122.474487)])
def test_curves_keep_to_their_acceleration(radius: float, most: float) -> None:
    """Bounded, a circle in chords is run at sqrt(a R); by its corners alone it is run faster.

    Centripetal acceleration (elementary mechanics): sqrt(3000 R) is 54.77 mm/s for R = 1 mm and
    122.47 for R = 5. The chords are those that simplifying by 0.01 mm leaves.
    """
    path = circle(radius, 0.01)
    middle = slice(len(path) // 4, 3 * len(path) // 4)
    chord = math.dist(path[0], path[1])
    free = seconds(path, speed=500.0, accel=3000.0)[middle].mean()
    bound = seconds(path, speed=500.0, accel=3000.0, curve=3000.0)[middle]
    assert chord / free > 1.02 * most
    assert (chord / bound <= most * (1.0 + 1e-9)).all()
    assert chord / bound.mean() > 0.97 * most


def test_curves_leave_straight_lines_alone() -> None:
    """A straight into a tight curve is still run at full speed, doubled points or not."""
    x, y = (np.repeat(v, 2) for v in ([0.0, 90, 90.3, 90.4], [0.0, 0, 0.1, 0.4]))
    speed = np.full(7, 100.0)
    slow_in_curves(x, y, speed, 1000.0)
    assert speed[1] > 99.0
    assert speed[3] == speed[5] < 20.0
    straight = np.full(3, 100.0)
    slow_in_curves(np.arange(4.0), np.zeros(4), straight, 1e-9)
    assert (straight == 100.0).all()


@given(
    st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=20),
    st.floats(1.0, 9000.0),
)
def test_bounded_curves_are_never_faster(path: list[tuple[int, int]], curve: float) -> None:
    """The bound never saves time, and takes the same backwards."""
    points = [(float(x), float(y)) for x, y in path]
    total = seconds(points, curve=curve).sum()
    assert total >= seconds(points).sum() - 1e-9
    assert seconds(points[::-1], curve=curve).sum() == pytest.approx(total, rel=1e-9, abs=1e-9)


@given(
    st.lists(st.floats(0.01, 30.0), min_size=2, max_size=20),
    st.floats(10.0, 300.0),
    st.floats(500.0, 9000.0),
)
def test_splitting_a_line_changes_nothing(cuts: list[float], speed: float, accel: float) -> None:
    """A straight line in pieces takes as long as in one."""
    along = np.concatenate([[0.0], np.cumsum(cuts)])
    split = seconds([(0.6 * s, 0.8 * s) for s in along], speed=speed, accel=accel)
    whole = seconds([(0.0, 0.0), (0.6 * along[-1], 0.8 * along[-1])], speed=speed, accel=accel)
    assert split.sum() == pytest.approx(whole.sum(), rel=1e-9)


@given(
    st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=30),
    st.floats(0.0, 0.1),
)
def test_bounds_hold_on_any_path(path: list[tuple[int, int]], corner_mm: float) -> None:
    """No path beats length over speed, none is slower than stopping at every corner.

    It also takes the same time backwards, as all limits are symmetric in time.
    """
    points = [(float(x), float(y)) for x, y in path]
    taken = seconds(points, corner_mm=corner_mm)
    length = np.hypot(*np.diff(np.array(points), axis=0).T)
    assert (taken >= length / 100.0 - 1e-9).all()
    stopping = sum(move_s(float(d), 0.0, 0.0, 100.0, 1000.0) for d in length)
    assert taken.sum() <= stopping + 1e-9
    backwards = seconds(points[::-1], corner_mm=corner_mm)
    assert backwards.sum() == pytest.approx(taken.sum(), rel=1e-9, abs=1e-9)


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=2, max_size=12))
def test_standing_still_costs_nothing(path: list[tuple[int, int]]) -> None:
    """Repeating points changes neither the total nor the corner between their neighbours."""
    points = [(float(x), float(y)) for x, y in path]
    doubled = [p for p in points for _ in range(2)]
    total = seconds(points).sum()
    assert seconds(doubled).sum() == pytest.approx(total, rel=1e-9, abs=1e-9)


def test_stop_forces_standstill() -> None:
    """A stop in the middle of a line makes two lines of it."""
    line: list[tuple[float, float]] = [(0, 0), (50, 0), (100, 0)]
    assert seconds(line, stop=[0, 1]).sum() == pytest.approx(2 * (0.5 + 0.1), rel=1e-12)
    assert seconds(line).sum() == pytest.approx(1.1, rel=1e-12)


def test_deeper_corners_are_never_slower() -> None:
    """More allowed deviation never costs time on a zigzag."""
    zigzag: list[tuple[float, float]] = [(i, i % 2) for i in range(40)]
    times = [seconds(zigzag, corner_mm=d).sum() for d in (0.0, 0.005, 0.02, 0.1, 1.0)]
    assert times == sorted(times, reverse=True)
