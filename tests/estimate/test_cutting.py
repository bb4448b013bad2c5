"""Laser times against closed forms, and what every path must keep to."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.cut_order import in_order
from fabsched.estimate.cut_regions import (
    area_mm2,
    beside_kerf,
    shadow,
    thinnest_web_mm,
)
from fabsched.estimate.cut_rings import depths_of, parents_of
from fabsched.estimate.cut_settings import SCORE_MM, cut_speeds
from fabsched.estimate.cutting import estimate_cut
from fabsched.estimate.engraving import PITCH_MM
from fabsched.files.materials_toml import sheet_materials
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Remark
from fabsched.model.materials import CutSetting, Cutting, SheetMaterial
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline
from fabsched.model.shop import Laser, Sheet
from fabsched.model.spread import Spread
from fabsched.session.noticed import say

LASER = Laser(id="laser", name="Laser", place="here", bed_mm=(600, 400))
SETTING = CutSetting(
    thickness_mm=3.0,
    power_w=60.0,
    feed_mm_s=Spread(8, 10, 20),
    pierce_s=0.3,
    passes=1,
    kerf_mm=0.2,
)
SHEET = SheetMaterial(id="sheet", cutting=Cutting.ALLOWED, settings=(SETTING,))
SHIPPED = {material.id: material for material in sheet_materials([], "shop.toml")}


def ring(*points: tuple[float, float], operation: Operation = Operation.CUT) -> Outline:
    """A closed outline."""
    return Outline(np.array(points, dtype=np.float64), closed=True, operation=operation)


def box(
    x: float, y: float, wide: float, high: float, operation: Operation = Operation.CUT
) -> Outline:
    """A rectangle."""
    corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
    return ring(*corners, operation=operation)


def circle(x: float, y: float, radius: float, count: int = 360) -> Outline:
    """A circle of many chords."""
    turn = np.arange(count) * math.tau / count
    points = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
    return Outline(points, closed=True)


def estimate(
    *outlines: Outline,
    material: SheetMaterial = SHEET,
    laser: Laser = LASER,
    thickness_mm: float = 3.0,
    turns_deg: Sequence[float] = (),
) -> Estimate:
    """The estimate of a drawing."""
    drawing = Drawing(outlines)
    return estimate_cut(
        drawing, laser, material, thickness_mm, where="lid.svg", turns_deg=turns_deg
    )


def tuned(**changes: object) -> SheetMaterial:
    """The sheet with another setting."""
    return replace(SHEET, settings=(replace(SETTING, **changes),))  # type: ignore[arg-type]  # names of its fields


# Times


@pytest.mark.parametrize("feed", [10.0, 60.0, 200.0])
def test_a_rectangle_takes_the_time_of_its_closed_form(feed: float) -> None:
    """Four sides, three corners of ninety degrees, from standstill to standstill.

    Each side is a trapezoid of speed: (v - v0) / a + (v - v1) / a + the rest at v. The corner is
    taken at sqrt(a r), r = d sin(45) / (1 - sin(45)) (Kunz & Stilman, RSS VIII, 2012; both forms
    are written out here again).
    """
    laser = replace(LASER, travel_mm_s=1000.0)
    material = tuned(feed_mm_s=Spread.exactly(feed), pierce_s=0.0)
    half = math.sin(math.pi / 4)
    corner = min(feed, math.sqrt(laser.accel_mm_s2 * laser.corner_mm * half / (1 - half)))
    sides = (
        (80.2, 0.0, corner),
        (50.2, corner, corner),
        (80.2, corner, corner),
        (50.2, corner, 0.0),
    )
    wanted = 0.0
    for length, entry, leave in sides:
        ramps = (2 * feed**2 - entry**2 - leave**2) / (2 * laser.accel_mm_s2)
        assert ramps < length  # every side is long enough to reach the feed
        wanted += (2 * feed - entry - leave) / laser.accel_mm_s2 + (length - ramps) / feed
    found = estimate(box(7, 9, 80, 50), material=material, laser=laser)
    assert found.seconds.likely == pytest.approx(wanted, rel=1e-6)
    assert found.breakdown_s == pytest.approx({"cutting": wanted})


def test_slow_feeds_are_length_over_speed_and_fast_ones_are_not() -> None:
    """What the planner adds to length over feed for a plate with 60 holes grows with the feed.

    At 10 mm/s it is hardly anything, at 200 mm/s more than a tenth (no published source).
    """
    holes = [circle(20 + 15 * i, 20 + 15 * j, 2, 60) for i in range(10) for j in range(6)]
    added = []
    for feed in (10.0, 60.0, 200.0):
        material = tuned(feed_mm_s=Spread.exactly(feed))
        found = estimate(box(0, 0, 180, 120), *holes, material=material)
        assert found.cut_mm is not None
        added.append(found.breakdown_s["cutting"] * feed / found.cut_mm - 1)
    assert 0 <= added[0] < added[1] < added[2]
    assert added[0] < 0.01
    assert added[2] > 0.1


def test_an_engraved_area_takes_the_time_of_its_lines() -> None:
    """Every line speeds up beside the area, crosses it at full speed and brakes again.

    n lines of w / v + 2 v / a each, and a tenth of a millimetre to the next one.
    """
    found = estimate(box(0, 0, 60, 20, Operation.ENGRAVE))
    v, a = LASER.travel_mm_s, LASER.accel_mm_s2
    lines = 20 / PITCH_MM
    between = 2 * math.sqrt(PITCH_MM / a)
    wanted = lines * (60 / v + 2 * v / a + between) - between
    assert found.breakdown_s["engraving"] == pytest.approx(wanted, rel=1e-6)
    assert found.cut_mm == 0
    assert found.pierces == 0


def test_a_hole_in_an_engraved_area_is_crossed() -> None:
    """The head goes over it with the beam off, so that it takes no less time."""
    full = estimate(box(0, 0, 60, 20, Operation.ENGRAVE))
    frame = estimate(box(0, 0, 60, 20, Operation.ENGRAVE), box(20, 5, 20, 10, Operation.ENGRAVE))
    assert frame.breakdown_s["engraving"] == pytest.approx(full.breakdown_s["engraving"])


def test_scored_lines_have_a_speed_of_their_own() -> None:
    """As deep as `SCORE_MM` instead of right through, at the same energy per area."""
    found = estimate(box(0, 0, 100, 50, Operation.SCORE))
    speed = SETTING.feed_mm_s.likely * 3.0 / SCORE_MM
    assert found.breakdown_s["scoring"] == pytest.approx(300 / speed, rel=0.1)
    assert [f.code for f in found.findings] == [Remark.SETTING_BY_DEFAULT]


def test_the_breakdown_adds_up_and_the_feed_gives_the_spread() -> None:
    """P50 is the sum of its parts; the highest feed gives P10, the lowest P90."""
    found = estimate(
        box(0, 0, 90, 60),
        circle(30, 30, 10),
        box(50, 10, 30, 10, Operation.SCORE),
        box(50, 30, 30, 10, Operation.ENGRAVE),
    )
    assert found.seconds.likely == pytest.approx(sum(found.breakdown_s.values()))
    assert set(found.breakdown_s) == {"cutting", "piercing", "scoring", "engraving", "travel"}
    assert found.seconds.low < found.seconds.likely < found.seconds.high
    assert found.cut_mm is not None
    assert found.seconds.high > found.cut_mm / SETTING.feed_mm_s.low
    assert found.route is Route.CUT


@given(st.integers(1, 6), st.integers(1, 12))
def test_every_pass_pierces_every_outline(passes: int, count: int) -> None:
    """And the length is run over as often, while it is told once."""
    holes = [circle(20 + 15 * i, 20, 3, 24) for i in range(count)]
    once = estimate(*holes)
    found = estimate(*holes, material=tuned(passes=passes))
    assert found.pierces == passes * count
    assert found.breakdown_s["piercing"] == pytest.approx(0.3 * passes * count)
    assert found.breakdown_s["cutting"] == pytest.approx(passes * once.breakdown_s["cutting"])
    assert found.cut_mm == once.cut_mm


def test_an_open_cut_is_run_over_forth_and_back() -> None:
    """Passes of an open line need no way back."""
    slit = Outline(np.array([[0.0, 0.0], [50.0, 0.0]]), closed=False)
    found = estimate(slit, material=tuned(passes=3))
    assert "travel" not in found.breakdown_s
    assert found.cut_mm == 50


# Kerf


def test_the_path_runs_half_a_kerf_beside_the_outline() -> None:
    """Cut on its line, 40 mm would come out as 39.8 outside and 40.2 inside (identity of the kerf).

    So the path is 40.2 outside and 39.8 inside, and a part in the hole of another one is outside
    again.
    """
    paths = (box(0, 0, 40, 40), box(50, 0, 60, 60), box(60, 10, 40, 40), box(70, 20, 20, 20))
    sides = [float(np.ptp(path.points_mm[:, 0])) for path in beside_kerf(paths, 0.2)]
    assert sides == pytest.approx([40.2, 60.2, 39.8, 20.2])


@given(st.floats(1, 50), st.floats(0.05, 0.5))
def test_circles_keep_their_shape_beside_the_kerf(radius: float, kerf: float) -> None:
    """Radius plus half the kerf outside, minus half the kerf inside."""
    outer, inner = beside_kerf((circle(0, 0, 2 * radius), circle(0, 0, radius)), kerf)
    for path, wanted in ((outer, 2 * radius + kerf / 2), (inner, radius - kerf / 2)):
        assert np.linalg.norm(path.points_mm, axis=1) == pytest.approx(
            wanted, abs=2e-4 * radius + 2e-4
        )


def test_what_is_narrower_than_the_kerf_stays_on_its_line() -> None:
    """A slot of a tenth of a millimetre is one cut; an open cut is what it is."""
    slot, slit = box(10, 10, 20, 0.1), Outline(np.array([[5.0, 5.0], [9.0, 5.0]]), closed=False)
    moved = beside_kerf((box(0, 0, 40, 40), slot, slit), 0.2)
    assert moved[1:] == (slot, slit)


# Order


@st.composite
def nested_boxes(draw: st.DrawFn) -> list[Outline]:
    """Rectangles inside rectangles and beside them, in any order."""
    found: list[Outline] = []

    def fill(x: float, y: float, side: float, depth: int) -> None:
        found.append(box(x, y, side, side))
        if depth and side > 8:
            half = side / 2
            for i in range(2):
                for j in range(2):
                    if draw(st.booleans()):
                        fill(x + i * half + 1, y + j * half + 1, half - 2, depth - 1)

    for k in range(draw(st.integers(1, 3))):
        fill(120.0 * k, 0.0, 100.0, 3)
    return draw(st.permutations(found))


def _within(inner: Outline, outer: Outline) -> bool:
    """Whether one box lies inside another."""
    low, high = outer.points_mm.min(axis=0), outer.points_mm.max(axis=0)
    return bool((inner.points_mm > low).all() and (inner.points_mm < high).all())


@given(nested_boxes())
def test_everything_is_cut_before_what_lies_around_it(paths: list[Outline]) -> None:
    """And every path exactly once, whole, from one point back to it."""
    strokes = in_order(paths, np.zeros(2))
    place = {stroke.path: k for k, stroke in enumerate(strokes)}
    assert sorted(place) == list(range(len(paths)))
    for i, inner in enumerate(paths):
        depth = sum(_within(inner, outer) for outer in paths)
        assert depths_of(parents_of(paths))[i] == depth
        for j, outer in enumerate(paths):
            if _within(inner, outer):
                assert place[i] < place[j]
    for stroke in strokes:
        run = np.linalg.norm(np.diff(stroke.points_mm, axis=0), axis=1).sum()
        assert run == pytest.approx(paths[stroke.path].length_mm)
        assert np.array_equal(stroke.points_mm[0], stroke.points_mm[-1])


def test_the_nearest_comes_next() -> None:
    """A row of holes is cut along the row, each entered on the side where the head comes from."""
    row = [box(20.0 * k, 0, 10, 10) for k in (3, 0, 2, 4, 1)]
    strokes = in_order(row, np.array([-5.0, 0.0]))
    assert [stroke.path for stroke in strokes] == [1, 4, 2, 0, 3]
    assert all(stroke.points_mm[0, 0] == row[stroke.path].points_mm[0, 0] for stroke in strokes)


def test_open_lines_are_entered_at_their_nearer_end() -> None:
    """And left at the other."""
    lines = [Outline(np.array([[50.0, y], [0.0, y]]), closed=False) for y in (0.0, 5.0)]
    starts = [tuple(stroke.points_mm[0]) for stroke in in_order(lines, np.zeros(2))]
    assert starts == [(0, 0), (50, 5)]


# Materials


def test_the_energy_per_area_carries_over_to_other_sheets() -> None:
    """P / (t v) stays, so half the power or twice the thickness halves the feed."""
    energy = 60 / (3 * 10)
    for power, thickness in ((60, 6), (30, 3), (80, 4), (100, 1.5)):
        laser = replace(LASER, power_w=power)
        speeds = cut_speeds(laser, SHEET, thickness, where="lid.svg")
        assert power / (thickness * speeds.feed_mm_s.likely) == pytest.approx(energy)
        (guess,) = speeds.findings
        assert guess.code is Remark.FIRST_GUESS
        assert (guess.facts["thickness"], guess.facts["power"]) == ("3", "60")


def test_a_known_thickness_is_taken_as_it_is() -> None:
    """The nearest one in share is used; a tenth of a millimetre is what sheets vary by."""
    for thickness in (3.0, 2.9, 3.1):
        speeds = cut_speeds(LASER, SHEET, thickness, where="lid.svg")
        assert (speeds.feed_mm_s, speeds.findings) == (SETTING.feed_mm_s, ())
    two = replace(SHEET, settings=(SETTING, replace(SETTING, thickness_mm=6.0, kerf_mm=0.3)))
    assert cut_speeds(LASER, two, 5.0, where="lid.svg").kerf_mm == 0.3
    assert cut_speeds(LASER, two, 4.0, where="lid.svg").kerf_mm == 0.2


def test_the_own_test_cut_goes_before_what_was_read() -> None:
    """For its thickness, and as the start of a first guess where no thickness is known."""
    own = replace(
        SETTING, feed_mm_s=Spread.exactly(7.0), source="own test cut", measured=date(2026, 11, 25)
    )
    read = replace(SETTING, thickness_mm=6.0, feed_mm_s=Spread.exactly(5.0))
    both = replace(SHEET, settings=(SETTING, read, own))
    speeds = cut_speeds(LASER, both, 3.0, where="lid.svg")
    assert (speeds.feed_mm_s.likely, speeds.measured) == (7.0, date(2026, 11, 25))
    assert cut_speeds(LASER, both, 6.0, where="lid.svg").feed_mm_s.likely == 5.0
    guess = cut_speeds(LASER, both, 5.0, where="lid.svg")
    assert guess.feed_mm_s.likely == pytest.approx(7.0 * 3 / 5)
    assert guess.measured is None
    assert guess.findings[0].facts["source"] == "own test cut"


def test_of_two_settings_of_a_thickness_the_nearer_power_counts() -> None:
    """Each laser of a shop keeps its own."""
    strong = replace(SETTING, power_w=120.0, feed_mm_s=Spread.exactly(18.0))
    both = replace(SHEET, settings=(strong, SETTING))
    for power, feed in ((60.0, 10.0), (120.0, 18.0)):
        speeds = cut_speeds(replace(LASER, power_w=power), both, 3.0, where="lid.svg")
        assert (speeds.feed_mm_s.likely, speeds.findings) == (feed, ())


def test_no_cut_is_faster_than_the_machine() -> None:
    """Whatever the energy would allow."""
    speeds = cut_speeds(replace(LASER, power_w=6000.0), SHEET, 1.0, where="lid.svg")
    assert speeds.feed_mm_s == Spread.exactly(LASER.travel_mm_s)


@pytest.mark.parametrize(
    ("material", "share", "low", "high"),
    # J/mm^2, computed from the rows of the same course slide by hand: share of 60 W / (t v).
    [("acrylic", 0.70, 0.87, 1.50), ("plywood", 0.75, 0.78, 1.33), ("mdf", 0.65, 0.60, 0.93)],
)
def test_shipped_feeds_keep_to_their_source(
    material: str, share: float, low: float, high: float
) -> None:
    """The middle of the power over the middle of the feeds lies within the span of the source.

    Acrylic also lies in 1 to 3 J/mm^2 of Steen & Mazumder's table of severance energies (from
    memory), average 1.2.
    """
    setting = next(s for s in SHIPPED[material].settings if s.thickness_mm == 3.0)
    energy = share * setting.power_w / (3.0 * setting.feed_mm_s.likely)
    assert low < energy < high
    if material == "acrylic":
        assert energy == pytest.approx(1.2, rel=0.1)


@pytest.mark.parametrize(
    "material",
    # University of Texas at Austin, "Prohibited Laser Cutter Materials", x-p.nu and CMU IDeATe.
    [
        *("pvc", "artificial_leather", "abs", "polycarbonate", "petg", "hdpe", "polystyrene"),
        *("ptfe", "polystyrene_foam", "polypropylene_foam", "fibreglass", "carbon_fibre"),
        *("chloroprene", "glass_mirror"),
    ],
)
def test_forbidden_materials_are_refused_with_their_reason(material: str) -> None:
    """Nothing is estimated for what must never go under a laser."""
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 9, 9), material=SHIPPED[material])
    assert caught.value.code is Fault.MATERIAL_FORBIDDEN
    assert caught.value.facts["reason"]


def test_a_disputed_material_is_told() -> None:
    """Once the shop has a setting for it; the shop's own list decides."""
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 9, 9), material=SHIPPED["pom"])
    assert caught.value.code is Fault.DISPUTED_UNSET
    assert "the workshop's own list" in say(caught.value)
    assert "field" not in say(caught.value)
    allowed = replace(SHIPPED["pom"], settings=(SETTING,))
    found = estimate(box(0, 0, 9, 9), material=allowed)
    assert [f.code for f in found.findings] == [Remark.MATERIAL_DISPUTED]


