"""Plates give as far as the tables of plate theory say.

Sources: Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells (tables 8, 23, 35, 37 and section
50, from memory); Roark's Formulas for Stress and Strain, 7th edition, table 11.4, cases 1a and 1b
(read). The series behind them were computed again, to more digits than the tables print.
"""

import numpy as np
import pytest

from fabsched.estimate.stiffness import (
    Bending,
    Deflection,
    Material,
    Supports,
    bending_of,
    bosses_for,
    pressed,
    stiffness_nmm,
)
from fabsched.model.shapes import Points2
from tests.estimate.bodies import circle, rectangle

STEELY = Material(youngs_mpa=3200.0, poisson=0.3)
THICK_MM, SIDE_MM, LOAD = 3.0, 100.0, 1e-3
RIGIDITY = stiffness_nmm(STEELY, THICK_MM)
NO_POINTS = np.empty((0, 2))


def around(ring: Points2) -> Points2:
    """A ring as a closed line."""
    return np.vstack([ring, ring[:1]])


def made(ring: Points2, supports: Supports, *, cells: int = 700) -> Bending:
    """A plate of the usual material."""
    bending = bending_of([ring], THICK_MM, STEELY, supports, cells=cells)
    assert bending is not None
    return bending


def resting(ring: Points2) -> Supports:
    """Held along all edges, free to turn."""
    return Supports(points=NO_POINTS, edges=(around(ring),))


def clamped(ring: Points2) -> Supports:
    """Held along all edges and unable to turn."""
    return Supports(points=NO_POINTS, clamped=(around(ring),))


def even(bending: Bending) -> float:
    """Coefficient of an even load: w D / (q a^4)."""
    return bending.loaded(LOAD).sag_mm * RIGIDITY / (LOAD * SIDE_MM**4)


def central(bending: Bending, ratio: float) -> float:
    """Coefficient of a force in the middle: w D / (P a^2)."""
    middle = np.array([[0.5 * SIDE_MM, 0.5 * ratio * SIDE_MM]])
    return float(bending.compliance(middle)[0, 0]) * RIGIDITY / SIDE_MM**2


@pytest.mark.parametrize(
    ("ratio", "load", "force", "roark"),
    [
        (1.0, 0.00406, 0.01160, 0.0444),
        (1.4, 0.00708, 0.01487, 0.0770),
        (2.0, 0.01013, 0.01652, 0.1110),
    ],
)
def test_plates_resting_on_their_edges(
    ratio: float, load: float, force: float, roark: float
) -> None:
    """Within 1 % of Navier's series (Timoshenko tables 8 and 23), and of Roark case 1a."""
    ring = rectangle(SIDE_MM, ratio * SIDE_MM)
    bending = made(ring, resting(ring))
    assert even(bending) == pytest.approx(load, rel=0.01)
    assert central(bending, ratio) == pytest.approx(force, rel=0.01)
    # Roark has E t^3 where D is 12 (1 - nu^2) times smaller.
    assert 12 * (1 - 0.3**2) * even(bending) == pytest.approx(roark, rel=0.01)


@pytest.mark.parametrize(
    ("ratio", "load", "force"), [(1.0, 0.0012653, 0.00560), (1.6, 0.00230, 0.00709)]
)
def test_clamped_plates(ratio: float, load: float, force: float) -> None:
    """Within 1.5 % of the Ritz solution (Timoshenko tables 35 and 37)."""
    ring = rectangle(SIDE_MM, ratio * SIDE_MM)
    bending = made(ring, clamped(ring))
    assert even(bending) == pytest.approx(load, rel=0.015)
    assert central(bending, ratio) == pytest.approx(force, rel=0.015)


@pytest.mark.parametrize(("ratio", "load"), [(1.0, 0.02551), (1.5, 0.07982), (2.0, 0.23116)])
def test_plates_on_four_corners(ratio: float, load: float) -> None:
    """A sheet on four stand-offs: within 1 % of the Ritz solution (Timoshenko section 50)."""
    ring = rectangle(SIDE_MM, ratio * SIDE_MM)
    middle = np.array([[0.5 * SIDE_MM, 0.5 * ratio * SIDE_MM]])
    sag = float(made(ring, Supports(points=ring)).deflects(LOAD, middle)[0])
    assert sag * RIGIDITY / (LOAD * SIDE_MM**4) == pytest.approx(load, rel=0.01)


def test_the_worked_acrylic_sheet() -> None:
    """PMMA 200 x 200 x 3, E 3200, nu 0.37: 10 N in the middle give 0.5563 mm (computed by series)."""
    ring = rectangle(200.0, 200.0)
    acrylic = Material(youngs_mpa=3200.0, poisson=0.37)
    assert stiffness_nmm(acrylic, 3.0) == pytest.approx(8342.02, abs=0.01)
    bending = bending_of([ring], 3.0, acrylic, resting(ring))
    assert bending is not None
    assert 10 * bending.compliance(np.array([[100.0, 100.0]]))[0, 0] == pytest.approx(
        0.5563, rel=0.01
    )
    weight = bending.loaded(3.50217e-5)
    assert weight.sag_mm == pytest.approx(0.02729, rel=0.01)


