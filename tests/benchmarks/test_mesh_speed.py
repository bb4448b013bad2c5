"""How long mesh files take to be read and mended."""

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from trimesh.creation import icosphere

from fabsched.files.mesh_raw import finished
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.shapes import Mesh


@pytest.mark.parametrize("subdivisions", [6, 8])
def test_reading_binary_stl(benchmark: BenchmarkFixture, subdivisions: int) -> None:
    """Spheres of 82 thousand and 1.3 million facets, corners unshared."""
    made = icosphere(subdivisions=subdivisions, radius=20)
    data = stl_bytes(Mesh(np.array(made.vertices), np.array(made.faces, dtype=np.int32)))
    mesh, findings = benchmark(lambda: finished(parse_stl(data, "x"), "mm", "x"))
    assert findings == ()
    assert mesh.volume_mm3 == pytest.approx(float(made.volume), rel=1e-5)
