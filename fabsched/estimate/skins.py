"""Which part of each layer is closed above and below, so that it may be filled sparsely."""

import math

from fabsched.estimate.lines import NO_SCAN, Scan, common, scanned
from fabsched.estimate.sections import Sections
from fabsched.model.shop import Build

DIAGONAL = math.pi / 4
"""Fill lines run at +45 degrees on even and -45 degrees on odd layers."""


def angle_of(odd: int) -> float:
    """Direction of the fill lines of even (0) and odd (1) layers."""
    return -DIAGONAL if odd else DIAGONAL


class Cover:
    """Looks at the layers above and below.

    A place needs solid skin unless the part goes on for a given number of layers above and below.
    Only the scans of the layers around are kept.

    Args:
        sections: the sections of the part.
        build: how many skins, how wide a bead.
    """

    def __init__(self, sections: Sections, build: Build) -> None:
        self._sections = sections
        self._build = build
        self._scans: dict[tuple[int, int], Scan] = {}

    def around(self, layer: int) -> tuple[int, ...]:
        """Numbers of the different sections close above and below, 0 (nothing) beyond the ends."""
        skins, count = self._build.skins, len(self._sections.layer)
        low, high = layer - skins, layer + skins
        near = self._sections.layer[max(0, low) : high + 1].tolist()
        ends = [0] if low < 0 or high >= count else []
        return tuple(sorted({*near, *(ends if skins else [])}))

    def closed(self, inside: Scan, section: int, around: tuple[int, ...], odd: int) -> Scan:
        """The part of a layer's inside that goes on above and below.

        Args:
            inside: what the walls of the layer surround.
            section: number of the layer's section.
            around: what `around` gave for the layer.
            odd: 1 for odd layers, 0 for even ones.
        """
        if 0 in around:
            return NO_SCAN
        for other in around:
            if other != section and inside.place.size:
                inside = Scan(*common(inside, self._scan(other, odd)))
        return inside

    def _scan(self, section: int, odd: int) -> Scan:
        """Scan of a section, computed once while it is near."""
        key = (section, odd)
        if key not in self._scans:
            self._forget()
            loops = self._sections.distinct[section]
            self._scans[key] = scanned(loops, angle_of(odd), self._build.bead_mm)
        return self._scans[key]

    def _forget(self) -> None:
        """Drop the oldest scan when more are held than any layer needs."""
        if len(self._scans) > 4 * (2 * self._build.skins + 1):
            del self._scans[next(iter(self._scans))]
