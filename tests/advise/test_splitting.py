"""Parts are taken apart without losing, doubling or splintering anything."""

from itertools import combinations

import numpy as np
import pytest
from manifold3d import CrossSection, Error, FillRule, JoinType, Manifold, OpType

from fabsched.advise.plates.contact_records import Glued, Join
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import area_of, solid_of
from fabsched.advise.plates.joinery import SCREWS, Joinery, screw_named
from fabsched.advise.plates.joint_list import joint_rows
from fabsched.advise.plates.splitting import Split, split
from fabsched.estimate.twins import pair_edges
from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.errors import Fault, InputError
from fabsched.model.operations import Operation
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.estimate.bodies import of_manifold

CASES = [
    pytest.param(name, count, id=f"{name}-{count}")
    for name in bodies.WITH_PLATES
    for count in (1, 2, 9)
]


def apart(name: str, count: int, joinery: Joinery | None = None) -> tuple[Mesh, Split]:
    """A test part, and the same taken apart at its first plates."""
    mesh = bodies.WITH_PLATES[name]()
    return mesh, split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs[:count], joinery)


def solids(done: Split) -> list[Manifold]:
    """All that is made, where it was in the part."""
    return [plate.body() for plate in done.plates] + [
        solid_of(piece.mesh, "piece") for piece in done.pieces
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


def joins(done: Split) -> list[str]:
    """How the contacts are joined."""
    return sorted(str(joint.join) for joint in done.joints)


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


def test_a_box_becomes_five_panels_with_fingers() -> None:
    """Nothing is left to print; every panel has more corners than a rectangle."""
    _, done = apart("open box", 9)
    assert len(done.plates) == 5
    assert done.pieces == ()
    assert all(len(plate.rings) == 1 and len(plate.rings[0]) > 12 for plate in done.plates)


def test_crossing_plates_are_slotted_half_way() -> None:
    """Two plates that go through each other slide together: each has one slot open at its edge."""
    crossed = [bodies.bar(100, 3, 40, (0, 40, 0)), bodies.bar(3, 90, 40, (50, -10, 0))]
    mesh = of_manifold(bodies.united(crossed))
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert [len(plate.rings) for plate in done.plates] == [1, 1]
    lacking = [slab.area_mm2 - p.area_mm2 for p in done.plates for slab in [p.slab]]
    assert lacking == pytest.approx([20 * 3 + 2 * 0.1 * 20 + 0.32, 20 * 3], abs=0.4)
    assert abs(done.balance.missing) < 1e-6 * done.balance.whole


def test_a_divider_stands_in_closed_slots() -> None:
    """A plate that stands across another goes through it with fingers."""
    mesh = of_manifold(bodies.united([bodies.bar(120, 80, 3), bodies.bar(3, 80, 40, (60, 0, 0))]))
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert [len(p.rings) for p in done.plates] == [1 + 3, 1]  # seven fingers, three of the divider


def test_the_larger_plate_owns_the_corners() -> None:
    """The bottom of a box keeps all four corners, and no wall reaches into them."""
    _, done = apart("open box", 9)
    bottom = done.plates[0].body()
    corners = [bodies.bar(3, 3, 3, (x, y, 0)) for x in (0, 117) for y in (0, 77)]
    for corner in corners:
        assert (bottom ^ corner).volume() == pytest.approx(27.0, rel=1e-6)


def test_pieces_on_both_sides_do_not_meet_in_a_screw() -> None:
    """Heads lie free of what stands on their side, but for the piece a screw is meant to pass."""
    _, done = apart("double-sided", 1)
    head = 0.5 * screw_named(done.joinery.screw).head_mm
    for joint in done.joints:
        for other in done.joints:
            if other.side == joint.side:
                continue
            if joint.through and joint.through.piece == other.piece:
                continue
            for x, y in joint.spots:
                disc = CrossSection.circle(head, 32).translate((float(x), float(y)))
                assert (disc ^ area_of(other.rings)).area() < 1e-6
    assert joins(done) == ["screw"] * 4 + ["through"] * 2


@pytest.mark.parametrize("bore_mm", [0.0, 1.25])
def test_one_screw_holds_a_boss_and_the_foot_under_it(bore_mm: float) -> None:
    """It passes one piece and the plate, its head sunk, and bites at most as deep as told."""
    mesh = bodies.stacked(bore_mm=bore_mm)
    done = split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs)
    held, passed = sorted(done.joints, key=lambda joint: not joint.spots)
    assert joins(done) == ["through", "through"]
    assert held.through is not None
    assert held.through.piece == passed.piece
    assert done.screws == 1
    assert len(done.plates[0].rings) == 2  # one hole, both screws are the same
    bite = held.through.length_mm - 4.0 - held.through.high_mm + held.through.sunk_mm
    assert 0.5 * done.joinery.deep_mm <= bite <= done.joinery.deep_mm
    assert held.through.sunk_mm > screw_named("M3").head_high_mm
    rows = joint_rows(done)
    assert [(row.screw, row.passes) for row in rows] == [
        (f"M3 x {held.through.length_mm:g}", passed.piece + 1)
    ]
    if bore_mm:  # the bore that is there takes the thread
        bored = done.pieces[held.piece].mesh
        assert bored.vertices[:, 2].max() == pytest.approx(16.0)


