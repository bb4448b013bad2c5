"""The printed parts of the sample project, made from a few lengths.

Every part is given in the pose it is printed in, resting on z = 0. Where one part meets another
(rods, screws, the opening in the screen) both take the length from `Fit`.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from manifold3d import CrossSection, Manifold

SIDES = 96
"""Facets of every round body: the sagitta of a 120 mm circle stays below 0.04 mm."""

HOLE_SIDES = 48
"""Facets of holes and bosses."""

WALL = 1.8
"""Wall of the funnel, in mm: four beads of 0.45."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Lengths that two parts share, in mm.

    Attributes:
        rod_hole: clearance hole for an M4 threaded rod or screw.
        screen_circle: radius on which the three rods of the screen stand.
        funnel_circle: radius on which the three rods of the funnel stand.
        hanger: distance of the two screws that hang the cradle under the roof.
        hanger_hole: clearance hole for an M3 screw.
        screen_bore: radius of the opening inside the louvre plates.
        catch_mm2: opening of the rain gauge; 200 cm2 is the usual size of a Hellmann gauge
            (common practice, from memory).
    """

    rod_hole: float = 4.3
    screen_circle: float = 29.0
    funnel_circle: float = 88.0
    hanger: float = 12.0
    hanger_hole: float = 3.4
    screen_bore: float = 24.0
    catch_mm2: float = 20_000.0


FIT = Fit()

PANEL_BOSSES: tuple[Point, ...] = ((-52.0, -32.0), (52.0, -32.0), (52.0, 32.0), (-52.0, 32.0))
"""Middles of the bosses behind the front panel."""


def round_share(sides: int) -> float:
    """Area of a regular polygon over the area of the circle around it: n sin(2 pi / n) / (2 pi)."""
    return sides * math.sin(2 * math.pi / sides) / (2 * math.pi)


def around(radius: float, start_deg: float = 90.0, count: int = 3) -> tuple[Point, ...]:
    """Points evenly spaced on a circle around the origin."""
    angles = (math.radians(start_deg + 360.0 * k / count) for k in range(count))
    return tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)


def pin(centre: Point, diameter: float, bottom: float, top: float) -> Manifold:
    """An upright cylinder, standing for a boss or, subtracted, for a hole."""
    body = Manifold.cylinder(top - bottom, diameter / 2, circular_segments=HOLE_SIDES)
    return body.translate((*centre, bottom))


def drilled(body: Manifold, centres: Iterable[Point], diameter: float) -> Manifold:
    """A body with upright holes all the way through."""
    _, _, low, _, _, high = body.bounding_box()
    for centre in centres:
        body -= pin(centre, diameter, low - 1, high + 1)
    return body


def revolved(profile: Sequence[Point]) -> Manifold:
    """A round body from its half section, given as (radius, height) corners anticlockwise."""
    return Manifold.revolve(CrossSection([list(profile)]), circular_segments=SIDES)


def louvre_profile(inner: float) -> tuple[Point, ...]:
    """Half section of a louvre: a flat ring 2.4 thick whose rim flares up by 14 mm in 16.

    The flare leans 41 degrees from the upright, so it prints without support.
    """
    return (
        (inner, 0.0),
        (36.0, 0.0),
        (50.0, 16.0),
        (50.0, 18.4),
        (47.9, 18.4),
        (33.9, 2.4),
        (inner, 2.4),
    )


def _on_lugs(ring: Manifold) -> Manifold:
    """A louvre with three lugs that keep it 12 mm off the next one, drilled for the rods."""
    rods = around(FIT.screen_circle)
    for rod in rods:
        ring += pin(rod, 9.0, 1.2, 14.4)
    return drilled(ring, rods, FIT.rod_hole)


def louvre_plate() -> Manifold:
    """One plate of the screen, printed upside down: ring, flared rim and three lugs."""
    return _on_lugs(revolved(louvre_profile(FIT.screen_bore)))


def louvre_roof() -> Manifold:
    """The top plate: closed in the middle, with two holes to hang the cradle from."""
    half = FIT.hanger / 2
    roof = _on_lugs(revolved(louvre_profile(0.0)))
    return drilled(roof, ((-half, 0.0), (half, 0.0)), FIT.hanger_hole)


def catch_radius() -> float:
    """Radius of the funnel's mouth, such that the facetted mouth has exactly the wanted area."""
    return math.sqrt(FIT.catch_mm2 / (math.pi * round_share(SIDES)))


