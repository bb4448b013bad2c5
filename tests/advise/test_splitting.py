"""Parts are taken apart without losing, doubling or splintering anything."""

from itertools import combinations

import pytest
from manifold3d import CrossSection, Error, FillRule

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import solid_of
from fabsched.advise.plates.joinery import SCREWS, Joinery
from fabsched.advise.plates.splitting import split
from fabsched.estimate.twins import pair_edges
from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.errors import Fault, InputError
from fabsched.model.operations import Operation
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.advise.apart import apart, joins, solids
from tests.estimate.bodies import of_manifold

CASES = [
    pytest.param(name, count, id=f"{name}-{count}")
    for name in bodies.WITH_PLATES
    for count in (1, 2, 9)
]


@pytest.mark.parametrize(("name", "count"), CASES)
def test_volume_is_balanced(name: str, count: int) -> None:
    """Plates, pieces and what joints remove add up to the whole to a millionth of it."""
    mesh, done = apart(name, count)
    balance = done.balance
    made = sum(solid.volume() for solid in solids(done))
    removed = balance.screw_holes + balance.play + balance.pilots + balance.crumbs + balance.trued
    assert made + removed == pytest.approx(bodies.volume_mm3(mesh), rel=1e-6)
    assert abs(balance.missing) < 1e-6 * balance.whole
    assert min(balance.screw_holes, balance.play, balance.pilots, balance.crumbs) > -1e-6
    assert abs(balance.trued) < 1e-6 * balance.whole


@pytest.mark.parametrize(("name", "count"), CASES)
def test_nothing_overlaps_and_nothing_lies_outside(name: str, count: int) -> None:
    """No two things take the same space, and all of them lie inside the part."""
    mesh, done = apart(name, count)
    whole = solid_of(mesh, "part")
    made = solids(done)
    for one, other in combinations(made, 2):
        assert (one ^ other).volume() < 1e-6 * whole.volume()
    for solid in made:
        assert (solid - whole).volume() < 1e-6 * whole.volume()


@pytest.mark.parametrize(("name", "count"), CASES)
def test_pieces_are_closed_whole_and_without_slivers(name: str, count: int) -> None:
    """Every piece is one closed body, thick somewhere, without stray films."""
    _, done = apart(name, count)
    for piece in done.pieces:
        assert pair_edges(piece.mesh.faces, len(piece.mesh.vertices)).open_edges == 0
        body = solid_of(piece.mesh, "piece")
        assert body.status() == Error.NoError
        assert len(body.decompose()) == 1
        assert piece.volume_mm3 >= done.joinery.crumb_mm3
        # A film would add much surface and no volume: 2 V / A is half the mean thickness.
        assert 2.0 * body.volume() / body.surface_area() > 0.35


@pytest.mark.parametrize(("name", "count"), CASES)
def test_outlines_hold_the_area_of_the_plates(name: str, count: int) -> None:
    """What the laser cuts encloses the area of the plate to a millionth, in one island."""
    _, done = apart(name, count)
    for plate in done.plates:
        cut = [o.points_mm for o in plate.drawing.outlines if o.operation is Operation.CUT]
        area = CrossSection(cut, FillRule.EvenOdd)
        assert area.area() == pytest.approx(plate.area_mm2, rel=1e-6)
        assert len(area.decompose()) == 1
        low, _ = plate.drawing.bounds_mm
        assert low.tolist() == pytest.approx([0.0, 0.0])


def test_the_composite_comes_apart_as_by_hand() -> None:
    """Bored bosses are screwed through their own holes, ribs and side wall get tabs."""
    _, done = apart("composite", 1)
    assert len(done.plates) == 1
    assert len(done.pieces) == 6
    assert joins(done) == ["screw"] * 4 + ["tab"] * 2
    spots = sorted(tuple(spot.round(6)) for spot in done.plates[0].screws)
    assert spots == [pytest.approx(corner) for corner in sorted(bodies.CORNERS)]
    assert done.balance.pilots == 0.0  # their own bores do


def test_the_composite_turned_comes_apart_alike() -> None:
    """Volumes and joints do not depend on how the part lies."""
    _, straight = apart("composite", 2)
    _, turned = apart("tilted", 2)
    assert joins(turned) == joins(straight)
    assert turned.balance.plates == pytest.approx(straight.balance.plates, rel=1e-6)
    assert turned.balance.pieces == pytest.approx(straight.balance.pieces, rel=1e-6)


@pytest.mark.parametrize("name", bodies.WITH_PLATES)
def test_single_precision_splinters_nothing(name: str) -> None:
    """What has been through a file comes apart into as many rings, pieces and joints."""
    mesh = bodies.WITH_PLATES[name]()
    read, _ = finished(parse_stl(stl_bytes(mesh), "x"), "mm", "x")
    exact, rounded = (split(m, find_plates(m, bodies.SHEETS_MM).slabs) for m in (mesh, read))
    assert [len(plate.rings) for plate in rounded.plates] == [len(p.rings) for p in exact.plates]
    assert len(rounded.pieces) == len(exact.pieces)
    assert joins(rounded) == joins(exact)
    assert abs(rounded.balance.missing) < 1e-6 * rounded.balance.whole


@pytest.mark.parametrize("screw", [screw.name for screw in SCREWS])
@pytest.mark.parametrize("play", [0.0, 0.25])
def test_any_measures_keep_the_balance(screw: str, play: float) -> None:
    """Whatever the joinery, no volume is lost."""
    joinery = Joinery(screw=screw, play_mm=play, tab_mm=9.0, finger_mm=8.0)
    for name in ("composite", "bracket"):
        _, done = apart(name, 2, joinery)
        assert abs(done.balance.missing) < 1e-6 * done.balance.whole


def test_open_surfaces_are_refused() -> None:
    """A part with a gap cannot be taken apart, which is said by name."""
    mesh = bodies.composite()
    slabs = find_plates(mesh, bodies.SHEETS_MM).slabs
    with pytest.raises(InputError) as caught:
        split(Mesh(mesh.vertices, mesh.faces[1:]), slabs, where="parts/lid.stl")
    assert (caught.value.code, caught.value.where) == (Fault.PLATES_NEED_CLOSED, "parts/lid.stl")


def test_a_plate_with_hundreds_of_holes() -> None:
    """Each stays; nothing is lost."""
    holes = [bodies.rod(1.5, 9, (6 + 8 * i, 6 + 8 * k, -3)) for i in range(20) for k in range(12)]
    mesh = of_manifold(bodies.bar(165, 100, 3) - bodies.united(holes))
    (slab,) = find_plates(mesh, (3.0,)).slabs
    (plate,) = split(mesh, [slab]).plates
    assert len(plate.rings) == 241
