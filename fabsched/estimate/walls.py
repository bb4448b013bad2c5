"""The beads around a section and what they leave inside."""

from dataclasses import dataclass

from fabsched.estimate.arrays import Loops, joined
from fabsched.estimate.offsets import inset
from fabsched.estimate.regions import Measure
from fabsched.model.shop import Build


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Walls:
    """Walls of one section.

    Attributes:
        beads: centre lines of all beads, the outermost first.
        outer: how many of these loops are outermost.
        inside: borders of what the walls surround.
        area_mm2: area of the section.
        lost_mm2: part of the section too thin for even one bead.
    """

    beads: Loops
    outer: int
    inside: Loops
    area_mm2: float
    lost_mm2: float


def walls_of(section: Loops, build: Build) -> Walls:
    """Lay beads of fixed width side by side, from the border of a section inwards.

    Bead i runs (i + 1/2) bead widths inside the border; where the section is too thin for it, it
    is left out, and the area it would have covered is filled later as a gap.

    Args:
        section: tidy borders of what is to be printed in this layer.
        build: number and width of the beads.
    """
    rings = _rings(section, build)
    area_mm2 = Measure(section).area_mm2
    return Walls(
        beads=joined(rings[:-1]),
        outer=rings[0].starts.size - 1 if build.walls else 0,
        inside=rings[-1],
        area_mm2=area_mm2,
        lost_mm2=_lost_mm2(area_mm2, rings[0], build) if build.walls else 0.0,
    )


def _rings(section: Loops, build: Build) -> list[Loops]:
    """Centre lines of all beads, then the border of what is inside; each made from the last."""
    half = 0.5 * build.bead_mm
    steps = [half, *([build.bead_mm] * (build.walls - 1)), half] if build.walls else [0.0]
    rings = [section]
    for step in steps:
        border = rings[-1]
        rings.append(inset(border, step) if step and border.x.size else border)
    return rings[1:]


def _lost_mm2(area_mm2: float, outermost: Loops, build: Build) -> float:
    """What the outermost bead does not reach: the section minus that bead's outer border."""
    return max(0.0, area_mm2 - Measure(outermost).grown_mm2(0.5 * build.bead_mm))
