"""A plate that stands on a larger one reaches into it no further than it is long itself."""

import numpy as np
import pytest

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import area_of
from fabsched.advise.plates.joinery import Joinery
from fabsched.advise.plates.splitting import split
from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.estimate.bodies import of_manifold, tilted

BASE = bodies.bar(150, 90, 3)
RIB = of_manifold(BASE + bodies.bar(100, 3, 20, (25, 40, 3)))
IN_LINE = of_manifold(BASE + bodies.bar(60, 3, 20, (5, 40, 3)) + bodies.bar(60, 3, 20, (85, 40, 3)))
DOOR = of_manifold(BASE + (bodies.bar(150, 3, 50, (0, 40, 0)) - bodies.bar(40, 9, 30, (50, 38, 3))))


@pytest.mark.parametrize("degrees", [0.0, 33.0])
@pytest.mark.parametrize(
    ("part", "areas"),
    [
        (RIB, [150 * 90, 100 * 23]),
        (IN_LINE, [150 * 90, 60 * 23, 60 * 23]),
        (DOOR, [150 * 90, 150 * 50 - 40 * 33]),
    ],
    ids=["rib", "ribs in line", "wall with a door"],
)
def test_it_keeps_only_what_goes_on_beyond(part: Mesh, areas: list[float], degrees: float) -> None:
    """Areas as calculated by hand; ribs in line are plates of their own, however the part lies."""
    turned = part if not degrees else tilted(part, (1.0, 0.3, 0.2), degrees)
    found = find_plates(turned, bodies.SHEETS_MM)
    assert [slab.area_mm2 for slab in found.slabs] == pytest.approx(areas, rel=1e-6)


def test_rounding_of_a_file_changes_nothing() -> None:
    """Corners in single precision, as STL has them, leave no hairs that hold plates together."""
    turned = stl_bytes(tilted(IN_LINE, (1.0, 0.3, 0.2), 33.0))
    mesh, _ = finished(parse_stl(turned, "x"), "mm", "x")
    found = find_plates(mesh, bodies.SHEETS_MM)
    assert [slab.area_mm2 for slab in found.slabs] == pytest.approx([13500, 1380, 1380], rel=1e-5)


@pytest.mark.parametrize("part", [RIB, IN_LINE, DOOR], ids=["rib", "ribs in line", "door"])
def test_no_loose_tiles_are_cut(part: Mesh) -> None:
    """Every plate hangs together, nothing is left to print, and the volumes add up."""
    found = find_plates(part, bodies.SHEETS_MM)
    done = split(part, found.slabs, Joinery(), where="part")
    assert all(len(area_of(plate.rings).decompose()) == 1 for plate in done.plates)
    assert not done.pieces
    assert abs(done.balance.missing) < 1e-6 * bodies.volume_mm3(part)


def test_the_base_stays_whole_where_only_the_rib_is_cut() -> None:
    """It gets a slot as long as the rib, and is not cut in two."""
    found = find_plates(RIB, bodies.SHEETS_MM)
    done = split(RIB, found.slabs[1:], Joinery(), where="part")
    (piece,) = done.pieces
    assert np.ptp(piece.mesh.vertices, axis=0) == pytest.approx([150, 90, 3])