def test_the_way_of_a_screw_is_free() -> None:
    """A rod as thick as the screw, all along it, meets neither plate nor the piece it passes."""
    mesh = bodies.stacked()
    done = split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs)
    (held,) = (joint for joint in done.joints if joint.spots)
    assert held.through is not None
    x, y, _ = done.plates[0].slab.frame.back(np.array([[*held.spots[0], 0.0]]))[0]
    rod = bodies.rod(1.5, 60.0, (x, y, -30.0))
    passed = solid_of(done.pieces[held.through.piece].mesh, "piece")
    assert (rod ^ passed).volume() == pytest.approx(0.0, abs=1e-9)
    assert (rod ^ done.plates[0].body()).volume() == pytest.approx(0.0, abs=1e-9)
    head = bodies.rod(2.8, 60.0, (x, y, -30.0)) ^ passed
    assert held.through.high_mm - held.through.sunk_mm == pytest.approx(
        np.ptp(np.asarray(head.to_mesh64().vert_properties)[:, 2]), abs=1e-6
    )


@pytest.mark.parametrize(
    ("foot_mm", "side_mm", "why"), [(60.0, 8.0, Glued.COVERED), (10.0, 3.0, Glued.SMALL)]
)
def test_what_is_only_glued_says_why(foot_mm: float, side_mm: float, why: Glued) -> None:
    """Boss and foot both taller than any screw, or a foot too thin for one."""
    mesh = bodies.stacked(foot_mm, side_mm, boss_mm=foot_mm)
    done = split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs)
    glued = [joint for joint in done.joints if joint.join is Join.GLUE]
    assert why in {joint.why for joint in glued}
    assert {row.why for row in joint_rows(done) if row.join is Join.GLUE} == {
        str(joint.why) for joint in glued
    }
    assert all(joint.why is None for joint in done.joints if joint not in glued)


def test_a_fine_lattice_is_glued_onto_its_outline() -> None:
    """Its bars are too thin for tabs and screws; where it stands is scored on the plate."""
    _, done = apart("latticed", 1)
    assert joins(done) == ["glue"] + ["screw"] * 4
    scored = [o for o in done.plates[0].drawing.outlines if o.operation is Operation.SCORE]
    assert scored


def test_slots_at_the_edge_are_open_notches() -> None:
    """Tabs of the side wall stand on the border of the base and are clipped by it."""
    _, done = apart("composite", 1)
    high = max(ring[:, 1].max() for ring in done.plates[0].rings)
    tabbed = [joint for joint in done.joints if joint.join is Join.TAB]
    along_edge = [joint for joint in tabbed if area_of(joint.rings).bounds()[3] > 89.99]
    assert high == pytest.approx(90.0)
    (wall,) = along_edge
    assert len(wall.tabs) == 5
    assert all(area_of(tab).bounds()[3] == pytest.approx(90.0) for tab in wall.tabs)