def test_of_an_allowed_material_without_settings_it_is_told_what_to_do() -> None:
    """A material of the shop's own that nobody has cut yet asks for a test cut, not for a list."""
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 9, 9), material=replace(SHEET, settings=()))
    assert caught.value.code is Fault.CUT_UNKNOWN
    assert caught.value.where == "lid.svg"
    assert "test cut" in say(caught.value)


@pytest.mark.parametrize("thickness_mm", [0.0, -3.0, math.nan, math.inf])
def test_a_thickness_is_above_nothing(thickness_mm: float) -> None:
    """Anything else is refused."""
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 9, 9), thickness_mm=thickness_mm)
    assert caught.value.code is Fault.FIELD_OUT_OF_RANGE


# Fit, shadow, webs, cost


def test_a_part_must_fit_the_bed_with_its_kerf() -> None:
    """A quarter turn is allowed."""
    assert estimate(box(0, 0, 399.8, 599.8)).footprint_mm == pytest.approx((399.8, 599.8))
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 399.9, 599.8))
    assert caught.value.code is Fault.PART_TOO_LARGE
    assert caught.value.facts["bed"] == "600 x 400"


def test_a_drawing_with_nothing_to_do_is_refused() -> None:
    """Only ignored outlines."""
    with pytest.raises(InputError) as caught:
        estimate(box(0, 0, 9, 9, Operation.IGNORE))
    assert caught.value.code is Fault.NO_OUTLINES


