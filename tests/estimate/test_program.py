"""Prepared prints timed: closed forms, agreement with the planner of layers, and what is counted."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.motion import plan_moves
from fabsched.estimate.program import estimate_program
from fabsched.files.motion_program import parse_program
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate
from fabsched.model.shop import Motion
from tests.estimate import bodies

ACCEL, TRAVEL_ACCEL, TRAVEL = 1000.0, 2000.0, 100.0
FEED = 50.0
"""Of the machine in these tests, and of its programs (F3000), in mm/s and mm/s^2."""


def estimate(*lines: str, corner_mm: float = 0.02, curve_mm_s2: float = 0.0) -> Estimate:
    """A program timed on a machine that is hot at once."""
    motion = Motion(
        travel_mm_s=TRAVEL,
        print_mm_s2=ACCEL,
        travel_mm_s2=TRAVEL_ACCEL,
        corner_mm=corner_mm,
        curve_mm_s2=curve_mm_s2,
    )
    text = "\n".join(["G21 G90 F3000", *lines, "M2"]).encode()
    program, _ = parse_program(text, "x")
    return estimate_program(program, bodies.printer(motion=motion), bodies.PLA, where="x")


def rest_to_rest(way: float, speed: float, accel: float) -> float:
    """Trapezoid d/v + v/a or triangle 2 sqrt(d/a) (textbook)."""
    if way < speed * speed / accel:
        return 2.0 * math.sqrt(way / accel)
    return way / speed + speed / accel


SQUARE = ("G1 X40 E1", "Y40 E2", "X0 E3", "Y0 E4")


def test_square_with_stops() -> None:
    """Without deviation every corner is a stop, so a square takes four moves from rest to rest."""
    got = estimate(*SQUARE, corner_mm=0.0).breakdown_s["laying"]
    assert got == pytest.approx(4 * rest_to_rest(40, FEED, ACCEL), rel=1e-12)


def test_square_with_corners() -> None:
    """Corners at v^2 = a r, r = l / tan 45 degrees, l = c sin 45 / (1 - cos 45); else full speed.

    Kunz & Stilman 2012; every ramp from v to the corner's w loses (v - w)^2 / (2 a v) of time.
    """
    radius = 0.02 * math.sin(math.pi / 4) / (1 - math.cos(math.pi / 4))
    corner = math.sqrt(ACCEL * radius)
    lost = 6 * (FEED - corner) ** 2 + 2 * FEED**2
    wanted = 160 / FEED + lost / (2 * ACCEL * FEED)
    assert estimate(*SQUARE).breakdown_s["laying"] == pytest.approx(wanted, rel=1e-12)


@given(st.lists(st.tuples(st.integers(0, 200), st.integers(0, 200)), min_size=2, max_size=12))
def test_straight_moves_agree_with_the_planner_of_layers(corners: list[tuple[int, int]]) -> None:
    """On a level path of one kind both planners give the same time."""
    points = np.array([(0, 0), (1, 0), *corners], dtype=float)
    n = len(points) - 1
    lines = [f"G1 X{x} Y{y} E{i + 1}" for i, (x, y) in enumerate(points[1:].astype(int))]
    x, y = np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1])
    repeated = np.hypot(np.diff(x), np.diff(y)) == 0
    if repeated.any():  # there the filament is pushed on the spot
        return
    wanted = plan_moves(
        x, y, np.full(n, FEED), np.full(n, ACCEL), np.zeros(n, np.uint8), 0.02, np.empty(n)
    )
    assert estimate(*lines).breakdown_s["laying"] == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("radius", [1.0, 2.0, 30.0])
def test_full_circle(radius: float) -> None:
    """A circle from rest to rest at the feed, or at v^2 = a R where that is less."""
    got = estimate(f"G3 X0 I{radius} J0 E9").breakdown_s["laying"]
    speed = min(FEED, math.sqrt(ACCEL * radius))
    assert got == pytest.approx(rest_to_rest(2 * math.pi * radius, speed, ACCEL), rel=1e-12)


def test_curves_can_be_bound_further() -> None:
    """A bound on the acceleration across the path holds on arcs: v^2 = a R."""
    got = estimate("G3 X0 I2 J0 E9", curve_mm_s2=200.0).breakdown_s["laying"]
    assert got == pytest.approx(rest_to_rest(4 * math.pi, 20.0, ACCEL), rel=1e-12)


def test_arcs_join_smoothly() -> None:
    """A line and two quarters of a circle along its tangent are one move from rest to rest."""
    got = estimate("G1 Y20 E1", "G2 X30 Y50 I30 J0 E2", "X60 Y20 I0 J-30 E3")
    way = 20 + 30 * math.pi
    assert got.breakdown_s["laying"] == pytest.approx(rest_to_rest(way, FEED, ACCEL), rel=1e-9)


@given(st.integers(4, 40), st.booleans())
def test_an_arc_is_the_limit_of_its_chords(parts: int, ccw: bool) -> None:
    """A circle in many chords takes as long as the circle itself, within their rounding."""
    radius, count = 20.0, 400
    turn = (1 if ccw else -1) * 2 * math.pi * np.arange(1, count + 1) / count
    x, y = radius - radius * np.cos(turn), -radius * np.sin(turn)
    chords = [f"G1 X{a:.9f} Y{b:.9f} E{i + 1}" for i, (a, b) in enumerate(zip(x, y, strict=True))]
    steps = np.linspace(0, count, parts + 1).astype(int)[1:] - 1
    code = "G3" if ccw else "G2"
    places = np.vstack([[0.0, 0.0], np.stack([x, y], axis=1)[steps]])
    arcs = [
        f"{code} X{b[0]:.9f} Y{b[1]:.9f} I{radius - a[0]:.9f} J{-a[1]:.9f} E{i + 1}"
        for i, (a, b) in enumerate(pairwise(places))
    ]
    assert estimate(*arcs).seconds.likely == pytest.approx(
        estimate(*chords).seconds.likely, rel=1e-3
    )


def test_feed_along_a_helix() -> None:
    """The feed holds along the helix, not seen from above (NISTIR 6556, section 2.1.2.5)."""
    got = estimate("G3 X0 Z40 I30 J0 E9").breakdown_s["laying"]
    way = math.hypot(60 * math.pi, 40)
    assert got == pytest.approx(rest_to_rest(way, FEED, ACCEL), rel=1e-12)


def test_inverse_time() -> None:
    """With F2 a move lasts half a minute (NISTIR 6556, section 3.5.19), plus one ramp."""
    got = estimate("G93 G1 X120 E1 F2").breakdown_s["laying"]
    assert got == pytest.approx(30.0 + 4.0 / ACCEL, rel=1e-12)


def test_kinds_of_moves() -> None:
    """Travel, filament on the spot and dwell are told apart and stop the machine."""
    spent = estimate("G1 X40 E1", "G1 E-2", "G0 X80", "G4 P2.5", "G0 X40", "G1 E1", "X0 E2")
    assert spent.breakdown_s == pytest.approx(
        {
            "heating": 0.0,
            "laying": 2 * rest_to_rest(40, FEED, ACCEL),
            "travel": 2 * rest_to_rest(40, TRAVEL, TRAVEL_ACCEL),
            "retracting": 2 * rest_to_rest(3, FEED, ACCEL),
            "dwelling": 2.5,
            "cooling": 0.0,
        },
        rel=1e-12,
    )


def test_exact_stops() -> None:
    """G61.1 makes of one straight line two moves from rest to rest."""
    got = estimate("G61.1 G1 X40 E1", "X80 E2").breakdown_s["laying"]
    assert got == pytest.approx(2 * rest_to_rest(40, FEED, ACCEL), rel=1e-12)


def test_lifts() -> None:
    """Rapid moves up and down are slow (our own assumption of 5 mm/s); programmed ones as told."""
    slow = estimate("G1 X9 E1", "G0 Z10", corner_mm=0.0).breakdown_s["travel"]
    assert slow == pytest.approx(rest_to_rest(10, 5.0, TRAVEL_ACCEL), rel=1e-12)
    told = estimate("G1 X9 E1", "G1 Z10", corner_mm=0.0).breakdown_s["travel"]
    assert told == pytest.approx(rest_to_rest(10, FEED, TRAVEL_ACCEL), rel=1e-12)


def test_filament() -> None:
    """335.3 m of PLA (1.24 g/cm^3) at 1.75 mm weigh a kilogram (computed from the density)."""
    got = estimate("G1 X9 E335300")
    assert got.filament_mm == 335_300
    assert got.mass_g == pytest.approx(1000, rel=1e-4)
    assert got.volume_mm3 == pytest.approx(335_300 * math.pi * 0.875**2)


def test_what_is_pulled_back_counts_once() -> None:
    """Filament pulled back and pushed on again has not left the nozzle twice."""
    got = estimate("G1 X9 E5", "E3", "G0 X0", "G1 E5", "X9 E8", "E2")
    assert got.filament_mm == 8


def test_layers_and_sizes() -> None:
    """Layers are heights at which something is laid; a bead adds half its width on all sides."""
    lines = [f"G0 X10 Y10 Z{z}\nG91 G1 X30 E1\nY20 E1\nG90" for z in (0.2, 0.4, 0.6)]
    got = estimate("G0 X99 Y99 Z30", *lines, "G0 Z30", "G4 P1")
    assert (got.layers, got.height_mm, got.whole_run) == (3, 0.6, True)
    assert got.footprint_mm == pytest.approx((30.45, 20.45))
    outline = np.array(got.silhouette_mm)
    assert outline.min(axis=0) == pytest.approx(0.0, abs=1e-12)
    assert outline.max(axis=0) == pytest.approx(got.footprint_mm)


def test_arcs_bulge() -> None:
    """The outline goes around arcs, not along their chords."""
    got = estimate("G0 X10 Y50", "G2 X50 Y50 I20 J0 E1")
    assert got.footprint_mm == pytest.approx((40.45, 20.45), abs=0.02)
    x, y = np.array(got.silhouette_mm).T
    area = 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
    half = math.pi * 20.225**2 / 2  # half a disc, and at most a bead along its straight side
    assert half < area < half + 0.45 * 41


def test_nothing_is_made_of_one_line() -> None:
    """Beads on one straight line have an outline too."""
    got = estimate("G1 X40 E1", "X10 E2")
    assert got.footprint_mm == pytest.approx((40.45, 0.45))
    assert np.array(got.silhouette_mm).max(axis=0) == pytest.approx((40.45, 0.45))


def test_heating_and_cooling_come_once() -> None:
    """The machine heats before and cools down after, as before any print."""
    program, _ = parse_program(b"G21 F600 G1 X9 E1\nM2", "x")
    printer = bodies.printer()
    cold = estimate_program(program, printer, bodies.PLA, where="x")
    warm = replace(printer, heat_s=100.0, cool_s=50.0)
    hot = estimate_program(program, warm, bodies.PLA, where="x")
    assert hot.seconds.likely == pytest.approx(cold.seconds.likely + 150)
    assert sum(hot.breakdown_s.values()) == pytest.approx(hot.seconds.likely)


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        (["G1 X9", "G1 E5"], Fault.NOTHING_LAID),
        (["G1 X9 E-5"], Fault.NOTHING_LAID),
        (["G1 X221 E5"], Fault.PART_TOO_LARGE),
        (["G0 Z251", "G1 X9 E5"], Fault.PART_TOO_LARGE),
    ],
)
def test_what_is_no_print_is_refused(lines: list[str], code: Fault) -> None:
    """Programs that lay nothing down, or too far apart for the machine."""
    with pytest.raises(InputError) as caught:
        estimate(*lines)
    assert (caught.value.code, caught.value.where) == (code, "x")
