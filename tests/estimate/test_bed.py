"""A part on the bed: where it stands, whether it fits, its outline from above, its warp."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection, OpType

from fabsched.estimate.arrays import bundled
from fabsched.estimate.fitting import check_fit
from fabsched.estimate.placing import place
from fabsched.estimate.planes import planes_for
from fabsched.estimate.regions import Measure, covered_by
from fabsched.estimate.sections import Sections, section_mesh
from fabsched.estimate.silhouette import MOST_POINTS, silhouette_of
from fabsched.estimate.warp import above_of, warp_of
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import WarpLevel
from fabsched.model.progress import UNWATCHED
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies

LEVELS = [WarpLevel.LOW, WarpLevel.MEDIUM, WarpLevel.HIGH]


def sections_of(mesh: Mesh) -> Sections:
    """Sections of a part."""
    placed = place(mesh, "part")
    planes = planes_for(placed.size_mm[2], Build())
    return section_mesh(placed.mesh, planes, "part", UNWATCHED)


@given(
    x=st.floats(-500, 500),
    y=st.floats(-500, 500),
    z=st.floats(-500, 500),
    inside_out=st.booleans(),
)
def test_placed_at_the_origin(x: float, y: float, z: float, *, inside_out: bool) -> None:
    """Wherever a part lies and however it faces, it is put at the origin facing outwards."""
    mesh = bodies.moved(bodies.cone(5, 9, 32), x, y, z)
    placed = place(bodies.flipped(mesh) if inside_out else mesh, "part")
    assert placed.mesh.vertices.min(axis=0) == pytest.approx([0, 0, 0], abs=1e-12)
    assert placed.mesh.volume_mm3 > 0
    assert placed.size_mm == pytest.approx((10, 10, 9), abs=0.05)


def test_stray_points_do_not_count() -> None:
    """Points that belong to no triangle are left out."""
    cube = bodies.box(2, 3, 4)
    mesh = Mesh(np.vstack([[[99.0, 99, 99]], cube.vertices]), cube.faces + np.int32(1))
    assert place(mesh, "part").size_mm == pytest.approx((2, 3, 4))


@pytest.mark.parametrize(
    ("size", "code", "turn"),
    [
        ((220, 220, 250), None, ""),
        ((100, 50, 251), Fault.PART_FITS_TURNED, "0, -90, 0"),  # then 251 mm lie diagonally
        ((221, 221, 10), Fault.PART_FITS_TURNED, "90, 0, 0"),
        ((280, 10, 10), None, ""),  # only across the bed, along its diagonal of 311 mm
        ((320, 10, 10), Fault.PART_TOO_LARGE, ""),
    ],
)
def test_fits_the_bed(size: tuple[float, float, float], code: Fault | None, turn: str) -> None:
    """A part fits straight or turned about the vertical; else the error names a turn that fits."""
    mesh = bodies.box(*size)
    placed = place(mesh, "part")
    if code is None:
        check_fit(placed, mesh, bodies.printer(), "part")
        return
    with pytest.raises(InputError) as caught:
        check_fit(placed, mesh, bodies.printer(), "lid.stl")
    assert (caught.value.code, caught.value.where) == (code, "lid.stl")
    wanted = {
        "size": " x ".join(str(side) for side in size),
        "machine": "Printer",
        "bed": "220 x 220 x 250",
    }
    assert caught.value.facts == (wanted | {"turn": turn} if turn else wanted)


def test_quarter_turn_fits() -> None:
    """A part fits a narrow bed when it only has to be turned by 90 degrees."""
    narrow = replace(bodies.printer(), bed_mm=(50.0, 200.0, 100.0))
    board = bodies.box(200, 50, 10)
    check_fit(place(board, "part"), board, narrow, "part")


def test_no_triangles() -> None:
    """A mesh without triangles is refused."""
    with pytest.raises(InputError) as caught:
        place(Mesh(np.empty((0, 3)), np.empty((0, 3), np.int32)), "part")
    assert caught.value.code == Fault.NO_TRIANGLES


def test_silhouette_of_a_box() -> None:
    """The silhouette of a box is its footprint, exactly, counter-clockwise."""
    outline = silhouette_of(sections_of(bodies.box(40, 30, 10))).outline
    assert sorted(outline) == [(0, 0), (0, 30), (40, 0), (40, 30)]
    assert Measure(bundled([np.array(outline)])).area_mm2 == pytest.approx(1200)


@pytest.mark.parametrize(
    "mesh", [bodies.knot(6_000), bodies.sphere(20, 4), bodies.torus(30, 8, 64), bodies.cone(20, 9)]
)
def test_silhouette_holds_every_section(mesh: Mesh) -> None:
    """No section sticks out, few corners are left, and little is added."""
    sections = sections_of(mesh)
    seen = silhouette_of(sections)
    outline = np.array(seen.outline)
    assert 3 <= len(outline) < MOST_POINTS
    holes = [np.array(ring) for ring in seen.openings]
    assert all(len(ring) < MOST_POINTS for ring in holes)
    around = covered_by(bundled([outline, *(ring[::-1] for ring in holes)]))
    regions = [covered_by(section) for section in sections.distinct[1:]]
    for region in regions:
        outside = CrossSection.batch_boolean([region, around], OpType.Subtract)
        assert outside.area() == pytest.approx(0.0, abs=1e-6)
    hull = CrossSection.batch_hull(regions)
    assert around.area() <= hull.area() + Measure(bundled([outline])).length_mm


def test_one_can_look_through_a_ring() -> None:
    """A torus of 30 and 8 mm leaves a circle of 22 mm free, of which hardly anything is given away.

    Within sections 0.2 mm apart and what simplifying takes off (the area of a circle, pi r^2).
    """
    (opening,) = silhouette_of(sections_of(bodies.torus(30, 8, 128))).openings
    free_mm2 = Measure(bundled([np.array(opening)])).area_mm2
    assert 0.95 * math.pi * 22**2 < free_mm2 <= math.pi * 22**2


@pytest.mark.parametrize(
    ("bridge", "count"),
    [
        (bodies.box(90, 70, 2, (-5, -5, 18)), 0),  # a lid over the whole opening
        (bodies.box(4, 60, 1, (38, 0, 12)), 2),  # a bar across it, high up
        (bodies.box(70, 4, 30, (5, 28, 0)), 2),  # a wall that parts it
    ],
)
def test_what_reaches_over_an_opening_at_any_height_takes_it_away(bridge: Mesh, count: int) -> None:
    """What stands in an opening must be free up to any height, not only on the bed."""
    frame = bodies.prism([bodies.rectangle(80, 60), bodies.rectangle(64, 44, (8, 8))[::-1]], 20)
    openings = silhouette_of(sections_of(bodies.joined(frame, bridge))).openings
    assert len(openings) == count
    assert len(silhouette_of(sections_of(frame)).openings) == 1


def test_narrow_openings_are_left_aside() -> None:
    """A screw hole of 10 mm is no room for another part."""
    plate = bodies.prism([bodies.rectangle(80, 60), bodies.circle(5, 64, (40, 30))[::-1]], 3)
    assert silhouette_of(sections_of(plate)).openings == ()


def test_silhouette_of_parts_apart() -> None:
    """Two bodies apart are wrapped together."""
    pair = bodies.joined(bodies.box(10, 10, 5), bodies.box(10, 10, 5, (20, 0, 0)))
    assert sorted(silhouette_of(sections_of(pair)).outline) == [(0, 0), (0, 10), (30, 0), (30, 10)]


def test_warp_inputs_of_a_plate() -> None:
    """Span, contact, thickness and corners of a rectangle are its closed forms."""
    warp = warp_of(bundled([bodies.rectangle(120, 50)]), bodies.PLA)
    assert warp.span_mm == pytest.approx(130)
    assert warp.contact_mm2 == pytest.approx(6000)
    assert warp.thickness_mm == pytest.approx(2 * 6000 / 340)
    assert warp.corners == 4


def test_warp_tells_its_inputs() -> None:
    """What lies just above the bed and the material stand beside the verdict.

    A T of 20 mm on a foot of 10 mm and half as high as is looked at: (5 x 10 + 5 x 20) / (10 x 10).
    """
    tee = bodies.joined(bodies.box(10, 40, 5, (5, 0, 0)), bodies.box(20, 40, 9, (0, 0, 5)))
    found = sections_of(tee)
    warp = warp_of(found.distinct[found.layer[0]], bodies.PLA, above_of(found))
    assert warp.section_ratio == pytest.approx(1.5)
    assert warp.material == bodies.PLA.warp


@given(st.floats(0.1, 5), st.floats(1.01, 3))
def test_what_widens_above_its_contact_is_never_rated_lower(ratio: float, more: float) -> None:
    """Nor is what narrows rated higher (common practice, no published source)."""
    plate, stiff = bundled([bodies.rectangle(90, 60)]), replace(bodies.PLA, warp=0.6)
    one, wider = (warp_of(plate, stiff, 90 * 60 * r).level for r in (ratio, ratio * more))
    assert LEVELS.index(wider) >= LEVELS.index(one)


def test_disc_has_no_corners() -> None:
    """A round contact has no sharp corner."""
    assert warp_of(bundled([bodies.circle(40)]), bodies.PLA).corners == 0


@given(st.floats(2, 100), st.floats(2, 100), st.floats(0, 1), st.floats(1.01, 2))
def test_warp_grows(x: float, y: float, factor: float, more: float) -> None:
    """Longer contacts and materials that shrink more are never rated lower.

    Directions from Wang, Xi & Jin 2007 (abstract): longer sections and more shrinkage warp more.
    """
    plate, longer = bodies.rectangle(x, y), bodies.rectangle(x * more, y * more)
    level = warp_of(bundled([plate]), replace(bodies.PLA, warp=factor)).level
    larger = warp_of(bundled([longer]), replace(bodies.PLA, warp=factor)).level
    worse = warp_of(bundled([plate]), replace(bodies.PLA, warp=min(1.0, factor * more))).level
    assert LEVELS.index(larger) >= LEVELS.index(level)
    assert LEVELS.index(worse) >= LEVELS.index(level)


@pytest.mark.parametrize(
    ("size", "warp", "level"),
    [
        ((20.0, 20.0), 0.2, WarpLevel.LOW),  # small supports do not curl
        ((200.0, 150.0), 0.2, WarpLevel.HIGH),  # large flat prints do
        ((200.0, 150.0), 0.0, WarpLevel.LOW),
        ((80.0, 80.0), 1.0, WarpLevel.HIGH),
    ],
)
def test_warp_levels(size: tuple[float, float], warp: float, level: WarpLevel) -> None:
    """Large flat prints are rated high, small ones low (common practice, no published source)."""
    got = warp_of(bundled([bodies.rectangle(*size)]), replace(bodies.PLA, warp=warp))
    assert got.level == level
    assert math.isfinite(got.thickness_mm)


def test_a_thin_frame_is_rated_higher_than_a_plate() -> None:
    """The mean thickness of the contact counts: what is narrow for its span holds worse."""
    plate, hole = bodies.rectangle(100, 60), bodies.rectangle(90, 50, (5, 5))[::-1]
    stiff = replace(bodies.PLA, warp=0.6)
    whole, frame = warp_of(bundled([plate]), stiff), warp_of(bundled([plate, hole]), stiff)
    assert (whole.level, frame.level) == (WarpLevel.MEDIUM, WarpLevel.HIGH)
    assert (whole.thickness_mm, frame.thickness_mm) == pytest.approx((37.5, 5.0))
    assert (whole.span_mm, whole.corners) == (frame.span_mm, frame.corners)


def test_no_contact_is_low() -> None:
    """A part that does not touch the bed has nothing to judge."""
    assert warp_of(bundled([]), bodies.PLA).level == WarpLevel.LOW
