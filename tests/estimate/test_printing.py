"""The whole estimate of a print: bounds no print can beat, closed forms, invariances."""

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.estimate.layers import BREAKDOWN
from fabsched.estimate.learning import PRINT_PRIOR
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.rough import rough_print
from fabsched.model.errors import Cancelled, Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Remark
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build, Motion
from tests.estimate import bodies

PRINTER = bodies.printer()
CUBE = bodies.box(40, 40, 40)


def estimate(mesh: Mesh, build: Build | None = None, motion: Motion | None = None) -> Estimate:
    """Estimate a print in PLA."""
    return estimate_print(mesh, bodies.printer(build, motion), bodies.PLA, where="part")


def seconds(mesh: Mesh, build: Build | None = None, motion: Motion | None = None) -> float:
    """The P50 of a print in PLA."""
    return estimate(mesh, build, motion).seconds.likely


def codes(found: Estimate) -> set[Remark]:
    """What was remarked."""
    return {finding.code for finding in found.findings}


def test_every_field_of_a_cube() -> None:
    """A cube of 40 mm has the fields its closed forms say."""
    printer = replace(PRINTER, heat_s=180.0, cool_s=300.0, cost_hour=0.5)
    got = estimate_print(CUBE, printer, bodies.PLA, where="cube.stl")
    assert (got.route, got.machine, got.stock) == (Route.PRINT, "printer", "PLA")
    assert got.footprint_mm == pytest.approx((40, 40))
    assert got.height_mm == pytest.approx(40)
    assert got.layers == 200
    assert got.volume_mm3 == pytest.approx(64_000)
    assert got.contact_mm2 == pytest.approx(1600)
    assert got.support_mm3 == 0.0
    assert got.smallest_mm == pytest.approx(40)
    assert sorted(got.silhouette_mm) == [(0, 0), (0, 40), (40, 0), (40, 40)]
    assert (got.cut_mm, got.pierces, got.findings) == (None, None, ())
    assert got.breakdown_s["heating"] == 180.0
    assert got.breakdown_s["cooling"] == 300.0
    assert got.warp is not None
    assert got.warp.span_mm == pytest.approx(40 * math.sqrt(2))
    assert got.mass_g is not None
    assert got.cost == pytest.approx(got.mass_g * 0.02 + got.seconds.likely / 3600 * 0.5)


@pytest.mark.parametrize(
    "mesh", [CUBE, bodies.sphere(15, 4), bodies.knot(4_000), bodies.torus(20, 5, 48)]
)
def test_breakdown_adds_up(mesh: Mesh) -> None:
    """The parts of the time are not negative and add up to the P50, between P10 and P90."""
    got = estimate(mesh)
    assert tuple(got.breakdown_s) == BREAKDOWN
    assert min(got.breakdown_s.values()) >= 0.0
    assert sum(got.breakdown_s.values()) == pytest.approx(got.seconds.likely, rel=1e-12)
    assert got.seconds.high / got.seconds.likely == pytest.approx(PRINT_PRIOR)
    assert got.seconds.likely / got.seconds.low == pytest.approx(PRINT_PRIOR)


@pytest.mark.parametrize(
    ("density", "metres"), [(1.24, 335.3), (1.27, 327.4), (1.04, 399.8), (1.07, 388.6)]
)
def test_metres_per_kilogram(density: float, metres: float) -> None:
    """A kilogram of 1.75 mm filament is 1000 / (density pi d^2 / 4) metres long.

    335.3 m for PLA, 327.4 m PETG, 399.8 m ABS, 388.6 m ASA: computed from the densities of
    24kjx.com.cn/news/915-en and, for PLA, from memory.
    """
    filament = replace(bodies.PLA, density_g_cm3=density)
    got = estimate_print(CUBE, PRINTER, filament, where="part")
    assert got.filament_mm is not None
    assert got.mass_g is not None
    assert got.filament_mm / got.mass_g == pytest.approx(metres, abs=0.05)


