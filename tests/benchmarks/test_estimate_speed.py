"""How fast prints are estimated. Run with `pytest tests/benchmarks --benchmark-only`.

The bars stand with each: ratios to general libraries and memory are asserted, as they hold on any
machine; seconds are only shown, since they depend on it (two cores of 2024 were meant).
"""

import subprocess
import sys
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold
from manifold3d import Mesh as Solid
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.estimate.motion import plan_moves
from fabsched.estimate.placing import place
from fabsched.estimate.planes import Planes, planes_for
from fabsched.estimate.poses import poses
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.rough import rough_print
from fabsched.estimate.sections import _prepare, section_mesh
from fabsched.estimate.slicing import Chains, chain_band
from fabsched.estimate.support import support_of
from fabsched.estimate.warm import warm_kernels
from fabsched.files.parts import read_part
from fabsched.files.stl import write_stl
from fabsched.model.progress import UNWATCHED
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies

FRESH = """
import re, sys
from pathlib import Path
from fabsched.estimate.printing import estimate_print
from fabsched.files.parts import read_part
from fabsched.model.shop import Filament, Printer
printer = Printer(id="printer", name="Printer", place="home", bed_mm=(220.0, 220.0, 250.0))
mesh, _ = read_part(Path(sys.argv[1]))
estimate_print(mesh, printer, Filament(id="PLA", density_g_cm3=1.24), where="part")
status = Path("/proc/self/status")  # counts from the start of the program, not of its parent
peak = re.search("VmHWM:\\s+(\\d+)", status.read_text()) if status.exists() else None
print(int(peak[1]) / 1024 if peak else 0.0)
"""
"""Reads and estimates a file, and prints the peak of its memory in MB; 0 where it is not known."""
MILLION = 1_000_000


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    """Compile before anything is timed."""
    warm_kernels()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with knots of 100 thousand and a million triangles as binary STL."""
    made = tmp_path_factory.mktemp("knots")
    for triangles in (100_000, MILLION):
        write_stl(made / f"{triangles}.stl", outward(triangles))
    return made


def outward(triangles: int) -> Mesh:
    """A knot whose surface looks outwards."""
    return place(bodies.knot(triangles), "part").mesh


@pytest.mark.parametrize("triangles", [10_000, 100_000, MILLION])
def test_whole_estimate(benchmark: BenchmarkFixture, triangles: int) -> None:
    """A knot with 245 layers, from mesh to estimate; at most 0.6 s for 100 thousand triangles."""
    mesh, printer = bodies.knot(triangles), bodies.printer()
    got = benchmark(estimate_print, mesh, printer, bodies.PLA, where="part")
    assert (got.layers or 0) > 240


@pytest.mark.parametrize("triangles", [100_000, MILLION])
def test_whole_estimate_from_a_file(
    benchmark: BenchmarkFixture, folder: Path, triangles: int
) -> None:
    """The same with reading and mending; at most 1.2 s for a million triangles."""

    def estimate() -> int:
        mesh, findings = read_part(folder / f"{triangles}.stl")
        assert findings == ()
        assert isinstance(mesh, Mesh)
        found = estimate_print(mesh, bodies.printer(), bodies.PLA, where="part")
        return found.layers or 0

    assert benchmark(estimate) > 240


def fresh(path: Path) -> float:
    """Read and estimate a file in a new process; returns the peak of its memory in MB."""
    command = [sys.executable, "-c", FRESH, str(path)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603 - ours
    return float(done.stdout)


def test_fresh_process(benchmark: BenchmarkFixture, folder: Path) -> None:
    """100 thousand triangles in a new process, kernels from the cache on disk: at most 2 s."""
    pedantic: Any = benchmark.pedantic  # the library has no types
    pedantic(fresh, (folder / "100000.stl",), rounds=3)


def test_memory(benchmark: BenchmarkFixture, folder: Path) -> None:
    """A million triangles, read and estimated, never take more than 400 MB."""
    pedantic: Any = benchmark.pedantic  # the library has no types
    peak = pedantic(fresh, (folder / f"{MILLION}.stl",), rounds=1)
    benchmark.extra_info["peak_mb"] = round(peak)
    assert peak < 400.0


def sliced(mesh: Mesh, planes: Planes) -> Chains:
    """All sections of a mesh as stored segments, chained to polygons."""
    ready, _ = _prepare(mesh, planes)
    return chain_band(ready, 0, len(planes))


def least_s(benchmark: BenchmarkFixture) -> float:
    """The least time of what has just been timed."""
    stats: Any = benchmark.stats  # the library has no types
    return float(stats.stats.min)


def peer_s(benchmark: BenchmarkFixture, name: str, bar: float, seconds: float) -> None:
    """Enter how many times slower a peer was than ours in the same run, and hold the bar."""
    times = seconds / least_s(benchmark)
    benchmark.extra_info[name] = f"{seconds:.3f} s, {times:.0f} times as long"
    assert times >= bar


def test_slicing_against_trimesh(benchmark: BenchmarkFixture) -> None:
    """Slicing to stored segments: a hundredth of trimesh's `section_multiplane` or less."""
    mesh = outward(100_000)
    planes = planes_for(mesh.size_mm[2], Build())
    benchmark(sliced, mesh, planes)
    body = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    begin = perf_counter()
    found = body.section_multiplane((0, 0, 0), (0, 0, 1), planes.middle_mm)
    peer_s(benchmark, "trimesh", 100.0, perf_counter() - begin)
    assert len(found) == len(planes)