@pytest.mark.parametrize("screw", [screw.name for screw in SCREWS])
@pytest.mark.parametrize("play", [0.0, 0.25])
def test_any_measures_keep_the_balance(screw: str, play: float) -> None:
    """Whatever the joinery, no volume is lost."""
    joinery = Joinery(screw=screw, play_mm=play, tab_mm=9.0, finger_mm=8.0)
    for name in ("composite", "bracket"):
        _, done = apart(name, 2, joinery)
        assert abs(done.balance.missing) < 1e-6 * done.balance.whole


def test_play_is_what_joints_leave_free() -> None:
    """Slots are as much larger than tabs as the measures say: a ring of the play's width."""
    _, done = apart("composite", 1, Joinery(play_mm=0.2))
    rib = next(j for j in done.joints if j.join is Join.TAB and area_of(j.rings).bounds()[3] < 80)
    holes = area_of(done.plates[0].rings)
    assert rib.tabs
    for tab in rib.tabs:
        x0, y0, x1, y1 = area_of(tab).bounds()
        slot = CrossSection.square((x1 - x0 + 0.4, y1 - y0 + 0.4)).translate((x0 - 0.2, y0 - 0.2))
        assert (slot ^ holes).area() < 1e-6
        around = slot.offset(0.5, JoinType.Miter) - slot
        assert (around ^ holes).area() == pytest.approx(around.area(), rel=1e-6)


def test_kerf_left_over_takes_up_play() -> None:
    """A laser whose paths leave 0.2 mm of kerf needs no play drawn at 0.1 mm a side."""
    assert Joinery(play_mm=0.1, kerf_mm=0.2).room_mm == 0.0
    assert Joinery(play_mm=0.15, kerf_mm=0.2).room_mm == pytest.approx(0.05)


def test_screws_follow_their_tables() -> None:
    """ISO 273 medium series (read at engineeringhardware.com); pilot is diameter less pitch, ISO 261."""
    clear = {"M2": 2.4, "M2.5": 2.9, "M3": 3.4, "M4": 4.5, "M5": 5.5}
    pitch = {"M2": 0.4, "M2.5": 0.45, "M3": 0.5, "M4": 0.7, "M5": 0.8}
    assert {screw.name: screw.clear_mm for screw in SCREWS} == clear
    for screw in SCREWS:
        assert screw.pilot_mm == pytest.approx(screw.across_mm - pitch[screw.name])


def test_open_surfaces_are_refused() -> None:
    """A part with a gap cannot be taken apart, which is said by name."""
    mesh = bodies.composite()
    slabs = find_plates(mesh, bodies.SHEETS_MM).slabs
    with pytest.raises(InputError) as caught:
        split(Mesh(mesh.vertices, mesh.faces[1:]), slabs, where="parts/lid.stl")
    assert (caught.value.code, caught.value.where) == (Fault.PLATES_NEED_CLOSED, "parts/lid.stl")


def test_a_plate_that_leans_ends_square_on_a_printed_wedge() -> None:
    """It is glued along its edge to a wedge as thin as the slant asks for, which stands on the base."""
    mesh = bodies.leaning()
    done = split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs)
    assert len(done.plates) == 2
    assert done.askew == ()
    assert joins(done) == ["edge", "tab"]
    (piece,) = done.pieces
    # a right triangle with a leg of 3 and 60 degrees beside it, 60 long, and its tabs
    tabs = sum(area_of(tab).area() for joint in done.joints for tab in joint.tabs) * 3.0
    assert piece.volume_mm3 - tabs == pytest.approx(60 * 0.5 * 3.0**2 / np.tan(np.pi / 3), rel=1e-2)
    (edge,) = (joint for joint in done.joints if joint.join is Join.EDGE)
    assert (edge.side, edge.why) == (0, Glued.BESIDE)
    assert not any(o.operation is Operation.SCORE for o in done.plates[1].drawing.outlines)