def test_solid_weighs_its_volume() -> None:
    """Filled to the full, a block weighs its volume times its density: 64 cm^3 are 79.36 g."""
    assert estimate(CUBE, Build(infill=1.0)).mass_g == pytest.approx(79.36, rel=1e-9)


def test_hollow_weighs_its_walls() -> None:
    """Without infill a cube weighs its walls and skins, a closed form.

    Walls of 3 x 0.45 mm leave 37.3 x 37.3 mm inside, of which four layers above and four below are
    solid: 40^3 - 37.3^2 (40 - 1.6) mm^3.
    """
    shell_mm3 = 40**3 - 37.3**2 * (40 - 1.6)
    got = estimate(CUBE, Build(infill=0.0))
    assert got.mass_g == pytest.approx(shell_mm3 * 1.24e-3, rel=1e-3)


def test_mass_follows_density() -> None:
    """Twice the density is twice the mass of the same plastic in the same time."""
    once = estimate(CUBE)
    heavy = replace(bodies.PLA, density_g_cm3=2.48)
    twice = estimate_print(CUBE, PRINTER, heavy, where="part")
    assert once.mass_g is not None
    assert twice.mass_g == pytest.approx(2 * once.mass_g, rel=1e-12)
    assert twice.seconds == once.seconds


@pytest.mark.parametrize("flow", [1.0, 4.0, 12.0])
def test_never_faster_than_the_melt(flow: float) -> None:
    """No print takes less time than melting its plastic, and a slow nozzle comes close to that."""
    got = estimate(CUBE, motion=Motion(flow_mm3_s=flow))
    assert got.mass_g is not None
    melting_s = got.mass_g / 1.24e-3 / flow
    assert got.seconds.likely >= melting_s
    if flow == 1.0:
        assert got.seconds.likely <= 1.15 * melting_s


def test_slow_material_takes_longer() -> None:
    """A filament that allows a third of the flow cannot be laid faster than that."""
    soft = replace(bodies.PLA, flow_share=0.3)
    got = estimate_print(CUBE, PRINTER, soft, where="part")
    assert got.mass_g is not None
    assert got.seconds.likely >= got.mass_g / 1.24e-3 / (0.3 * 12.0)


@pytest.mark.parametrize("mesh", [bodies.knot(4_000), bodies.box(31, 17, 9)])
def test_place_does_not_matter(mesh: Mesh) -> None:
    """Moved anywhere, a part takes the same time, up to rounding."""
    away = bodies.moved(mesh, -312.5, 77.25, 1003.5)
    assert seconds(away) == pytest.approx(seconds(mesh), rel=1e-3)


@pytest.mark.parametrize("mesh", [bodies.knot(4_000), bodies.box(31, 17, 9), bodies.cone(9, 9)])
def test_quarter_turns_hardly_matter(mesh: Mesh) -> None:
    """Turned by 90 degrees a part takes the same time within 1 %, as its lines swap directions."""
    build = Build(support=0.0)
    assert seconds(bodies.turned(mesh, 90), build) == pytest.approx(seconds(mesh, build), rel=0.01)


def test_inside_out_is_the_same() -> None:
    """A part whose surface faces inwards takes the same time."""
    mesh = bodies.sphere(9, 3)
    assert seconds(bodies.flipped(mesh)) == pytest.approx(seconds(mesh), rel=1e-9)


def test_same_twice() -> None:
    """The same part gives the same estimate, bit for bit."""
    assert estimate(bodies.knot(4_000)) == estimate(bodies.knot(4_000))


@pytest.mark.parametrize(
    "field",
    ["wall_mm_s", "inner_mm_s", "solid_mm_s", "sparse_mm_s", "travel_mm_s", "first_layer_mm_s"],
)
def test_slower_takes_longer(field: str) -> None:
    """Halving any speed makes a print longer."""
    motion = Motion(flow_mm3_s=99.0)
    slow = replace(motion, **{field: getattr(motion, field) / 2})
    assert seconds(CUBE, motion=slow) > seconds(CUBE, motion=motion)


