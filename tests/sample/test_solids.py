"""The printed parts of the sample project: closed, of the right volume, and fitting each other."""

import math

import pytest
from manifold3d import CrossSection, Manifold

from tests.sample import solids
from tests.sample.solids import FIT, HOLE_SIDES, SIDES, round_share

MADE = {
    "louvre_plate": solids.louvre_plate,
    "louvre_roof": solids.louvre_roof,
    "funnel": solids.funnel,
    "sensor_cradle": solids.sensor_cradle,
    "foot": solids.foot,
    "front_panel": solids.front_panel,
}


def round_mm3(radius: float, height: float, sides: int = HOLE_SIDES) -> float:
    """Volume of a prism over a regular polygon."""
    return round_share(sides) * math.pi * radius**2 * height


def revolved_mm3(profile: tuple[tuple[float, float], ...]) -> float:
    """Volume of a half section turned around the axis, by Pappus, for a body of `SIDES` facets.

    Area times centroid radius of a polygon is its first moment: sum of (x1 y2 - x2 y1)(x1 + x2) / 6.
    """
    pairs = zip(profile, profile[1:] + profile[:1], strict=True)
    moment = sum((x1 * y2 - x2 * y1) * (x1 + x2) / 6 for (x1, y1), (x2, y2) in pairs)
    return 2 * math.pi * moment * round_share(SIDES)


@pytest.mark.parametrize("name", MADE)
def test_is_one_closed_body_on_the_bed(name: str) -> None:
    """Each part is one closed body that rests on z = 0 and fits a bed of 220 x 220 x 250 mm."""
    body = MADE[name]()
    x0, y0, z0, x1, y1, z1 = body.bounding_box()
    assert len(body.decompose()) == 1
    assert 3 * body.num_tri() == 2 * body.num_edge()
    assert z0 == 0
    assert max(x1 - x0, y1 - y0) <= 220
    assert z1 <= 250


@pytest.mark.parametrize(
    ("name", "handles"),
    [
        ("louvre_plate", 4),
        ("louvre_roof", 5),
        ("funnel", 4),
        ("sensor_cradle", 8),
        ("foot", 1),
        ("front_panel", 2),
    ],
)
def test_has_as_many_through_holes_as_drawn(name: str, handles: int) -> None:
    """The genus counts openings: bore and rods; rods and hangers; mouth; windows and screws; button."""
    assert MADE[name]().genus() == handles


def test_louvre_has_the_volume_of_its_section() -> None:
    """A plate is a revolved section and three lugs, less three rod holes: a closed form."""
    lug = round_mm3(4.5, 12.0) - round_mm3(FIT.rod_hole / 2, 14.4)
    wanted = revolved_mm3(solids.louvre_profile(FIT.screen_bore)) + 3 * lug
    assert solids.louvre_plate().volume() == pytest.approx(wanted, rel=1e-5)


def test_roof_is_a_plate_with_its_bore_closed() -> None:
    """The roof adds the disc over the bore and loses the two hanger holes."""
    disc = round_mm3(FIT.screen_bore, 2.4, SIDES)
    wanted = solids.louvre_plate().volume() + disc - 2 * round_mm3(FIT.hanger_hole / 2, 2.4)
    assert solids.louvre_roof().volume() == pytest.approx(wanted, rel=1e-5)


def test_foot_is_a_frustum_with_a_stepped_hole() -> None:
    """Frustum pi h (R2 + R r + r2) / 3, less a hole 17 deep and a recess 8 deep."""
    frustum = round_share(SIDES) * math.pi * 25.0 * (15.0**2 + 15.0 * 12.0 + 12.0**2) / 3
    wanted = frustum - round_mm3(FIT.rod_hole / 2, 17.0) - round_mm3(4.25, 8.0)
    assert solids.foot().volume() == pytest.approx(wanted, rel=1e-5)


def test_front_panel_is_a_plate_with_bosses_and_ribs() -> None:
    """A box, less window and button; two ribs; four bored bosses: a closed form."""
    plate = 120 * 80 * 3 - 60 * 28 * 3 - round_mm3(6.0, 3.0)
    wanted = plate + 2 * 84 * 2 * 6 + 4 * (round_mm3(4.0, 10.0) - round_mm3(1.25, 10.0))
    assert solids.front_panel().volume() == pytest.approx(wanted, rel=1e-6)


def test_funnel_catches_rain_on_200_square_centimetres() -> None:
    """The mouth has the area of a Hellmann gauge, 200 cm2 (common practice, from memory)."""
    mouth = solids.funnel().slice(10.0).to_polygons()
    areas = [abs(_area(polygon.tolist())) for polygon in mouth]
    assert min(areas) == pytest.approx(20_000, rel=1e-5)


def test_funnel_wall_is_everywhere_as_thick_as_its_rim() -> None:
    """Rim, cone and spigot are 1.8 mm thick, measured square to the wall."""
    body = Manifold.revolve(CrossSection([list(solids.funnel_profile())]), circular_segments=SIDES)
    assert body.volume() == pytest.approx(revolved_mm3(solids.funnel_profile()), rel=1e-5)
    for height, lean in ((10.0, 90), (75.0, 50), (125.0, 90)):
        outer, inner = _radii(body, height)
        assert (outer - inner) * math.sin(math.radians(lean)) == pytest.approx(1.8, abs=1e-3)


def test_cradle_passes_through_the_bore_of_the_screen() -> None:
    """The corners of the cradle's foot stay 1 mm clear of the louvre plates around it."""
    x0, y0, _, x1, y1, _ = solids.sensor_cradle().bounding_box()
    assert math.hypot(x1 - x0, y1 - y0) / 2 < FIT.screen_bore - 1


def test_nested_plates_do_not_touch_but_shade_each_other() -> None:
    """Stacked on their lugs, plates meet at the lugs alone, and no level ray passes between them."""
    plate = solids.louvre_plate()
    pitch = 14.4
    above = plate.translate((0.0, 0.0, pitch))
    assert (plate ^ above).volume() == pytest.approx(0, abs=1e-6)
    assert plate.bounding_box()[5] > pitch + 2.4


def _area(polygon: list[tuple[float, float]]) -> float:
    pairs = zip(polygon, polygon[1:] + polygon[:1], strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs) / 2


def _radii(body: Manifold, height: float) -> tuple[float, float]:
    """Outer and inner radius of a round body's section."""
    loops = body.slice(height).to_polygons()
    radii = sorted(max(math.hypot(x, y) for x, y in loop.tolist()) for loop in loops)
    return radii[1], radii[0]
