"""Compile every kernel of the estimator once, so that the cache on disk holds them.

Compiling takes about a minute, loading from the cache half a second. This runs at the first start,
where its progress is shown, and before anything is timed.
"""

import numpy as np

from fabsched.estimate.cutting import estimate_cut
from fabsched.estimate.poses import poses
from fabsched.estimate.printing import estimate_print
from fabsched.estimate.program import estimate_program
from fabsched.files.mesh_raw import finished
from fabsched.files.motion_program import parse_program
from fabsched.files.stl import parse_stl, stl_bytes
from fabsched.model.materials import CutSetting, Cutting, Filament, SheetMaterial
from fabsched.model.operations import Operation
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.shapes import Drawing, Mesh, Outline
from fabsched.model.shop import Laser, Printer
from fabsched.model.spread import Spread

CUBE = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
"""Corners of the unit cube."""
SIDES = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
"""Its sides, counter-clockwise seen from outside."""

Box = tuple[tuple[float, float, float], tuple[float, float, float]]
"""Lowest corner and size."""

TABLE: tuple[Box, ...] = (
    ((0, 0, 0), (9, 9, 4)),
    ((3, 3, 3), (0.3, 5, 4)),
    ((20, 0, 0), (9, 9, 6.5)),
    ((0, 0, 6), (29, 9, 2)),
)
"""Islands, overlapping shells, an overhang, a wall thinner than a bead, and skins."""
BLOCK: tuple[Box, ...] = (((0, 0, 0), (9, 9, 3)),)
PROGRAM = b"G21 G0 X1 Y1 Z0.2\nG1 X9 E1 F600\nG2 X1 I-4 J0 E2\nG1 E-1\nG4 P1\nM2"
"""A line, an arc, filament pulled back and a dwell."""


def boxes_mesh(boxes: tuple[Box, ...]) -> Mesh:
    """Boxes as one mesh, each a closed shell of its own.

    >>> round(boxes_mesh(BLOCK).volume_mm3)
    243
    """
    points = np.concatenate([np.array(low) + CUBE * np.array(size) for low, size in boxes])
    one = np.array([(s[0], s[i], s[i + 1]) for s in SIDES for i in (1, 2)], dtype=np.int32)
    return Mesh(points, np.concatenate([one + 8 * n for n in range(len(boxes))]))


SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
"""Corners of the unit square."""


def warm_kernels(watch: Watch = UNWATCHED) -> None:
    """Read, print, turn and cut tiny parts, which between them need every kernel.

    Args:
        watch: told of the progress; may stop between them.

    Raises:
        Cancelled: the watch said stop.
    """
    printer = Printer(id="warm", name="warm", place="warm", bed_mm=(99.0, 99.0, 99.0))
    filament = Filament(id="warm", density_g_cm3=1.0)
    block = boxes_mesh(BLOCK)
    open_block = Mesh(block.vertices, block.faces[1:])
    finished(parse_stl(stl_bytes(open_block), "warm"), "mm", "warm")
    for mesh in (boxes_mesh(TABLE), open_block):
        estimate_print(mesh, printer, filament, where="warm", watch=watch)
    poses(block, printer, filament, where="warm", limit=1, watch=watch)
    check(watch)
    program, _ = parse_program(PROGRAM, "warm")
    estimate_program(program, printer, filament, where="warm", watch=watch)
    check(watch)
    _warm_cut()


def _warm_cut() -> None:
    """Cut a square with a hole, and engrave another."""
    laser = Laser(id="warm", name="warm", place="warm", bed_mm=(99.0, 99.0))
    setting = CutSetting(
        thickness_mm=1.0,
        power_w=60.0,
        feed_mm_s=Spread(1.0, 2.0, 3.0),
        pierce_s=0.0,
        passes=1,
        kerf_mm=0.2,
    )
    material = SheetMaterial(id="warm", cutting=Cutting.ALLOWED, settings=(setting,))
    outlines = (
        Outline(30.0 * SQUARE, closed=True),
        Outline(9.0 * SQUARE + 9.0, closed=True),
        Outline(2.0 * SQUARE + 0.5, closed=True),
        Outline(20.0 * SQUARE[:2], closed=False),
        Outline(5.0 * SQUARE + 2.0, closed=True, operation=Operation.ENGRAVE),
    )
    estimate_cut(Drawing(outlines), laser, material, 1.0, where="warm")