@settings(max_examples=8)
@given(st.floats(500, 9000), st.floats(1.1, 3))
def test_stronger_is_never_slower(accel: float, more: float) -> None:
    """More acceleration never costs time."""
    mesh = bodies.sphere(6, 2)
    weak = Motion(wall_mm_s2=accel, print_mm_s2=accel, travel_mm_s2=accel)
    strong = Motion(wall_mm_s2=accel * more, print_mm_s2=accel * more, travel_mm_s2=accel * more)
    build = Build(layer_s=0.0)
    assert seconds(mesh, build, strong) <= seconds(mesh, build, weak)


def test_bounded_curves_take_longer() -> None:
    """A bound on curves slows a thin pin down, and hardly a block."""
    hasty = replace(bodies.PLA, layer_s=0.0)
    pin, block = bodies.cylinder(1.2, 3), bodies.box(40, 40, 3)
    free, bound = (
        bodies.printer(Build(layer_s=0.0), Motion(curve_mm_s2=curve)) for curve in (0.0, 1000.0)
    )

    def ratio(mesh: Mesh) -> float:
        slow, fast = (
            estimate_print(mesh, p, hasty, where="part").seconds.likely for p in (bound, free)
        )
        return slow / fast

    assert ratio(pin) > 1.3
    assert 1.0 <= ratio(block) < 1.03


def test_small_layers_wait() -> None:
    """Ten layers of a tiny tower take the least time for a layer each, or as long as slowing lasts.

    At 10 mm/s, the slowest, the ten layers of a 10 mm square need more than 8 s each.
    """
    got = estimate(bodies.box(10, 10, 2))
    assert got.breakdown_s["slowing"] > 0
    assert got.seconds.likely == pytest.approx(80.0, rel=1e-6)
    filament = replace(bodies.PLA, layer_s=10.0)
    slower = estimate_print(bodies.box(10, 10, 2), PRINTER, filament, where="part")
    assert slower.seconds.likely == pytest.approx(100.0, rel=1e-6)


def test_support_costs_time_and_plastic() -> None:
    """A part with an overhang takes longer with support, by the plastic of its share.

    Each wing is 12 mm wide, which is four lines at 0.45 mm / 15 % = 3 mm.
    """
    tee = bodies.joined(bodies.box(12, 20, 20, (12, 0, 0)), bodies.box(36, 20, 3, (0, 0, 20)))
    bare, held = estimate(tee, Build(support=0.0)), estimate(tee)
    assert held.support_mm3 == pytest.approx(2 * 12 * 20 * 20, rel=1e-2)
    assert held.breakdown_s["support"] > 0.0
    assert bare.breakdown_s["support"] == 0.0
    assert held.mass_g is not None
    assert bare.mass_g is not None
    plastic_mm3 = (held.mass_g - bare.mass_g) / 1.24e-3
    assert plastic_mm3 == pytest.approx(0.15 * 9600, rel=0.03)
    assert Remark.NEEDS_SUPPORT in codes(held)


def test_gaps_between_beads_are_filled() -> None:
    """A wall of 1.2 mm holds two beads of 0.45 mm; the quarter left open still costs its plastic.

    Area share of the gap: (1.2 - 2 * 0.45) / 1.2 = 25 %.
    """
    frame = [bodies.rectangle(40, 40), bodies.rectangle(37.6, 37.6, (1.2, 1.2))[::-1]]
    got = estimate(bodies.prism(frame, 6), Build(layer_s=0.0), Motion(first_layer_mm_s=90.0))
    volume = (1600 - 37.6**2) * 6
    assert got.mass_g == pytest.approx(volume * 1.24e-3, rel=1e-6)
    gap_mm = 0.25 * volume / (0.45 * 0.2)
    assert got.breakdown_s["gaps"] == pytest.approx(gap_mm / 90.0, rel=1e-3)


