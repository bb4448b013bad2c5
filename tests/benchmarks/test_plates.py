"""How long it takes to find the plates of a part and to take it apart."""

from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.splitting import split
from tests.advise import bodies
from tests.advise.test_making import ACRYLIC


def test_finding_plates_in_many_triangles(benchmark: BenchmarkFixture) -> None:
    """The composite with its faces broken into more than 100 thousand triangles."""
    mesh = bodies.fine_composite()
    assert len(mesh.faces) > 100_000
    found = benchmark(find_plates, mesh, bodies.SHEETS_MM)
    assert len(found.slabs) == 2


def test_splitting_the_composite(benchmark: BenchmarkFixture) -> None:
    """Base and side wall cut out, everything joined up."""
    mesh = bodies.composite()
    slabs = find_plates(mesh, bodies.SHEETS_MM).slabs
    assert len(benchmark(split, mesh, slabs).pieces) == 5


def test_how_far_a_plate_gives(benchmark: BenchmarkFixture) -> None:
    """The base of the composite on its four screws, pressed all over, with advice on bosses."""
    mesh = bodies.composite()
    apart = split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs[:1])
    (give,) = benchmark(gives, apart, {3.0: ACRYLIC}, Press())
    assert give.worst.sag_mm > 0.5