def funnel_profile(wall: float = WALL) -> tuple[Point, ...]:
    """Half section of the funnel, mouth down: a rim 25 high, a 50 degree cone, a spigot 20 long."""
    mouth, spigot, slope = catch_radius(), 5.0, math.tan(math.radians(50))
    apart = wall / math.sin(math.radians(50))
    neck = 25.0 + (mouth - spigot) * slope
    shoulder = neck + (spigot + apart - (spigot + wall)) * slope
    hip = 25.0 + (apart - wall) * slope
    return (
        (mouth, 0.0),
        (mouth + wall, 0.0),
        (mouth + wall, hip),
        (spigot + wall, shoulder),
        (spigot + wall, neck + 20.0),
        (spigot, neck + 20.0),
        (spigot, neck),
        (mouth, 25.0),
    )


def _ears(circle: float, reach: float, thickness: float) -> Manifold:
    """Three flat lugs that reach from the radius `reach` around the rods on `circle`."""
    ears = []
    for rod in around(circle, start_deg=30.0):
        root = (rod[0] * reach / circle, rod[1] * reach / circle)
        ends = [pin(rod, 14.0, 0.0, thickness), pin(root, 22.0, 0.0, thickness)]
        ears.append(Manifold.batch_hull(ends))
    mouth = Manifold.cylinder(3 * thickness, catch_radius(), circular_segments=SIDES)
    return Manifold.compose(ears) - mouth.translate((0.0, 0.0, -thickness))


def funnel() -> Manifold:
    """The rain gauge's funnel, printed mouth down, with three lugs on its rim."""
    body = revolved(funnel_profile()) + _ears(FIT.funnel_circle, 78.0, 6.0)
    return drilled(body, around(FIT.funnel_circle, start_deg=30.0), FIT.rod_hole)


def box(x: Point, y: Point, z: Point) -> Manifold:
    """A block between two corners."""
    size = (x[1] - x[0], y[1] - y[0], z[1] - z[0])
    return Manifold.cube(size).translate((x[0], y[0], z[0]))


def _cheek(side: int) -> Manifold:
    """One upright of the cradle, with a slot for the edge of a board and three windows.

    The windows stand on a corner, so that they print without support.
    """
    inside, outside = sorted((side * 15.0, side * 20.0))
    cheek = box((inside, outside), (-5.0, 5.0), (3.0, 50.0))
    edge = sorted((side * 14.0, side * 17.0))
    cheek -= box((edge[0], edge[1]), (-0.9, 0.9), (8.0, 51.0))
    for height in (16.0, 28.0, 40.0):
        window = Manifold.cylinder(60.0, 3.0, circular_segments=4, center=True)
        window = window.rotate((0.0, 90.0, 0.0))
        cheek -= window.translate((0.0, 0.0, height))
    return cheek


def sensor_cradle() -> Manifold:
    """Holds the sensor board upright in the screen: a foot with four bosses and two cheeks."""
    half = FIT.hanger / 2
    cradle = box((-20.0, 20.0), (-11.0, 11.0), (0.0, 3.0)) + _cheek(-1) + _cheek(1)
    bosses = [(x, y) for x in (-11.0, 11.0) for y in (-7.2, 7.2)]
    for boss in bosses:
        cradle += pin(boss, 6.6, 3.0, 9.0)
    cradle = drilled(cradle, ((-half, 0.0), (half, 0.0)), FIT.hanger_hole)
    for boss in bosses:
        cradle -= pin(boss, 2.5, 1.0, 10.0)
    return cradle


def front_panel() -> Manifold:
    """120 x 80 mm in front of the display, printed face down: a window, a hole for a button, two ribs.

    Four bosses, 10 high and bored for M3, carry the display's board. The panel is as thick as the
    acrylic the shop has in stock, so that it could as well be cut.
    """
    panel = box((-60.0, 60.0), (-40.0, 40.0), (0.0, 3.0))
    for side in (-1, 1):
        low, high = sorted((side * 32.0, side * 34.0))
        panel += box((-42.0, 42.0), (low, high), (3.0, 9.0))
    for boss in PANEL_BOSSES:
        panel += pin(boss, 8.0, 3.0, 13.0) - pin(boss, 2.5, 3.0, 14.0)
    panel -= box((-42.0, 18.0), (-14.0, 14.0), (-1.0, 4.0))
    return panel - pin((38.0, 0.0), 12.0, -1.0, 4.0)


def foot() -> Manifold:
    """A foot 25 high, printed upside down, with a recess for the head of its M4 screw."""
    body = Manifold.cylinder(25.0, 12.0, 15.0, circular_segments=SIDES)
    recess = pin((0.0, 0.0), 8.5, 17.0, 26.0)
    return drilled(body, ((0.0, 0.0),), FIT.rod_hole) - recess
