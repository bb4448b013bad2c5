"""Screws, tabs and glue go where there is room for them, and fit."""

import numpy as np
import pytest
from manifold3d import CrossSection, JoinType

from fabsched.advise.plates.contact_records import Glued, Join
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import area_of, solid_of
from fabsched.advise.plates.joinery import SCREWS, Joinery, screw_named
from fabsched.advise.plates.joint_list import joint_rows
from fabsched.advise.plates.splitting import split
from fabsched.model.operations import Operation
from tests.advise import bodies
from tests.advise.apart import apart, joins
from tests.estimate.bodies import of_manifold


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