def test_slicing_against_manifold(benchmark: BenchmarkFixture) -> None:
    """Slicing a million triangles to polygons: a third of manifold3d's `slice` or less.

    What manifold3d takes to make a solid of the mesh first is not counted; ours needs none.
    """
    mesh = outward(MILLION)
    planes = planes_for(mesh.size_mm[2], Build())
    chains = benchmark(sliced, mesh, planes)
    solid = Manifold(Solid(mesh.vertices.astype(np.float32), mesh.faces.astype(np.uint32)))
    spent: list[float] = []
    loops = 0
    for _ in range(3):
        begin = perf_counter()
        loops = sum(solid.slice(float(z)).num_contour() for z in planes.middle_mm)
        spent.append(perf_counter() - begin)
    peer_s(benchmark, "manifold3d", 3.0, min(spent))
    assert loops == pytest.approx(chains.plane.size, rel=0.01)


def test_sections(benchmark: BenchmarkFixture) -> None:
    """Slicing, chaining, simplifying and uniting alone."""
    placed = place(bodies.knot(100_000), "part")
    planes = planes_for(placed.size_mm[2], Build())
    benchmark(section_mesh, placed.mesh, planes, "part", UNWATCHED)


def test_support(benchmark: BenchmarkFixture) -> None:
    """Finding the support of one pose."""
    benchmark(support_of, place(bodies.knot(100_000), "part"), Build())


def test_poses(benchmark: BenchmarkFixture) -> None:
    """All poses of a knot judged, six of them simulated."""
    mesh, printer = bodies.knot(100_000), bodies.printer()
    pedantic: Any = benchmark.pedantic  # the library has no types
    pedantic(poses, (mesh, printer, bodies.PLA), {"where": "part"}, rounds=2, warmup_rounds=1)


def test_rough(benchmark: BenchmarkFixture) -> None:
    """The instant guess: about 2 ms for 100 thousand triangles."""
    benchmark(rough_print, bodies.knot(100_000), bodies.printer(), bodies.PLA)


def test_planner(benchmark: BenchmarkFixture) -> None:
    """A million moves of a winding path: at least 15 million moves a second."""
    chance = np.random.default_rng(1)
    angle = np.cumsum(chance.normal(0.0, 0.3, MILLION))
    length = chance.uniform(0.1, 3.0, MILLION)
    x = np.concatenate([np.zeros(1), np.cumsum(length * np.cos(angle))])
    y = np.concatenate([np.zeros(1), np.cumsum(length * np.sin(angle))])
    speed, accel = np.full(MILLION, 100.0), np.full(MILLION, 3000.0)
    stop, seconds = np.zeros(MILLION, np.uint8), np.empty(MILLION)
    benchmark(plan_moves, x, y, speed, accel, stop, 0.02, seconds)
    benchmark.extra_info["million_moves_s"] = round(1.0 / least_s(benchmark), 1)