def test_refining_converges() -> None:
    """Halving the cells takes the error of a square plate to less than half."""
    ring = rectangle(SIDE_MM, SIDE_MM)
    errors = [abs(even(made(ring, resting(ring), cells=n)) - 0.0040624) for n in (64, 256, 1024)]
    assert errors[1] < 0.5 * errors[0]
    assert errors[2] < 0.5 * errors[1]


def test_round_plates() -> None:
    """Any outline will do: q a^4 / 64 D clamped, (5 + nu) / (1 + nu) times that resting (Timoshenko)."""
    ring = circle(50.0, 200, (50.0, 50.0))
    whole = LOAD * 50.0**4 / (64 * RIGIDITY)
    turning = made(ring, resting(ring)).loaded(LOAD)
    assert turning.sag_mm == pytest.approx(whole * 5.3 / 1.3, rel=0.01)
    assert turning.at_mm == pytest.approx((50.0, 50.0), abs=4.0)
    counts = (400, 1200, 5000)
    soft = [made(ring, clamped(ring), cells=n).loaded(LOAD).sag_mm / whole - 1 for n in counts]
    assert soft[0] > soft[1] > soft[2] > 0.0  # the border is a staircase: finer steps hold better
    assert soft[2] < min(0.025, 0.5 * soft[0])


def test_stiffness_goes_with_the_cube_of_the_thickness() -> None:
    """Twice as thick gives an eighth as far."""
    ring = rectangle(150.0, 90.0)
    thin, thick = (
        bending_of([ring], t, STEELY, Supports(points=ring)) for t in (THICK_MM, 2 * THICK_MM)
    )
    assert thin is not None
    assert thick is not None
    assert pressed(thin, 10, 10).sag_mm == pytest.approx(8 * pressed(thick, 10, 10).sag_mm)


def test_compliance_is_mutual() -> None:
    """What a force here moves there, a force there moves here (Maxwell, Betti)."""
    ring = rectangle(150.0, 90.0)
    places = np.array([[40.0, 30.0], [101.0, 57.0], [75.0, 45.0]])
    bending = made(ring, Supports(points=ring))
    rows = [bending.compliance(places[[i, k]])[0, 1] for i, k in ((0, 1), (1, 0))]
    assert rows[0] == pytest.approx(rows[1], rel=1e-9)


def test_a_hole_makes_a_plate_softer() -> None:
    """The same plate with a window in it gives more."""
    ring, window = rectangle(150.0, 90.0), rectangle(60.0, 40.0, (45.0, 25.0))
    supports = Supports(points=ring)
    whole = made(ring, supports).loaded(LOAD).sag_mm
    holed = bending_of([ring, window[::-1]], THICK_MM, STEELY, supports)
    assert holed is not None
    assert holed.loaded(LOAD * 1.21).sag_mm > whole  # even under the same total load


@pytest.mark.parametrize(
    "points",
    [NO_POINTS, np.array([[0.0, 0.0], [50.0, 0.0]]), np.array([[0.0, 0.0], [50.0, 0], [99.0, 0]])],
    ids=["none", "two", "in line"],
)
def test_what_nothing_holds_has_no_deflection(points: Points2) -> None:
    """Two points, or any number in line, let a plate tip."""
    ring = rectangle(100.0, 100.0)
    assert bending_of([ring], THICK_MM, STEELY, Supports(points=points)) is None


def test_a_boss_in_the_middle_cures_a_sheet_on_four_screws() -> None:
    """Common practice: a hand-sized panel on corner screws flexes under a finger; bosses cure it."""
    ring = rectangle(150.0, 90.0)
    corners = rectangle(140.0, 80.0, (5.0, 5.0))
    bending = made(ring, Supports(points=corners))
    before = pressed(bending, 10.0, 10.0)
    bosses, left = bosses_for(bending, 10.0, 10.0, 0.5 * before.sag_mm)
    assert left <= 0.5 * before.sag_mm
    assert bosses[0].at_mm == pytest.approx((75.0, 45.0), abs=15.0)
    assert [boss.sag_mm for boss in bosses] == sorted((b.sag_mm for b in bosses), reverse=True)


def test_bosses_do_what_they_promise() -> None:
    """Adding the advised support for real leaves the deflection that was promised for it."""
    ring = rectangle(150.0, 90.0)
    corners = rectangle(140.0, 80.0, (5.0, 5.0))
    bending = made(ring, Supports(points=corners))
    (boss,), left = bosses_for(bending, 10.0, 0.0, 0.0, most=1)
    again = made(ring, Supports(points=np.vstack([corners, boss.at_mm])))
    found: Deflection = pressed(again, 10.0, 0.0)
    assert found.sag_mm == pytest.approx(left, rel=1e-3)


def test_what_is_stiff_enough_gets_no_boss() -> None:
    """No advice where none is needed."""
    ring = rectangle(60.0, 40.0)
    bending = made(ring, resting(ring))
    assert bosses_for(bending, 1.0, 5.0, 1.0)[0] == ()
