"""Coupons: closed, thin, with as much play as asked for, and told apart."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from manifold3d import Manifold

from fabsched.advise.coupons import DEEP_MM, LADDER_MM, SIDES_MM, Coupon, coupon_of, with_play
from fabsched.advise.plates.frames import mesh_of, solid_of
from fabsched.estimate.printing import estimate_print
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import Filament
from fabsched.model.project import Axis, Fit, FitKind
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from tests.advise.bodies import SIDES, bar, rod

PLATE = bar(60, 40, 12)
HOLE = Fit(id="pin", name="Pin", at_mm=(20, 20, 6), size_mm=(5, 5, 12), clearance_mm=0.2)
BORED = mesh_of(PLATE - rod(2.5, 20, (20, 20, -4)))
WITH_PEG = mesh_of(PLATE + rod(2.5, 8, (20, 20, 11)))
PEG = Fit(
    id="peg", name="Peg", at_mm=(20, 20, 16), size_mm=(5, 5, 6), kind=FitKind.PEG, clearance_mm=0.2
)


def _disc_mm2(radius: float) -> float:
    """Area of the polygon the tests' cylinders are."""
    return 0.5 * SIDES * radius**2 * math.sin(2 * math.pi / SIDES)


def _copies(coupon: Coupon) -> list[Manifold]:
    """The copies from left to right."""
    bodies = solid_of(coupon.mesh, "coupon").decompose()
    return sorted(bodies, key=lambda body: float(body.bounding_box()[0]))


def test_a_hole_becomes_a_small_box_around_it() -> None:
    """No thicker than tells, with a wall around; its volume is that of the box without the hole."""
    coupon = coupon_of(BORED, HOLE, steps_mm=(0.0,))
    side = 5 + 2 * SIDES_MM[0]
    assert coupon.mesh.size_mm == pytest.approx((side, side, DEEP_MM))
    wanted = (side**2 - _disc_mm2(2.5)) * DEEP_MM
    assert coupon.volume_mm3 == pytest.approx(wanted, rel=1e-6)
    assert coupon.mesh.volume_mm3 == pytest.approx(wanted, rel=1e-6)
    assert coupon.share == pytest.approx(wanted / BORED.volume_mm3, rel=1e-6)
    assert coupon.share < 0.03


@pytest.mark.parametrize("axis", Axis)
def test_each_copy_has_the_play_it_says(axis: Axis) -> None:
    """The bore of every copy is wider or narrower by its step, whatever way it runs."""
    turns = {Axis.X: (0.0, 90.0, 0.0), Axis.Y: (-90.0, 0.0, 0.0), Axis.Z: (0.0, 0.0, 0.0)}
    x, y, z = turns[axis]
    body = solid_of(BORED, "part").translate((-20, -20, -6)).rotate((x, y, z))
    a, b, c = (12.0 if each is axis else 5.0 for each in Axis)
    fit = Fit(id="pin", name="Pin", at_mm=(0, 0, 0), size_mm=(a, b, c), axis=axis, clearance_mm=0.2)
    # Laid so that the bore is upright again.
    coupon = coupon_of(mesh_of(body), fit, turn_deg=(-x, -y, -z))
    copies = _copies(coupon)
    assert coupon.steps_mm == LADDER_MM
    assert coupon.notched
    assert len(copies) == len(LADDER_MM)
    box = (5 + 2 * SIDES_MM[0]) ** 2
    for number, (copy, step) in enumerate(zip(copies, LADDER_MM, strict=True), start=1):
        bore = _disc_mm2(2.5 + step / 2)
        notches = number * 0.8 * 0.8
        assert copy.volume() / DEEP_MM == pytest.approx(box - bore - notches, rel=2e-4)


def test_a_peg_keeps_its_foot() -> None:
    """It stands on a piece of the plate; more play makes it thinner, less makes it thicker."""
    coupon = coupon_of(WITH_PEG, PEG, steps_mm=(-0.2, 0.0, 0.2))
    thick, drawn, thin = _copies(coupon)
    foot = drawn.bounding_box()[5] - 7.0
    assert foot == pytest.approx(SIDES_MM[0] - 1.0)  # the told feature begins 1 mm above the plate
    rings = [(_disc_mm2(2.6) - _disc_mm2(2.5)) * 6, (_disc_mm2(2.5) - _disc_mm2(2.4)) * 6]
    notch = 0.8 * 0.8 * foot
    assert thick.volume() - drawn.volume() == pytest.approx(rings[0] + notch, rel=0.02)
    assert drawn.volume() - thin.volume() == pytest.approx(rings[1] + notch, rel=0.02)


