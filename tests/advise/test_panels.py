"""Where plates meet, each bit of the edge belongs to one of them."""

from itertools import combinations

import numpy as np
import pytest
from manifold3d import Manifold, OpType

from fabsched.advise.plates.contact_records import Glued, Join
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import area_of, solid_of
from fabsched.advise.plates.joinery import Joinery
from fabsched.advise.plates.splitting import Split, split
from fabsched.model.operations import Operation
from tests.advise import bodies
from tests.advise.apart import apart, joins
from tests.estimate.bodies import of_manifold


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


def test_bodies_that_touch_in_a_line_come_apart() -> None:
    """Two plates that share an edge, which no two solids can."""
    mesh = of_manifold(bodies.united([bodies.bar(80, 60, 3), bodies.bar(80, 60, 3, (80, 60, 0))]))
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert [plate.area_mm2 for plate in done.plates] == pytest.approx([4800.0, 4800.0])


@pytest.mark.parametrize("turn_deg", [(0.0, 0.0, 0.0), (33.0, 21.0, 57.0)])
@pytest.mark.parametrize(
    "joinery",
    [
        Joinery(),
        Joinery(finger_mm=20.0, play_mm=0.25),
        Joinery(finger_mm=3.0),
        Joinery(finger_mm=5.0, play_mm=0.25),
    ],
)
def test_walls_that_cross_on_a_floor_lose_nothing_where_three_meet(
    joinery: Joinery, turn_deg: tuple[float, float, float]
) -> None:
    """Floor, first and second wall pass on no spot in a round: somebody has it, and nobody twice."""
    mesh = of_manifold(bodies.divided_box().rotate(turn_deg))
    slabs = find_plates(mesh, bodies.SHEETS_MM).slabs
    done = split(mesh, slabs, joinery)
    assert len(done.plates) == 8
    assert abs(done.balance.missing) < 1e-6 * done.balance.whole
    panels = [plate.body() for plate in done.plates]
    assert all((one ^ other).volume() < 1e-3 for one, other in combinations(panels, 2))
    assert all(len(area_of(plate.rings).decompose()) == 1 for plate in done.plates)
