"""Parts of our own for tests of plates: made by code, in mm."""

from collections.abc import Callable, Sequence

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, Manifold, OpType

from fabsched.model.shapes import Mesh
from tests.estimate.bodies import knot, of_manifold, sphere

SIDES = 64
CORNERS = ((12.0, 12.0), (138.0, 12.0), (12.0, 70.0), (138.0, 70.0))


def bar(x: float, y: float, z: float, at: Sequence[float] = (0.0, 0.0, 0.0)) -> Manifold:
    """A box with its lowest corner at a place."""
    return Manifold.cube((x, y, z)).translate(tuple(at))


def rod(radius: float, height: float, at: Sequence[float]) -> Manifold:
    """An upright cylinder with the middle of its foot at a place."""
    return Manifold.cylinder(height, radius, radius, SIDES).translate(tuple(at))


def united(bodies: Sequence[Manifold]) -> Manifold:
    """All of them together."""
    return Manifold.batch_boolean(list(bodies), OpType.Add)


def composite_body() -> Manifold:
    """A plate with four bored bosses, two ribs, holes, a slot and a side wall with a window."""
    whole = [bar(150, 90, 3), *(rod(4, 10, (x, y, 3)) for x, y in CORNERS)]
    whole += [bar(100, 2, 8, (25, 45, 3)), bar(2, 50, 8, (75, 20, 3)), bar(150, 3, 30, (0, 87, 3))]
    cuts = [rod(1.25, 20, (x, y, -2)) for x, y in CORNERS]
    cuts += [rod(6, 20, (x, 28, -5)) for x in (40, 100, 130)]
    cuts += [bar(20, 10, 10, (100, 60, -3)), bar(30, 10, 12, (60, 82, 15))]
    return united(whole) - united(cuts)


def composite() -> Mesh:
    """See `composite_body`."""
    return of_manifold(composite_body())


def open_box() -> Mesh:
    """A box without a lid, 120 x 80 x 50, walls of 3."""
    return of_manifold(bar(120, 80, 50) - bar(114, 74, 50, (3, 3, 3)))


def divided_box() -> Manifold:
    """The box with three walls in it that cross and stand on its floor."""
    box = bar(120, 80, 50) - bar(114, 74, 50, (3, 3, 3))
    walls = [bar(3, 74, 47, (40, 3, 3)), bar(3, 74, 47, (80, 3, 3)), bar(114, 3, 40, (3, 40, 3))]
    return united([box, *walls])


def tilted() -> Mesh:
    """The composite, turned every way."""
    return of_manifold(composite_body().rotate((33.0, 21.0, 57.0)).translate((10, -20, 30)))


def double_sided() -> Mesh:
    """A plate of 4 with bosses above and feet below, one foot right under a boss."""
    whole = [bar(120, 80, 4)]
    whole += [rod(5, 12, (x, y, 4)) for x, y in ((15, 15), (105, 15), (60, 65))]
    whole += [bar(14, 14, 10, (x, y, -10)) for x, y in ((8, 8), (98, 58), (8, 58))]
    return of_manifold(united(whole))


def countersunk() -> Mesh:
    """A plate of 3 with four countersunk holes and two flat blocks."""
    whole = [bar(100, 70, 3), bar(20, 12, 9, (20, 30, 3)), bar(20, 12, 9, (60, 30, 3))]
    spots = ((10, 10), (90, 10), (10, 60), (90, 60))
    cuts = [rod(1.7, 10, (x, y, -2)) for x, y in spots]
    cuts += [Manifold.cylinder(2.5, 1.7, 4.2, SIDES).translate((x, y, 0.5)) for x, y in spots]
    return of_manifold(united(whole) - united(cuts))


def latticed() -> Mesh:
    """A plate of 3 with a fine lattice standing on it, and four bosses."""
    whole = [
        bar(100, 80, 3),
        *(rod(5, 10, (x, y, 3)) for x, y in ((9, 9), (91, 9), (9, 71), (91, 71))),
    ]
    whole += [bar(60, 0.8, 5, (20, y, 3)) for y in (20, 30, 40, 50, 60)]
    whole += [bar(0.8, 60, 5, (x, 10, 3)) for x in (20, 35, 50, 65, 79)]
    return of_manifold(united(whole))


def bracket() -> Mesh:
    """Two plates of 3 at a right angle with a thick gusset in the corner."""
    gusset = CrossSection([[(0, 0), (25, 0), (0, 25)]], FillRule.Positive).extrude(10)
    gusset = gusset.rotate((90, 0, 90)).translate((35, 3, 3))
    return of_manifold(united([bar(80, 60, 3), bar(80, 3, 60), gusset]))


def drafted() -> Mesh:
    """A plate of 3 with sloping sides."""
    square = CrossSection([[(-40, -30), (40, -30), (40, 30), (-40, 30)]], FillRule.Positive)
    return of_manifold(square.extrude(3, scale_top=(0.93, 0.93)))


def thinner() -> Mesh:
    """A plate of 2.8 with two blocks."""
    return of_manifold(
        united([bar(90, 60, 2.8), bar(12, 12, 8, (10, 20, 2.8)), bar(12, 12, 8, (60, 20, 2.8))])
    )