def test_thin_walls_are_told() -> None:
    """A sheet thinner than a bead is remarked on, with the share of layers, and still costs."""
    got = estimate(bodies.box(30, 0.3, 10))
    (finding,) = [f for f in got.findings if f.code == Remark.THIN_WALLS]
    assert finding.facts == {"width": 0.3, "bead": 0.45, "share": "100%"}
    assert got.smallest_mm == pytest.approx(0.3, rel=1e-6)
    assert got.mass_g == pytest.approx(30 * 0.3 * 10 * 1.24e-3, rel=1e-6)
    assert got.breakdown_s["gaps"] > 0


def test_a_needle_is_told_and_tips_are_not() -> None:
    """However small the sections of a pin thinner than a bead are, they are lost; a cone only ends."""
    (finding,) = [f for f in estimate(bodies.box(0.1, 0.1, 20)).findings if f.code == "thin-walls"]
    assert finding.facts == {"width": 0.1, "bead": 0.45, "share": "100%"}
    assert Remark.THIN_WALLS not in codes(estimate(bodies.cone(10, 20)))


def test_overlapping_shells_are_told_and_count_once() -> None:
    """Two boxes through each other weigh their union."""
    pair = bodies.joined(bodies.box(30, 10, 10), bodies.box(30, 10, 10, (20, 0, 0)))
    got, plain = estimate(pair), estimate(bodies.box(50, 10, 10))
    assert Remark.SHELLS_OVERLAP in codes(got)
    assert got.volume_mm3 == pytest.approx(5000)
    assert got.mass_g == pytest.approx(plain.mass_g, rel=1e-3)
    assert got.seconds.likely == pytest.approx(plain.seconds.likely, rel=1e-2)


def test_shells_that_face_inwards_and_overlap_are_told() -> None:
    """A hollow that reaches out of its body counts as solid there, and that is said."""
    hollow = bodies.flipped(bodies.box(20, 4, 4, (20, 3, 3)))
    got = estimate(bodies.joined(bodies.box(30, 10, 10), hollow))
    assert Remark.SHELLS_OVERLAP in codes(got)
    assert got.volume_mm3 == pytest.approx(3000, rel=0.01)
    inner = bodies.flipped(bodies.box(10, 4, 4, (10, 3, 3)))
    within = estimate(bodies.joined(bodies.box(30, 10, 10), inner))
    assert Remark.SHELLS_OVERLAP not in codes(within)


def test_open_mesh_is_told() -> None:
    """A missing triangle is remarked on with its open edges and hardly changes the time."""
    whole = bodies.sphere(12, 3)
    got = estimate(Mesh(whole.vertices, whole.faces[7:]))
    (finding,) = [f for f in got.findings if f.code == Remark.MESH_OPEN]
    assert int(finding.facts["gaps"]) >= 3
    assert got.seconds.likely == pytest.approx(seconds(whole), rel=0.02)


def test_ball_touches_little() -> None:
    """A ball stands on a spot of pi (2 r 0.1) mm^2, the section of the first layer's middle."""
    got = estimate(bodies.sphere(25, 6))
    assert got.contact_mm2 == pytest.approx(math.pi * (2 * 25 * 0.1 - 0.01), rel=0.02)
    assert Remark.TINY_CONTACT in codes(got)


def test_too_large() -> None:
    """A part larger than the bed is refused with its name."""
    with pytest.raises(InputError) as caught:
        estimate(bodies.box(300, 300, 5))
    assert caught.value.code == Fault.PART_TOO_LARGE


def test_too_small() -> None:
    """What is smaller than a bead in all directions is refused; a pin a bead wide is not."""
    with pytest.raises(InputError) as caught:
        estimate(bodies.box(0.03, 0.4, 0.4))
    assert (caught.value.code, caught.value.facts["low"]) == (Fault.SIZE_ABSURD, 0.45)
    assert estimate(bodies.box(0.46, 0.46, 0.46)).seconds.likely > 0


def test_nothing_to_print() -> None:
    """A flat sheet of triangles has no volume and is refused."""
    flat = Mesh(np.array([[0.0, 0, 0], [9, 0, 0], [0, 9, 0]]), np.array([[0, 1, 2]], np.int32))
    with pytest.raises(InputError) as caught:
        estimate(flat)
    assert caught.value.code == Fault.NO_VOLUME


