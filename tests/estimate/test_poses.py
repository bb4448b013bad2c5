"""Poses of a part: which are found, how they are ranked, and what a pose is worth."""

from dataclasses import replace

import pytest

from fabsched.estimate.poses import poses, steadier_poses
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.turning import AS_DRAWN, turned
from fabsched.model.errors import Cancelled, Fault, InputError
from fabsched.model.estimates import Pose
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.shapes import Mesh
from tests.estimate import bodies

PRINTER = bodies.printer()
TEE = bodies.joined(bodies.box(12, 20, 20, (12, 0, 0)), bodies.box(36, 20, 3, (0, 0, 20)))


def found(mesh: Mesh, limit: int = 6, watch: Watch = UNWATCHED) -> tuple[Pose, ...]:
    """The poses of a part in PLA."""
    return poses(mesh, PRINTER, bodies.PLA, where="part", limit=limit, watch=watch)


def test_a_pose_is_what_the_turned_part_costs() -> None:
    """Each pose's estimate is the estimate of the part turned that way, field by field."""
    for pose in found(TEE):
        alone = estimate_print(TEE, PRINTER, bodies.PLA, where="part", turn_deg=pose.turn_deg)
        assert pose.estimate == alone
        by_hand = estimate_print(turned(TEE, pose.turn_deg), PRINTER, bodies.PLA, where="part")
        assert by_hand == alone
        assert pose.size_mm == pytest.approx((*alone.footprint_mm, alone.height_mm))
        assert (pose.support_mm3, pose.contact_mm2) == (alone.support_mm3, alone.contact_mm2)
        assert pose.rough_s.low <= alone.seconds.likely <= pose.rough_s.high


def test_a_tee_is_best_on_its_side_or_head() -> None:
    """A T as drawn needs support under both wings; on its side and on its head it needs none."""
    ranked = found(TEE)
    free = [pose for pose in ranked if pose.support_mm3 == 0.0]
    (drawn,) = [pose for pose in ranked if pose.turn_deg == AS_DRAWN]
    assert {(90.0, 0.0, 0.0), (180.0, 0.0, 0.0)} <= {pose.turn_deg for pose in free}
    assert drawn.support_mm3 == pytest.approx(2 * 12 * 20 * 20, rel=0.01)
    assert ranked[0] in free
    assert ranked.index(drawn) > ranked.index(free[0])


def test_quickest_first() -> None:
    """Poses that fit and hold on come by their minutes, then by support, then by contact."""
    ranked = [pose for pose in found(TEE) if pose.contact_mm2 >= 30]
    keys = [
        (round(p.estimate.seconds.likely / 60), p.support_mm3, -p.contact_mm2)
        for p in ranked
        if p.estimate
    ]
    assert len(keys) >= 3
    assert keys == sorted(keys)


def test_like_poses_are_one() -> None:
    """A cube has one pose, a block of three unlike sides has three, a cylinder two."""
    assert [pose.turn_deg for pose in found(bodies.box(20, 20, 20))] == [AS_DRAWN]
    assert {pose.size_mm[2] for pose in found(bodies.box(30, 20, 10))} == {10, 20, 30}
    assert len(found(bodies.cylinder(10, 40))) == 2


def test_a_plate_drawn_askew_is_laid_flat() -> None:
    """A plate drawn 5 degrees off is laid flat, with all of its side on the bed."""
    plate = bodies.tilted(bodies.box(80, 60, 3), (1, 0.3, 0), 5)
    best = found(plate)[0]
    assert best.size_mm[2] == pytest.approx(3, abs=0.01)
    assert best.contact_mm2 == pytest.approx(80 * 60, rel=1e-3)
    assert best.estimate is not None
    assert best.estimate.layers == 15


def test_poses_that_do_not_fit_come_last_without_estimate() -> None:
    """A post too tall for the printer is shown standing, but not simulated."""
    lying, *_, standing = found(bodies.box(20, 30, 255))
    assert lying.fits
    assert lying.estimate is not None
    assert (standing.turn_deg, standing.fits, standing.estimate) == (AS_DRAWN, False, None)


def test_no_more_than_asked_for() -> None:
    """At most `limit` poses come back, the one drawn always among them."""
    best = found(TEE, limit=2)
    assert len(best) == 2
    assert AS_DRAWN in {pose.turn_deg for pose in best}


def test_the_drawn_pose_too_large_names_another() -> None:
    """An estimate refused for its pose says which turn would fit; that turn then works."""
    post = bodies.box(20, 30, 255)
    with pytest.raises(InputError) as caught:
        estimate_print(post, PRINTER, bodies.PLA, where="post.stl")
    assert caught.value.code is Fault.PART_FITS_TURNED
    assert caught.value.facts["turn"] == "90, 0, 0"
    assert estimate_print(post, PRINTER, bodies.PLA, where="x", turn_deg=(90, 0, 0)).height_mm == 30
    small = replace(PRINTER, bed_mm=(20.0, 20.0, 20.0))
    with pytest.raises(InputError) as caught:
        estimate_print(post, small, bodies.PLA, where="post.stl", turn_deg=(90, 0, 0))
    assert caught.value.code is Fault.PART_TOO_LARGE


def test_progress_rises_and_stopping_stops() -> None:
    """One stage, its share rising to the end; a watch that says stop ends it."""

    class Listening:
        def __init__(self, most: int) -> None:
            self.heard: list[tuple[float, str]] = []
            self.most = most

        def report(self, done: float, stage: str) -> None:
            self.heard.append((done, stage))

        def stopped(self) -> bool:
            return len(self.heard) > self.most

    watch = Listening(10_000)
    found(TEE, watch=watch)
    shares = [done for done, _ in watch.heard]
    assert {stage for _, stage in watch.heard} == {"poses"}
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    with pytest.raises(Cancelled):
        found(TEE, watch=Listening(3))


def test_a_tower_may_lie_down() -> None:
    """What stands high over a small base stands lower in every pose that is found for it."""
    tower = bodies.box(12, 40, 90)
    steadier = steadier_poses(tower, PRINTER, bodies.PLA, AS_DRAWN, where="part")
    assert steadier.now.lever == pytest.approx(90 / (12 * 40) ** 0.5, rel=0.1)
    best = steadier.others[0]
    assert best.size_mm[2] == pytest.approx(12)
    assert all(pose.lever <= 0.85 * steadier.now.lever for pose in steadier.others)
    lying = steadier_poses(tower, PRINTER, bodies.PLA, best.turn_deg, where="part")
    assert not lying.others


def test_less_support_is_steadier_too() -> None:
    """A T as drawn hangs over; on its head or side it needs no support."""
    steadier = steadier_poses(TEE, PRINTER, bodies.PLA, AS_DRAWN, where="part")
    assert steadier.now.support_mm3 > 0
    assert steadier.others[0].support_mm3 == 0.0
    assert len(steadier.others) <= 2


def test_only_what_fits_is_steadier() -> None:
    """A rod higher than the bed is long has to stand, even where it would hold better lying."""
    bed = PRINTER.bed_mm
    small = replace(PRINTER, bed_mm=(60.0, 60.0, bed[2]))
    rod = bodies.box(12, 12, 150)
    assert not steadier_poses(rod, small, bodies.PLA, AS_DRAWN, where="part").others
