"""Ladders of test cuts: their feeds, their lines and their time."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.cut_regions import area_mm2
from fabsched.estimate.cut_rings import parents_of
from fabsched.estimate.ladder import RUNGS, DrawnLadder, drawn_ladder, graded
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.ladder import KERFS_MM, SQUARE_MM
from fabsched.model.operations import Operation
from fabsched.model.shop import Laser
from tests.estimate.test_cutting import LASER, SHEET, SHIPPED


def drawn(
    thickness_mm: float = 3.0, laser: Laser = LASER, material: str = "", **more: float
) -> DrawnLadder:
    """A ladder."""
    sheet = SHIPPED[material] if material else SHEET
    return drawn_ladder(laser, sheet, thickness_mm, where="x", **more)  # type: ignore[arg-type]  # names of its arguments


@given(st.floats(0.1, 150))
def test_feeds_are_graded_evenly_around_the_middle(middle: float) -> None:
    """Steps of an eighth (R20 of ISO 3: the 20th root of ten), the middle within half a step."""
    feeds = graded(middle, 1e6, step=1)
    steps = np.diff(np.log(feeds)) / (np.log(10) / 20)
    assert len(feeds) == RUNGS
    assert steps == pytest.approx(1, abs=0.17)  # as the standard rounds: 1.4 to 1.6
    assert abs(np.log10(feeds[RUNGS // 2] / middle)) <= 0.6 / 20


def test_a_first_guess_is_looked_for_in_wider_steps() -> None:
    """A known thickness in steps of an eighth, one carried over by its energy in steps of a quarter."""
    known, guessed = drawn(3.0), drawn(6.0)
    assert known.ladder.feeds_mm_s[RUNGS // 2] == 10.0
    assert guessed.ladder.feeds_mm_s[RUNGS // 2] == 5.0
    assert [f.code for f in guessed.findings] == [Remark.FIRST_GUESS]
    for ladder, ratio in ((known.ladder, 10 ** (4 / 20)), (guessed.ladder, 10 ** (4 / 10))):
        assert ladder.feeds_mm_s[-1] / ladder.feeds_mm_s[4] == pytest.approx(ratio, rel=0.02)


def test_no_feed_is_faster_than_the_machine() -> None:
    """Squares the machine could not cut at their feed are left out."""
    feeds = drawn(laser=replace(LASER, travel_mm_s=11.0)).ladder.feeds_mm_s
    assert max(feeds) <= 11.0


@pytest.mark.parametrize("thickness_mm", [0.5, 3.0, 12.0])
def test_squares_lie_apart_inside_the_strip(thickness_mm: float) -> None:
    """With as much material between them as the sheet is thick, and 5 mm at least."""
    made = drawn(thickness_mm)
    cuts = [o for rung in made.rungs for o in rung.outlines if o.operation is Operation.CUT]
    border = cuts[-1]
    assert np.ptp(border.points_mm, axis=0) == pytest.approx(made.size_mm)
    assert (parents_of(cuts)[:-1] == len(cuts) - 1).all()
    boxes = [(o.points_mm.min(axis=0), o.points_mm.max(axis=0)) for o in cuts[:-1]]
    for i, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[:i]:
            apart = np.maximum(low - other_high, other_low - high).max()
            assert apart >= max(5.0, thickness_mm) - 1e-9


def test_rows_are_alike_above_and_graded_below() -> None:
    """A square of its own layer for each feed; holes smaller by twice a kerf each, at the slowest."""
    made = drawn()
    cut = [rung for rung in made.rungs if rung.operation is Operation.CUT][:-1]
    sides = [[abs(area_mm2(o.points_mm)) ** 0.5 for o in rung.outlines] for rung in cut]
    assert [row[0] for row in sides] == pytest.approx([SQUARE_MM] * RUNGS)
    assert sides[0][1:] == pytest.approx([SQUARE_MM - 2 * kerf for kerf in KERFS_MM])
    assert [rung.layer for rung in cut] == [f"cut-{feed:g}" for feed in made.ladder.feeds_mm_s]
    assert [rung.speeds.feed_mm_s.likely for rung in cut] == list(made.ladder.feeds_mm_s)


def test_every_square_has_as_many_notches_as_its_number() -> None:
    """Scored below it, inside its own room."""
    notches = drawn().rungs[0].outlines
    places = [float(o.points_mm[0, 0]) // (SQUARE_MM + 5.0) for o in notches[: RUNGS * 5]]
    assert [places.count(place) for place in range(RUNGS)] == list(range(1, RUNGS + 1))
    assert len(notches) == 2 * RUNGS * (RUNGS + 1) // 2


def test_the_time_is_that_of_its_lines() -> None:
    """Length over feed of every cut and a bit more for corners, piercing and the ways between."""
    made = drawn()
    cuts = [rung for rung in made.rungs if rung.operation is Operation.CUT]
    plain = sum(o.length_mm / r.speeds.feed_mm_s.likely for r in cuts for o in r.outlines)
    pierced = 0.3 * sum(len(rung.outlines) for rung in cuts)
    assert plain + pierced < made.seconds < 1.2 * (plain + pierced)
    twice = drawn(passes=2)
    assert twice.seconds > 1.7 * made.seconds


def test_what_must_not_be_cut_gets_no_ladder() -> None:
    """Not even with a feed of one's own."""
    with pytest.raises(InputError) as caught:
        drawn(material="pvc", feed_mm_s=5.0)
    assert caught.value.code is Fault.MATERIAL_FORBIDDEN


def test_a_material_without_settings_needs_a_feed() -> None:
    """Nothing is made up; with one it is told what was taken."""
    with pytest.raises(InputError) as caught:
        drawn(material="pom")
    assert caught.value.code is Fault.FEED_NEEDED
    found = drawn(material="pom", feed_mm_s=5.0)
    assert [f.code for f in found.findings] == [Remark.MATERIAL_DISPUTED, Remark.SETTING_BY_DEFAULT]
    assert found.ladder.feeds_mm_s[RUNGS // 2] == 5.0


def test_a_strip_that_is_too_long_is_refused() -> None:
    """With both sizes."""
    with pytest.raises(InputError) as caught:
        drawn(laser=replace(LASER, bed_mm=(100.0, 100.0)))
    assert (caught.value.code, caught.value.facts["size"]) == (Fault.PART_TOO_LARGE, "140 x 35")
