"""The time of a print at other speeds and accelerations, against printers that really have them."""

from dataclasses import replace

import pytest

from fabsched.estimate.learning_motion import Pace, paced_s
from fabsched.estimate.moves import LayerTime, moves_of
from fabsched.estimate.printing import estimate_print
from fabsched.model.estimates import EASES, PACES, Estimate
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from tests.estimate import bodies

SPEEDS = (
    "wall_mm_s",
    "inner_mm_s",
    "solid_mm_s",
    "sparse_mm_s",
    "travel_mm_s",
    "first_layer_mm_s",
    "flow_mm3_s",
)
ACCELERATIONS = ("wall_mm_s2", "print_mm_s2", "travel_mm_s2", "curve_mm_s2")

SHAPES = {
    "box": bodies.box(40.0, 40.0, 6.0),
    "small": bodies.cylinder(4.0, 8.0),
    "pins": bodies.joined(
        *(bodies.box(4.0, 4.0, 4.0, at=(8.0 * i, 8.0 * j, 0.0)) for i in range(4) for j in range(4))
    ),
}
USUAL = bodies.printer()


def changed(printer: Printer, speed: float, accel: float) -> Printer:
    """A printer that moves otherwise than its settings say."""
    motion = printer.motion
    speeds = {name: speed * getattr(motion, name) for name in SPEEDS}
    accelerations = {name: accel * getattr(motion, name) for name in ACCELERATIONS}
    return replace(printer, motion=replace(motion, **speeds, **accelerations))


def printed(mesh: Mesh, printer: Printer = USUAL) -> Estimate:
    """The estimate of a print."""
    return estimate_print(mesh, printer, bodies.PLA, where="part")


@pytest.mark.parametrize("curve_mm_s2", [0.0, 2000.0])
@pytest.mark.parametrize("name", SHAPES)
def test_the_table_is_what_such_printers_take(name: str, curve_mm_s2: float) -> None:
    """Every entry of the table is the time the simulation gives for a printer that moves so."""
    printer = replace(USUAL, motion=replace(USUAL.motion, curve_mm_s2=curve_mm_s2))
    moves = printed(SHAPES[name], printer).moves
    assert moves is not None
    for pace, row in zip(PACES, moves.moving_s, strict=True):
        for ease, seconds in zip(EASES, row, strict=True):
            really = printed(SHAPES[name], changed(printer, pace, ease * pace**2))
            assert seconds == pytest.approx(really.seconds.likely, rel=1e-9)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("speed", "accel"), [(0.8, 0.5), (0.7, 0.25), (1.3, 2.0), (0.9, 1.4)])
def test_between_the_entries_the_time_is_close(name: str, speed: float, accel: float) -> None:
    """Between the speeds and accelerations of the table, time is within one per cent."""
    moves = printed(SHAPES[name]).moves
    assert moves is not None
    really = printed(SHAPES[name], changed(USUAL, speed, accel)).seconds.likely
    assert sum(paced_s(moves, Pace(speed=speed, accel=accel))) == pytest.approx(really, rel=0.01)


def test_a_printer_as_believed_takes_the_estimate() -> None:
    """With nothing learnt the table gives the estimate itself."""
    printer = replace(USUAL, heat_s=100.0, cool_s=50.0)
    estimate = printed(SHAPES["box"], printer)
    assert estimate.moves is not None
    once_s, rest_s = paced_s(estimate.moves, Pace())
    assert once_s == 150.0
    assert once_s + rest_s == pytest.approx(estimate.seconds.likely, rel=1e-12)


def test_twice_the_speed_and_four_times_the_acceleration_halve_the_time() -> None:
    """Moving is over in half the time, standing still is not: worked out by hand."""
    layer = LayerTime(
        laying_s=(40.0, 35.0, 28.0),
        travel_s=(10.0, 5.0, 2.0),
        gaps_s=10.0,
        still_s=6.0,
        laying_mm=4000.0,
    )
    moves = moves_of([layer], least_s=8.0, fixed_s=0.0)
    assert moves.moving_s[PACES.index(1.0)] == (66.0, 56.0, 46.0)
    assert moves.moving_s[PACES.index(2.0)] == (36.0, 31.0, 26.0)


def test_a_layer_that_has_to_cool_gains_nothing() -> None:
    """A layer shorter than the least time takes just that, however fast the printer."""
    layer = LayerTime(
        laying_s=(1.5, 1.5, 1.5),
        travel_s=(0.5, 0.5, 0.5),
        gaps_s=0.0,
        still_s=1.0,
        laying_mm=200.0,
    )
    rows = moves_of([layer], least_s=8.0, fixed_s=0.0).moving_s
    assert {seconds for row in rows for seconds in row} == {8.0}


def test_copies_repeat_all_but_what_is_done_once() -> None:
    """Three copies on a bed heat once and move three times."""
    moves = moves_of(
        [LayerTime((9.0, 9.0, 9.0), (0.0, 0.0, 0.0), 0.0, 0.0, 900.0)], 0.0, fixed_s=480.0
    )
    assert moves.times(3).fixed_s == 480.0
    assert moves.times(3).moving_s[PACES.index(1.0)] == (27.0, 27.0, 27.0)