def test_thinner_than_the_first_layer() -> None:
    """A foil thinner than half a layer is printed as one layer."""
    got = estimate(bodies.box(20, 20, 0.05))
    assert got.layers == 1
    assert got.volume_mm3 == pytest.approx(20 * 20 * 0.2)
    (finding,) = [f for f in got.findings if f.code == Remark.UNEVEN_HEIGHT]
    assert finding.facts == {"count": 1, "drawn": 0.05, "printed": 0.2}
    assert Remark.UNEVEN_HEIGHT not in codes(estimate(bodies.box(20, 20, 4.1)))


def test_progress_rises_and_stopping_stops() -> None:
    """The watch hears rising shares of each stage, and the computation ends when it says so."""

    class Listening:
        def __init__(self, most: int) -> None:
            self.heard: list[tuple[str, float]] = []
            self.most = most

        def report(self, done: float, stage: str) -> None:
            self.heard.append((stage, done))

        def stopped(self) -> bool:
            return len(self.heard) > self.most

    watch = Listening(999)
    estimate_print(bodies.sphere(20, 3), PRINTER, bodies.PLA, where="part", watch=watch)
    assert [stage for stage, _ in watch.heard] == sorted(
        (stage for stage, _ in watch.heard), reverse=True
    )
    assert {stage for stage, _ in watch.heard} == {"sections", "paths"}
    paths = [done for stage, done in watch.heard if stage == "paths"]
    assert paths == sorted(paths)
    assert paths[-1] == 1.0
    with pytest.raises(Cancelled):
        estimate_print(CUBE, PRINTER, bodies.PLA, where="part", watch=Listening(2))


SHAPES = [
    CUBE,
    bodies.cylinder(15, 40),
    bodies.sphere(25, 4),
    bodies.torus(30, 8, 64),
    bodies.cone(20, 40),
    bodies.box(150, 100, 3),
    bodies.prism([bodies.rectangle(90, 60), bodies.rectangle(86, 56, (2, 2))[::-1]], 30),
    bodies.prism([bodies.circle(30), bodies.circle(28.8)[::-1]], 40),
    bodies.joined(*(bodies.box(3, 3, 12, (6.0 * i, 0, 0)) for i in range(9))),
    bodies.joined(
        *(
            bodies.moved(bodies.cylinder(1.5, 6, 32), 6 * i, 6 * j, 0)
            for i in range(6)
            for j in range(6)
        )
    ),
    bodies.box(5, 5, 60),
    bodies.joined(*(bodies.box(60, 1, 10, (0, 10 * i, 0)) for i in range(5))),
    bodies.flipped(bodies.joined(bodies.box(12, 20, 20), bodies.box(36, 20, 3, (0, 0, 20)))),
    bodies.knot(8_000),
]
"""Solid, thin, flat, tall, hollow, scattered, overhanging and inside-out ones."""


def test_rough_guess_is_near() -> None:
    """The instant guess holds the simulation between its P10 and P90 for every one of our shapes.

    Eight of ten are to be expected of P10 to P90; the factors were fitted on some of these.
    """
    for mesh in SHAPES:
        guess = rough_print(mesh, PRINTER, bodies.PLA)
        assert guess.low <= seconds(mesh) <= guess.high


def test_rough_guess_of_a_block() -> None:
    """For a block the guess lies within a tenth, wherever it is."""
    away = bodies.moved(CUBE, 500, -500, 30)
    guess = rough_print(away, PRINTER, bodies.PLA)
    assert guess.likely == pytest.approx(seconds(CUBE), rel=0.1)


def test_rough_guess_needs_no_compiler() -> None:
    """The instant guess is light: importing it brings in neither numba nor the polygon library."""
    code = (
        "import sys, fabsched.estimate.rough;"
        "sys.exit(any(name in sys.modules for name in ('numba', 'manifold3d', 'trimesh')))"
    )
    command = [sys.executable, "-c", code]
    assert subprocess.run(command, check=False).returncode == 0  # noqa: S603 - our own text