def test_the_shadow_is_the_outer_border() -> None:
    """Holes are filled, and the border of a concave part stays concave."""
    corner = ring((0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50))
    border = shadow([circle(10, 10, 5), corner])
    assert area_mm2(border) == pytest.approx(60 * 20 + 20 * 30)


def test_pieces_apart_share_one_shadow() -> None:
    """They are cut in one place, so nothing else may lie between them."""
    border = shadow([box(0, 0, 10, 10), box(40, 0, 10, 10)])
    assert area_mm2(border) == pytest.approx(500)


def test_open_paths_cast_a_shadow_as_if_closed() -> None:
    """Three sides of a square beside a whole one that owns the fourth."""
    rest = Outline(np.array([[20.0, 20], [40, 20], [40, 0], [20, 0]]), closed=False)
    border = shadow([box(0, 0, 20, 20), rest])
    assert area_mm2(border) == pytest.approx(800, rel=0.01)


def shapes_with_web(web: float) -> dict[str, Sequence[Outline]]:
    """Parts whose thinnest web has the given width."""
    neck = ((0, 0), (20, 0), (20, 10), (40, 10), (40, 0), (60, 0), (60, 30), (40, 30))
    back = ((40, 10 + web), (20, 10 + web), (20, 30), (0, 30))
    return {
        "hole and edge": (box(0, 0, 60, 40), circle(web + 8, 20, 8)),
        "two holes": (box(0, 0, 60, 40), box(10, 10, 10, 10), box(20 + web, 10, 10, 10)),
        "two corners": (
            box(0, 0, 90, 90),
            box(10, 10, 10, 10),
            box(20 + web / math.sqrt(2), 20 + web / math.sqrt(2), 10, 10),
        ),
        "neck": (ring(*neck, *back),),
    }


