"""How long it takes to find the plates of a part and to take it apart."""

import pickle
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.splitting import split
from fabsched.session.compare_request import compare_request
from fabsched.session.project_session import Session
from fabsched.session.way_records import ShownWay
from fabsched.session.ways import WaysRequest, ways_request
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


NOW = datetime(2027, 3, 5, 17, tzinfo=UTC)
"""Friday evening of the sample's weekend."""


class Until:
    """Notes the processor time at which the first way is told."""

    def __init__(self) -> None:
        """Nothing was told."""
        self.first_s: float | None = None

    def report(self, done: float, stage: str) -> None:
        """Ignore it."""

    def stopped(self) -> bool:
        """Never."""
        return False

    def enough(self) -> bool:
        """Never."""
        return False

    def tell(self, what: object) -> None:
        """Note the first way."""
        if self.first_s is None and isinstance(what, ShownWay):
            self.first_s = time.process_time()


@pytest.fixture(scope="module")
def asked(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> WaysRequest:
    """The comparison of the sample's front panel, everything estimated."""
    folder = Path(shutil.copytree(sample, tmp_path_factory.mktemp("sample") / "station"))
    session = Session.open(folder)
    for request in session.estimate_requests():
        session.accept(request.run())
    return ways_request(compare_request(session, "front_panel", NOW))


@pytest.mark.benchmark(timer=time.process_time)
def test_comparing_a_part_of_the_sample(benchmark: BenchmarkFixture, asked: WaysRequest) -> None:
    """Processor time for all ways to make the front panel; the first of them is a part of it."""

    def compare() -> float:
        watch, start = Until(), time.process_time()
        asked.run(watch)
        assert watch.first_s is not None
        return watch.first_s - start

    pedantic: Any = benchmark.pedantic  # the library has no types
    benchmark.extra_info["first_cpu_s"] = pedantic(compare, rounds=3, warmup_rounds=1)


FRESH = """
import pickle, sys, time

class Until:
    first_s = None
    def report(self, done, stage): pass
    def stopped(self): return False
    def enough(self): return False
    def tell(self, what): self.first_s = self.first_s or time.process_time()

with open(sys.argv[1], "rb") as packed:
    request = pickle.load(packed)
watch, start = Until(), time.process_time()
request.run(watch)
print(watch.first_s - start)
"""


def test_the_first_way_in_a_fresh_worker(
    benchmark: BenchmarkFixture, asked: WaysRequest, tmp_path: Path
) -> None:
    """All libraries still to be loaded: the first way should cost 1.5 s of processor time at most."""
    packed = tmp_path / "request"
    packed.write_bytes(pickle.dumps(asked))
    command = [sys.executable, "-c", FRESH, str(packed)]

    def run() -> float:
        done = subprocess.run(command, capture_output=True, text=True, check=True)  # noqa: S603 - our own
        return float(done.stdout)

    found = [run() for _ in range(3)]
    benchmark.extra_info["first_cpu_s"] = min(found)
    pedantic: Any = benchmark.pedantic  # the library has no types
    pedantic(run, rounds=1)