def ball() -> Mesh:
    """A sphere."""
    return sphere(30.0)


def tangled() -> Mesh:
    """A knot of 20 thousand triangles."""
    return knot(20_000)


def block() -> Mesh:
    """Too thick for any sheet."""
    return of_manifold(bar(60, 60, 20))


def hexagon() -> Mesh:
    """A tube of six walls of 3 with a floor; the walls meet at 120 degrees."""
    inner = 40.0 - 3.0 / np.cos(np.pi / 6)
    tube = Manifold.cylinder(60, 40, 40, 6)
    hollow = Manifold.cylinder(62, inner, inner, 6).translate((0, 0, 3))
    return of_manifold(tube - hollow)


def leaning_on_block(degrees: float = 60.0) -> Mesh:
    """A plate of 3 that leans on a thick block at an angle, its end buried in it."""
    lean = bar(60, 60, 3).rotate((degrees, 0, 0)).translate((15, 30, -5))
    upper = Manifold.cube((400, 400, 400)).translate((-200, -200, -1))
    return of_manifold(united([bar(90, 100, 20, (0, 0, -20)), lean ^ upper]))


def triangle(wide: float, deep: float) -> Mesh:
    """Walls of 3 mm, 60 mm high, around a triangle with a right angle."""
    around = CrossSection([np.array([(0.0, 0.0), (wide, 0.0), (0.0, deep)])])
    inside = around.offset(-3.0, JoinType.Miter, 10.0)
    return of_manifold((around - inside).extrude(60.0))


def chamfered() -> Mesh:
    """A plate of 3 with a chamfer of 1.5 along one edge; its lower end lies half-way up."""
    return of_manifold(bar(80, 60, 3) - bar(100, 3, 3).rotate((45, 0, 0)).translate((-5, 0, 1.5)))


def wedge(degrees: float, thick_mm: float = 3.0) -> Mesh:
    """A slab 150 x 90 whose upper face leans; it is as thick as told at its thin end."""
    rise = 150.0 * float(np.tan(np.radians(degrees)))
    ends = ((0.0, thick_mm), (150.0, thick_mm + rise))
    points = [(x, y, z) for x, high in ends for y in (0.0, 90.0) for z in (0.0, high)]
    return of_manifold(Manifold.hull_points(points))


def pocketed() -> Mesh:
    """A plate of 3 with a shallow hollow, a blind hole and a hole all through."""
    cuts = [bar(20, 20, 1, (10, 10, 2)), rod(2, 2, (50, 30, 1.2)), rod(2, 9, (60, 50, -1))]
    return of_manifold(bar(80, 60, 3) - united(cuts))


def bridged() -> Mesh:
    """A plate of 3 cut into two by a slot, a block bridging it without a step at the slot's top."""
    return of_manifold(
        united([bar(100, 70, 3), bar(20, 70, 10, (40, 0, 3))]) - bar(6, 90, 3, (47, -5, 0))
    )


def stacked(
    foot_mm: float = 10.0, side_mm: float = 14.0, bore_mm: float = 0.0, boss_mm: float = 12.0
) -> Mesh:
    """A plate of 4 with a boss of radius 5 right above a square foot; the boss may be bored."""
    half = 0.5 * side_mm
    whole = [bar(80, 60, 4), rod(5, boss_mm, (30, 30, 4))]
    whole += [bar(side_mm, side_mm, foot_mm, (30 - half, 30 - half, -foot_mm))]
    body = united(whole)
    return of_manifold(body - rod(bore_mm, 10, (30, 30, 4)) if bore_mm else body)


SHEETS_MM = (3.0, 4.0)


def fine_composite(edge_mm: float = 1.4) -> Mesh:
    """The composite with its faces broken into many triangles."""
    return of_manifold(composite_body().refine_to_length(edge_mm))


def volume_mm3(mesh: Mesh) -> float:
    """Volume with the origin in the middle, which loses fewer digits."""
    return Mesh(mesh.vertices - np.mean(mesh.vertices, axis=0), mesh.faces).volume_mm3


def grille() -> Mesh:
    """A plate of 3 that is mostly slots with webs of 0.6 between."""
    slots = [bar(60, 3, 9, (10, 8 + 3.6 * i, -3)) for i in range(12)]
    return of_manifold(bar(80, 60, 3) - united(slots))


def leaning() -> Mesh:
    """A plate of 3 with another that leans on it at 60 degrees, from below its underside."""
    lean = bar(60, 50, 3).rotate((60, 0, 0)).translate((10, 30, 0))
    half = Manifold.cube((400, 400, 400)).translate((-200, -200, 0))
    return of_manifold(united([bar(90, 80, 3), lean ^ half]))


WITH_PLATES: dict[str, Callable[[], Mesh]] = {
    "composite": composite,
    "open box": open_box,
    "tilted": tilted,
    "double-sided": double_sided,
    "latticed": latticed,
    "bracket": bracket,
    "hexagon": hexagon,
    "leaning": leaning,
    "leaning on a block": leaning_on_block,
    "bridged": bridged,
    "stacked": stacked,
}
WITHOUT: dict[str, Callable[[], Mesh]] = {"ball": ball, "knot": tangled, "block": block}
