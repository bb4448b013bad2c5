"""A part can be changed so that what is nearly a plate is one: closed, balanced, and as told."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.advise.plates.adopting import Adopted, adopted
from fabsched.advise.plates.choosing import chosen
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import solid_of
from fabsched.advise.plates.slabs import Near, NearMiss, Slab
from fabsched.advise.plates.splitting import Split, as_drawn, split
from fabsched.estimate.twins import pair_edges
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.estimate.bodies import of_manifold, tilted

SHEETS = (3.0, 4.0)
NEARLY = {
    "thinner": bodies.thinner,
    "countersunk": bodies.countersunk,
    "drafted": bodies.drafted,
    "chamfered": bodies.chamfered,
    "pocketed": bodies.pocketed,
}


def only_miss(mesh: Mesh) -> NearMiss:
    """What is nearly a plate."""
    (miss,) = find_plates(mesh, (3.0,)).near
    return miss


def taken(name: str) -> tuple[Mesh, Adopted]:
    """A part with its near miss, adopted."""
    mesh = NEARLY[name]()
    return mesh, adopted(mesh, only_miss(mesh))


@pytest.mark.parametrize("name", NEARLY)
def test_what_is_adopted_is_closed_and_a_plate(name: str) -> None:
    """One body without an open edge, in which the plate is found as thick as the sheet."""
    _, new = taken(name)
    assert pair_edges(new.mesh.faces, len(new.mesh.vertices)).open_edges == 0
    assert len(solid_of(new.mesh, name).decompose()) == 1
    found = find_plates(new.mesh, (3.0,))
    (slab,) = found.slabs
    assert slab.thick_mm == pytest.approx(3.0, abs=1e-6)
    assert not found.near


@pytest.mark.parametrize("name", NEARLY)
def test_what_it_gains_is_told_exactly(name: str) -> None:
    """Volume as drawn and what the changes add up to make the volume of the new part."""
    mesh, new = taken(name)
    gained = sum(change.volume_mm3 for change in new.changes)
    assert bodies.volume_mm3(mesh) + gained == pytest.approx(bodies.volume_mm3(new.mesh), rel=1e-9)


@settings(max_examples=10, deadline=None)
@given(st.tuples(*[st.floats(-1, 1)] * 3), st.floats(1, 359), st.floats(2.55, 3.45))
def test_another_thickness_moves_what_stands_on_it(
    axis: tuple[float, float, float], degrees: float, thick: float
) -> None:
    """Blocks keep their shape and move, feet stay; the part is as much higher; by hand and any axis."""
    if np.linalg.norm(axis) < 0.1:
        axis = (0.3, 0.5, 0.8)
    whole = [bodies.bar(90, 60, thick), bodies.bar(12, 12, 8, (60, 20, thick))]
    whole += [bodies.rod(4, 5, (20, 20, -5))]
    straight = of_manifold(bodies.united(whole))
    mesh = tilted(straight, axis, degrees)
    if abs(thick - 3.0) <= 0.05:
        return
    new = adopted(mesh, only_miss(mesh))
    (change,) = new.changes
    normal = new.slab.frame.axes[2]
    before, after = (np.ptp(m.vertices @ normal) for m in (mesh, new.mesh))
    assert change.shift_mm == pytest.approx(3.0 - thick, abs=1e-6)
    assert after - before == pytest.approx(3.0 - thick, abs=1e-6)
    assert change.volume_mm3 == pytest.approx((3.0 - thick) * 90 * 60, rel=1e-4)
    done = split(new.mesh, find_plates(new.mesh, (3.0,)).slabs)
    tabs_and_pilots = sorted(round(p.volume_mm3) for p in done.pieces)
    again = split(straight, [_as_drawn(straight)])
    assert tabs_and_pilots == sorted(round(p.volume_mm3) for p in again.pieces)


def _as_drawn(mesh: Mesh) -> Slab:
    """The slab as it is drawn, whatever its thickness."""
    found = find_plates(mesh, (3.0,))
    return found.slabs[0] if found.slabs else found.near[0].slab


def test_countersunk_holes_become_as_wide_as_they_are_narrowest() -> None:
    """Four cones are filled: what they took away comes back, nothing else changes."""
    mesh, new = taken("countersunk")
    (change,) = new.changes
    assert (change.straight, change.pierced, change.closed) == (4, 0, 0)
    cone = np.pi * 2.5 / 3 * (4.2**2 + 4.2 * 1.7 + 1.7**2) - np.pi * 1.7**2 * 2.5
    assert change.volume_mm3 == pytest.approx(4 * cone, rel=0.02)
    assert np.ptp(new.mesh.vertices, axis=0) == pytest.approx(np.ptp(mesh.vertices, axis=0))


def test_blind_holes_go_through_and_hollows_close() -> None:
    """What goes in half-way or more goes through, what goes in less is filled."""
    _, new = taken("pocketed")
    (change,) = new.changes
    assert (change.straight, change.pierced, change.closed) == (0, 1, 1)
    wanted = 20 * 20 * 1 - np.pi * 2**2 * 1.2
    assert change.volume_mm3 == pytest.approx(wanted, rel=0.01)


def test_edges_become_square() -> None:
    """Of a chamfer of 1.5 by 3, what it leaves half-way up stays: all of it."""
    mesh, new = taken("chamfered")
    (change,) = new.changes
    assert change.reason is Near.BEVELLED
    assert change.volume_mm3 == pytest.approx(80 * 0.5 * 1.5 * 1.5, rel=1e-6)
    assert new.mesh.volume_mm3 == pytest.approx(80 * 60 * 3)
    assert mesh.volume_mm3 < new.mesh.volume_mm3


def ready(name: str) -> tuple[Mesh, Split]:
    """A part taken apart at what it was changed for."""
    mesh = NEARLY[name]()
    found = find_plates(mesh, (3.0,))
    parts = chosen(mesh, found, [0], (3.0,), name)
    gained = sum(change.volume_mm3 for _, change in parts.changes)
    return mesh, as_drawn(split(parts.mesh, parts.slabs), gained)


@pytest.mark.parametrize("name", NEARLY)
def test_the_balance_is_told_against_the_part_as_drawn(name: str) -> None:
    """Plates, pieces and what joints remove are the part and what it was changed by."""
    mesh, done = ready(name)
    assert done.balance.whole == pytest.approx(bodies.volume_mm3(mesh), rel=1e-9)
    assert abs(done.balance.changed) > 1.0
    assert abs(done.balance.missing) < 1e-6 * done.balance.whole
    made = [plate.body() for plate in done.plates]
    made += [solid_of(piece.mesh, "piece") for piece in done.pieces]
    assert all((one ^ other).volume() < 1e-6 for one, other in combinations(made, 2))


def two_thin_walls() -> Mesh:
    """A floor of 2.8 and a wall of 2.8 on it, with a plate of 3 across both."""
    walls = [bodies.bar(90, 60, 2.8), bodies.bar(90, 2.8, 40), bodies.bar(3, 60, 40)]
    return of_manifold(bodies.united(walls))


def test_two_can_be_adopted_beside_a_plate_that_is_there() -> None:
    """Changing the part for one keeps the others, and each is known by its number."""
    mesh = two_thin_walls()
    found = find_plates(mesh, (3.0,))
    assert (len(found.slabs), len(found.adoptable)) == (1, 2)
    assert [number for _, number in found.numbered] == [2, 3]
    parts = chosen(mesh, found, [0, 1, 2], (3.0,), "walls")
    assert sorted(parts.numbers) == [0, 1, 2]
    assert [number for number, _ in parts.changes] == [1, 2]
    areas = {n: s.area_mm2 for n, s in zip(parts.numbers, parts.slabs, strict=True)}
    assert areas == pytest.approx({0: 60 * 40.2, 1: 90 * 60.2, 2: 90 * 40.2}, rel=0.01)
    assert list(areas.values()) == sorted(areas.values(), reverse=True)
    assert split(parts.mesh, parts.slabs).pieces == ()


def test_one_place_cannot_be_two_plates() -> None:
    """Half-way between two sheets: either, not both."""
    mesh = of_manifold(bodies.bar(90, 60, 3.5))
    found = find_plates(mesh, SHEETS)
    assert len(found.adoptable) == 2
    for number, thick in enumerate(miss.slab.sheet_mm for miss in found.adoptable):
        parts = chosen(mesh, found, [number], SHEETS, "slab")
        assert parts.slabs[0].thick_mm == pytest.approx(thick)
    with pytest.raises(InputError) as caught:
        chosen(mesh, found, [0, 1], SHEETS, "slab")
    assert caught.value.code is Fault.PLATE_LOST