def test_a_blind_slot_stays_blind() -> None:
    """Play is added to its walls, not to its floor nor above its rim."""
    slotted = mesh_of(PLATE - bar(10, 4, 5, (15, 18, 7)))
    fit = Fit(
        id="slot",
        name="Slot",
        at_mm=(20, 20, 8),
        size_mm=(10, 4, 10),
        kind=FitKind.SLOT,
        clearance_mm=0.3,
    )
    drawn, wide = _copies(coupon_of(slotted, fit, steps_mm=(0.0, 0.4)))
    rim = 10.4 * 4.4 - 10 * 4
    height = drawn.bounding_box()[5]
    inside = 4.0  # of the box, 5 to 11, the slot takes what lies above 7
    notch = 0.8 * 0.8 * height
    assert drawn.volume() - wide.volume() == pytest.approx(rim * inside + notch, rel=1e-3)


def test_copies_stand_apart_on_the_bed() -> None:
    """All of them on z = 0, none touching another; the mesh is closed."""
    coupon = coupon_of(BORED, HOLE)
    low, _ = coupon.mesh.bounds_mm
    assert low == pytest.approx([0, 0, 0], abs=1e-9)
    boxes = [copy.bounding_box() for copy in _copies(coupon)]
    assert all(a[3] + 3 < b[0] for a, b in pairwise(boxes))
    edges = np.sort(np.concatenate([coupon.mesh.faces[:, [i, (i + 1) % 3]] for i in range(3)]))
    _, counts = np.unique(edges, axis=0, return_counts=True)
    assert set(counts) == {2}


def test_its_file_holds_no_slivers() -> None:
    """In single precision, as STL keeps it, no triangle is without area."""
    coupon = coupon_of(BORED, HOLE)
    points = coupon.mesh.vertices.astype(np.float32).astype(np.float64)[coupon.mesh.faces]
    sides = points[:, 1:] - points[:, :1]
    areas = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / 2
    assert areas.min() > 1e-6


def test_it_can_be_printed_in_a_fraction_of_the_time() -> None:
    """The estimator takes it, and it takes far less than its part."""
    printer = Printer(id="mex", name="Printer", place="home", bed_mm=(200, 200, 200))
    filament = Filament(id="PLA", density_g_cm3=1.24)
    coupon = coupon_of(BORED, HOLE, steps_mm=(0.0,))
    small = estimate_print(coupon.mesh, printer, filament, where="coupon")
    large = estimate_print(BORED, printer, filament, where="part")
    assert small.seconds.likely < 0.5 * large.seconds.likely
    assert not small.support_mm3


@pytest.mark.parametrize("step_mm", [-0.1, 0.2])
def test_the_part_gets_the_play_of_a_copy(step_mm: float) -> None:
    """The bore changes by its annulus, as that of the copy has; the rest of the part stays."""
    after = with_play(BORED, HOLE, step_mm)
    annulus_mm3 = 12 * (_disc_mm2(2.5 + step_mm / 2) - _disc_mm2(2.5))
    assert BORED.volume_mm3 - after.volume_mm3 == pytest.approx(annulus_mm3, rel=0.02)
    assert after.size_mm == pytest.approx(BORED.size_mm)


def test_there_is_nothing_to_give_play_to_beside_the_part() -> None:
    """Rather than a file that says it has the play and has not."""
    with pytest.raises(InputError) as error:
        with_play(BORED, replace(HOLE, at_mm=(90.0, 90.0, 90.0)), 0.2)
    assert error.value.code is Fault.FIT_MISSED


def test_a_place_beside_the_part_is_told() -> None:
    """Nothing of the part is there."""
    with pytest.raises(InputError) as caught:
        coupon_of(BORED, Fit(id="pin", name="Pin", at_mm=(500, 0, 0), size_mm=(5, 5, 5)))
    assert caught.value.code is Fault.FIT_MISSED


def test_walls_far_apart_are_kept_together() -> None:
    """Where a thin margin would leave two bodies, the box grows until there is one."""
    fork = mesh_of(bar(40, 20, 5) - bar(30, 10, 20, (5, 5, -5)))
    fit = Fit(id="gap", name="Gap", at_mm=(20, 10, 2.5), size_mm=(14, 10, 5), kind=FitKind.SLOT)
    coupon = coupon_of(fork, fit)
    assert len(_copies(coupon)) == 1
    assert isinstance(coupon.mesh, Mesh)