def test_walls_that_meet_askew_share_a_printed_post() -> None:
    """Six walls and a floor: six posts in the corners, each beside two walls."""
    mesh = bodies.hexagon()
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert (len(done.plates), len(done.pieces), done.askew) == (7, 6, ())
    assert {joint.plate for joint in done.joints} == set(range(7))


def test_plates_a_bridge_holds_together_come_apart() -> None:
    """Two plates in one plane under a block: none takes the other's space."""
    mesh = bodies.bridged()
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert [len(area_of(plate.rings).decompose()) for plate in done.plates] == [1, 1]
    assert len(done.pieces) == 1
    assert abs(done.balance.trued) < 1e-6 * done.balance.whole


def box_panels(joinery: Joinery) -> Split:
    """An open box as five panels."""
    mesh = bodies.open_box()
    return split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs, joinery)


@pytest.mark.parametrize("play", [0.0, 0.1, 0.25])
def test_panels_fit_without_overlap_and_leave_no_gap_but_the_play(play: float) -> None:
    """What the panels leave of the box is the play beside the fingers, and they share nothing."""
    done = box_panels(Joinery(play_mm=play))
    panels = [plate.body() for plate in done.plates]
    for one, other in combinations(panels, 2):
        assert (one ^ other).volume() < 1e-6
    whole = solid_of(bodies.open_box(), "box")
    gaps = whole - Manifold.batch_boolean(panels, OpType.Add)
    assert gaps.volume() == pytest.approx(done.balance.play, abs=1e-3)
    for gap in gaps.decompose():
        if gap.volume() < 1e-3:
            continue
        # a film as thick as the play has a surface of twice its volume over it
        assert 2.0 * gap.volume() / gap.surface_area() < play + 2e-3


def test_every_bit_of_an_edge_belongs_to_one_panel() -> None:
    """Without play five panels are the box again, to a millionth."""
    done = box_panels(Joinery(play_mm=0.0))
    assert sum(plate.volume_mm3 for plate in done.plates) == pytest.approx(
        bodies.volume_mm3(bodies.open_box()), rel=1e-6
    )
    assert all(len(plate.edges) >= 3 for plate in done.plates)


def test_a_plate_with_hundreds_of_holes() -> None:
    """Each stays; nothing is lost."""
    holes = [bodies.rod(1.5, 9, (6 + 8 * i, 6 + 8 * k, -3)) for i in range(20) for k in range(12)]
    mesh = of_manifold(bodies.bar(165, 100, 3) - bodies.united(holes))
    (slab,) = find_plates(mesh, (3.0,)).slabs
    (plate,) = split(mesh, [slab]).plates
    assert len(plate.rings) == 241


def test_bodies_that_touch_in_a_line_come_apart() -> None:
    """Two plates that share an edge, which no two solids can."""
    mesh = of_manifold(bodies.united([bodies.bar(80, 60, 3), bodies.bar(80, 60, 3, (80, 60, 0))]))
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert [plate.area_mm2 for plate in done.plates] == pytest.approx([4800.0, 4800.0])


def test_what_reaches_over_the_edge_is_joined_inside() -> None:
    """Bosses across the border and ribs flush with it get screws and tabs the plate has room for."""
    over = [bodies.rod(6, 10, (0, 35, 3)), bodies.rod(6, 10, (98, 5, 3))]
    ribs = [bodies.bar(60, 2, 8, (20, 0, 3))]
    mesh = of_manifold(bodies.united([bodies.bar(100, 70, 3), *over, *ribs]))
    (slab,) = find_plates(mesh, (3.0,)).slabs
    done = split(mesh, [slab])
    plate = area_of(done.plates[0].rings)
    assert len(plate.decompose()) == 1
    assert not {joint.join for joint in done.joints} & {Join.GLUE, Join.EDGE}
    assert all(
        (area_of(tab) - area_of(slab.rings)).area() < 1e-9 for j in done.joints for tab in j.tabs
    )
    assert abs(done.balance.missing) < 1e-6 * done.balance.whole