@pytest.mark.parametrize("name", shapes_with_web(1.0))
@pytest.mark.parametrize("web", [0.3, 1.0, 2.5])
def test_thin_webs_are_measured(name: str, web: float) -> None:
    """Between a hole and the edge, two holes, two corners, and where the part narrows."""
    found = thinnest_web_mm(shapes_with_web(web)[name], 3.0)
    assert found == pytest.approx(web, abs=0.03)


@pytest.mark.parametrize("name", shapes_with_web(1.0))
def test_wide_webs_are_no_concern(name: str) -> None:
    """As wide as the limit is wide enough."""
    assert thinnest_web_mm(shapes_with_web(3.0)[name], 3.0) is None


def test_slender_ends_are_no_webs() -> None:
    """A tab of a millimetre holds nothing together."""
    tab = ring((0, 0), (30, 0), (30, 20), (16, 20), (16, 25), (15, 25), (15, 20), (0, 20))
    assert thinnest_web_mm((tab,), 3.0) is None


def test_a_web_thinner_than_the_sheet_is_told() -> None:
    """With both figures."""
    found = estimate(*shapes_with_web(1.0)["neck"])
    (finding,) = found.findings
    assert finding.code is Remark.WEB_TOO_THIN
    assert finding.facts["web"] == pytest.approx(1.0, abs=0.03)
    assert finding.facts["limit"] == 3.0


def test_the_cost_is_hours_and_a_share_of_the_sheet() -> None:
    """Without any price it is unknown, not nothing."""
    drawing = Drawing((box(0, 0, 100, 50),))
    sheet = Sheet(id="s", material="sheet", thickness_mm=3, size_mm=(200, 100), cost=8.0)
    laser = replace(LASER, cost_hour=36.0)
    found = estimate_cut(drawing, laser, SHEET, 3.0, where="lid.svg", sheet=sheet)
    assert estimate(box(0, 0, 100, 50)).cost is None
    assert found.cost == pytest.approx(found.seconds.likely * 0.01 + 8.0 / 4)
