"""What holds a plate, what glue on it bears, and why of some no deflection is told."""

from dataclasses import replace

import pytest

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.contact_records import Join
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.holding import Loose, untold
from fabsched.advise.plates.joinery import GLUE_MPA, Joinery, Press
from fabsched.advise.plates.seams import seams_of
from fabsched.advise.plates.splitting import Split, split
from fabsched.model.shapes import Mesh
from tests.advise import bodies
from tests.advise.apart import apart
from tests.advise.test_making import ACRYLIC
from tests.estimate.bodies import of_manifold

SHEETS = {3.0: ACRYLIC, 4.0: ACRYLIC}


def reasons(done: Split) -> dict[int, Loose]:
    """Plates of which no deflection is told, with the reason."""
    told = {give.plate for give in gives(done, SHEETS, Press())}
    return {each.plate: each.why for each in untold(done, SHEETS, told)}


def plain() -> Mesh:
    """A plate of 3 on its own."""
    return of_manifold(bodies.bar(80, 60, 3))


@pytest.mark.parametrize("name", bodies.WITH_PLATES)
def test_every_plate_gives_or_says_why_not(name: str) -> None:
    """No plate is passed over in silence."""
    _, done = apart(name, 9)
    told = [give.plate for give in gives(done, SHEETS, Press())]
    assert sorted([*told, *reasons(done)]) == list(range(len(done.plates)))


def test_why_no_deflection_is_told() -> None:
    """On two screws, along one edge, joined to nothing, of a sheet whose stiffness is not known."""
    assert reasons(apart("bracket", 1)[1]) == {0: Loose.FEW}
    assert reasons(apart("composite", 2)[1]) == {1: Loose.LINE}
    mesh = plain()
    done = split(mesh, find_plates(mesh, (3.0,)).slabs)
    assert reasons(done) == {0: Loose.NOTHING}
    sheets = {3.0: replace(ACRYLIC, youngs_mpa=0.0)}
    assert {each.why for each in untold(apart("composite", 1)[1], sheets, ())} == {Loose.UNKNOWN}


def test_glue_in_several_places_holds_a_plate() -> None:
    """Each wall of a hexagon stands on the floor or between two glued posts, and gives a little."""
    _, done = apart("hexagon", 9)
    assert reasons(done) == {}
    assert all(give.worst.sag_mm < 2.0 for give in gives(done, SHEETS, Press()))


def test_one_glued_edge_bears_the_leverage() -> None:
    """A plate of 60 x 3 glued along its foot: F / A and M / W with W = 60 mm x (3 mm)^2 / 6."""
    _, done = apart("leaning", 9)
    (seam,) = seams_of(done, Press(force_n=10.0))
    x, y = (side for side in done.plates[seam.plate].drawing.bounds_mm[1])
    assert seam.area_mm2 == pytest.approx(60 * 3, rel=1e-3)
    assert seam.lever_mm == pytest.approx(min(x, y), abs=1.0)
    by_hand = 10.0 / 180.0 + 10.0 * seam.lever_mm / (60 * 3**2 / 6)
    assert seam.stress_mpa == pytest.approx(by_hand, rel=1e-3)
    assert not seam.holds
    (light,) = seams_of(done, Press(force_n=0.1))
    assert light.holds


def test_load_adds_to_the_press() -> None:
    """An even load bears on the seam too, with the leverage of the plate's middle."""
    _, done = apart("leaning", 9)
    (press,) = seams_of(done, Press(force_n=10.0))
    (both,) = seams_of(done, Press(force_n=10.0, load_n=10.0))
    more = both.stress_mpa - press.stress_mpa
    assert 0.4 * press.stress_mpa < more < 0.6 * press.stress_mpa


def test_screws_take_the_leverage_off_glue() -> None:
    """The glued lattice of a plate on four bosses bears 10 N on its whole area, in shear."""
    _, done = apart("latticed", 1)
    (seam,) = seams_of(done, Press(force_n=10.0))
    (glued,) = (joint for joint in done.joints if joint.join is Join.GLUE)
    assert seam.lever_mm == 0.0
    assert seam.pieces == (glued.piece,)
    assert seam.stress_mpa == pytest.approx(10.0 / seam.area_mm2)


def test_what_glue_may_bear_is_far_below_what_lap_joints_bore() -> None:
    """Acrylic on acrylic: 790 lb/in^2 (Handbook of Adhesives and Sealants, table 10.16, read)."""
    bore_mpa = 790 * 4.448222 / 25.4**2
    assert bore_mpa == pytest.approx(5.45, abs=0.01)
    assert bore_mpa > 4.0 * GLUE_MPA
    assert Joinery().glue_mpa == GLUE_MPA
