"""Warming compiles all there is, so that no user waits for the compiler."""

import importlib
import pkgutil

from numba.core.dispatcher import Dispatcher

import fabsched.estimate
from fabsched.estimate.poses import poses
from fabsched.estimate.printing import estimate_print
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Build
from tests.estimate import bodies


def compiled() -> dict[str, int]:
    """How many versions of each kernel of the floor have been compiled."""
    return {
        f"{kernel.__module__}.{kernel.py_func.__name__}": len(kernel.signatures)
        for info in pkgutil.iter_modules(fabsched.estimate.__path__)
        for kernel in vars(importlib.import_module(f"fabsched.estimate.{info.name}")).values()
        if isinstance(kernel, Dispatcher) and "fabsched.estimate" in kernel.__module__
    }


def test_nothing_is_left_to_compile() -> None:
    """After warming, no part needs a kernel to be compiled: whole or open, plain or hollow.

    The session's fixture has warmed the kernels before this test.
    """
    before = compiled()
    whole = bodies.knot(3_000)
    read_only = bodies.box(9, 9, 9)
    read_only.vertices.flags.writeable = False
    read_only.faces.flags.writeable = False
    for mesh in (whole, Mesh(whole.vertices, whole.faces[3:]), read_only):
        for build in (Build(), Build(walls=0, infill=0.0), Build(skins=0, support=0.0)):
            estimate_print(mesh, bodies.printer(build), bodies.PLA, where="part")
        poses(mesh, bodies.printer(), bodies.PLA, where="part", limit=2)
    assert compiled() == before
