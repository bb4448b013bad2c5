"""The trail of the nozzle through every layer of a part."""

from dataclasses import dataclass

from fabsched.estimate.arrays import Loops
from fabsched.estimate.lines import NO_SCAN, Fill, filled, scanned
from fabsched.estimate.ordering import (
    SUPPORT,
    Filling,
    Trail,
    cut,
    empty_trail,
    lay_layer,
    lay_lines,
)
from fabsched.estimate.scaffold import Lines
from fabsched.estimate.sections import Sections
from fabsched.estimate.skins import Cover, angle_of
from fabsched.estimate.walls import Walls, walls_of
from fabsched.model.shop import Build


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Path:
    """What is laid in one layer.

    Attributes:
        trail: the way of the nozzle; no points if the layer is empty.
        area_mm2: area of the section.
        sparse_mm2: part of it that is filled sparsely.
        lost_mm2: part of it too thin for a bead.
    """

    trail: Trail
    area_mm2: float
    sparse_mm2: float
    lost_mm2: float


def _laid(section: Loops, walls: Walls, fill: Fill, build: Build) -> Trail:
    """Put walls and lines of one layer into order."""
    sparse_mm = build.bead_mm / build.infill if build.infill else 0.0
    lines = Filling(fill.solid, fill.sparse, build.bead_mm, sparse_mm)
    corners = walls.beads.x.size + walls.beads.starts.size
    trail = empty_trail(corners + 2 * (fill.solid.line.size + fill.sparse.line.size))
    return cut(trail, lay_layer(section, walls.beads, walls.outer, lines, trail))


def support_trail(lines: Lines, gap_mm: float) -> Trail:
    """Put the support lines of one layer into order, those of one direction after the other."""
    trail = empty_trail(2 * sum(spans.line.size for spans in lines))
    points = 0
    for spans in lines:
        points = lay_lines(spans, gap_mm, SUPPORT, trail, points)
    return cut(trail, points)


class Paths:
    """Paths of all layers; layers alike in section, skins and direction are computed once.

    Args:
        sections: the sections of the part.
        build: how it is built up.
    """

    def __init__(self, sections: Sections, build: Build) -> None:
        self._sections = sections
        self._build = build
        self._cover = Cover(sections, build)
        self._walls: dict[int, Walls] = {}
        self._known: dict[tuple[int, int, tuple[int, ...]], Path] = {}

    def path(self, layer: int) -> Path:
        """The path of a layer."""
        section, odd = int(self._sections.layer[layer]), layer % 2
        key = (section, odd, self._cover.around(layer))
        if key not in self._known:
            self._known[key] = self._find(*key)
        return self._known[key]

    def _find(self, section: int, odd: int, around: tuple[int, ...]) -> Path:
        """Compute a path."""
        build = self._build
        walls = self._walls_of(section)
        inside = scanned(walls.inside, angle_of(odd), build.bead_mm)
        closed = self._cover.closed(inside, section, around, odd) if build.infill < 1 else NO_SCAN
        fill = filled(inside, closed, angle_of(odd), build.bead_mm, build.infill)
        return Path(
            trail=_laid(self._sections.distinct[section], walls, fill, build),
            area_mm2=walls.area_mm2,
            sparse_mm2=fill.sparse_mm2,
            lost_mm2=walls.lost_mm2,
        )

    def _walls_of(self, section: int) -> Walls:
        """Walls of a section, computed once."""
        if section not in self._walls:
            self._walls[section] = walls_of(self._sections.distinct[section], self._build)
        return self._walls[section]
