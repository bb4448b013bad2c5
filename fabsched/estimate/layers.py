"""What every layer of a print costs in time and material, added up."""

import math
from dataclasses import dataclass, field

import numpy as np

from fabsched.estimate.arrays import Floats
from fabsched.estimate.moves import SLOWEST_MM_S, LayerTime
from fabsched.estimate.ordering import (
    INNER,
    OUTER,
    SOLID,
    SPARSE,
    SUPPORT,
    TRAVEL,
)
from fabsched.estimate.planes import Planes
from fabsched.estimate.scaffold import Lines, Scaffold, length_mm
from fabsched.estimate.timing import (
    RETRACT_FROM_MM,
    Rates,
    Timed,
    hop_s,
    rates_for,
    timed,
)
from fabsched.estimate.toolpath import Path, Paths, support_trail
from fabsched.model.estimates import EASES
from fabsched.model.materials import Filament
from fabsched.model.progress import Watch, check
from fabsched.model.shop import Printer

BREAKDOWN = (
    "heating",
    "walls",
    "skins",
    "infill",
    "support",
    "gaps",
    "travel",
    "retracting",
    "slowing",
    "cooling",
)
"""What the time is made of, in the order shown."""
ROLE_KEYS = {
    OUTER: "walls",
    INNER: "walls",
    SOLID: "skins",
    SPARSE: "infill",
    SUPPORT: "support",
    TRAVEL: "travel",
}
"""Where the time of each role is entered."""
LAYING = ("walls", "skins", "infill", "support", "gaps")
"""What can be slowed down to let a layer cool."""
LIFT_S = 0.05
"""Time to raise the nozzle by one layer (own assumption: about 5 mm/s for 0.2 mm)."""
BATCH = 32
"""Layers between two looks at the watch."""
THIN_MM2 = 0.5
"""Area too thin for a bead from which a layer counts as having thin walls."""
MOST_LOST = 0.5
"""Share of a section too thin for a bead from which the layer is mostly lost."""


@dataclass(slots=True, eq=False, kw_only=True)
class Bill:
    """The running account of a print.

    Attributes:
        seconds: by key of `BREAKDOWN`.
        part_mm3: volume of the sections.
        laid_mm3: plastic laid down, support included.
        thin_layers: layers with walls thinner than a bead.
        lost_layers: layers most of which is, however small they are.
        place: where the nozzle is; None before it has laid anything.
        layers: what the time of each layer is made of.
    """

    seconds: dict[str, float]
    part_mm3: float = 0.0
    laid_mm3: float = 0.0
    thin_layers: int = 0
    lost_layers: int = 0
    place: tuple[float, float] | None = None
    layers: list[LayerTime] = field(default_factory=list)


def least_s(printer: Printer, filament: Filament) -> float:
    """Least time for one layer, so that it can cool."""
    return max(printer.build.layer_s, filament.layer_s)


class Shift:
    """Runs through the layers of one print.

    Args:
        printer: the machine.
        filament: what it prints.
        planes: the layers.
        paths: the path of each.
        scaffold: the support of each.
    """

    def __init__(
        self,
        printer: Printer,
        filament: Filament,
        planes: Planes,
        paths: Paths,
        scaffold: Scaffold,
    ) -> None:
        self._build = printer.build
        self._planes = planes
        self._paths = paths
        self._scaffold = scaffold
        self._layer_s = least_s(printer, filament)
        self._rates = [
            rates_for(printer, filament, float(thick), first=first)
            for thick, first in ((printer.build.layer_mm, False), (planes.thick_mm[0], True))
        ]
        self._timed: dict[tuple[int, bool], Timed] = {}

    def run(self, watch: Watch) -> Bill:
        """Add up all layers.

        Raises:
            Cancelled: the watch says stop.
        """
        bill = Bill(seconds=dict.fromkeys(BREAKDOWN, 0.0))
        for layer in range(len(self._planes)):
            if layer % BATCH == 0:
                check(watch)
                watch.report(layer / len(self._planes), "paths")
            self._add(layer, bill)
        return bill

    def _add(self, layer: int, bill: Bill) -> None:
        """Enter one layer."""
        path, rates = self._paths.path(layer), self._rates[layer == 0]
        lines = self._scaffold.lines(float(self._planes.middle_mm[layer]))
        trails = [*self._part(path, rates, first=layer == 0), *self._support(lines, rates)]
        spent = dict.fromkeys(BREAKDOWN, 0.0)
        eased = np.zeros((len(EASES), 2))
        for trail in trails:
            self._travel(trail, rates, bill.place, spent)
            _ease(trail, rates, bill.place, eased)
            bill.place = trail.end
        gap_mm = self._gap_mm(path, trails)
        spent["gaps"] += gap_mm / float(rates.speed[INNER])
        laying_mm = gap_mm + sum(_laying_mm(trail) for trail in trails)
        self._let_cool(spent, laying_mm)
        bill.layers.append(_layer_time(spent, eased, laying_mm))
        for key, seconds in spent.items():
            bill.seconds[key] += seconds
        thick_mm = float(self._planes.thick_mm[layer])
        bill.part_mm3 += path.area_mm2 * thick_mm
        bill.laid_mm3 += self._laid_mm2(path, trails, lines) * thick_mm
        bill.thin_layers += path.lost_mm2 > THIN_MM2
        bill.lost_layers += path.lost_mm2 > MOST_LOST * path.area_mm2

    def _part(self, path: Path, rates: Rates, *, first: bool) -> list[Timed]:
        """The part's own trail in time, if there is any."""
        if not path.trail.x.size:
            return []
        key = (id(path), first)  # `Paths` keeps every path, so the number is not used twice
        if key not in self._timed:
            self._timed[key] = timed(path.trail, rates)
        return [self._timed[key]]

    def _support(self, lines: Lines, rates: Rates) -> list[Timed]:
        """The trail of the support in time, if there is any."""
        if not any(spans.line.size for spans in lines):
            return []
        return [timed(support_trail(lines, self._scaffold.gap_mm), rates)]

    def _travel(
        self, trail: Timed, rates: Rates, place: tuple[float, float] | None, spent: dict[str, float]
    ) -> None:
        """Enter the way to a trail, and the trail."""
        way_mm = math.dist(place, trail.start) if place else 0.0
        pulls = trail.retractions + (way_mm > RETRACT_FROM_MM)
        spent["retracting"] += 2.0 * self._build.retract_s * pulls
        spent["travel"] += hop_s(way_mm, rates)
        for role, key in ROLE_KEYS.items():
            spent[key] += float(trail.seconds[role])

    def _gap_mm(self, path: Path, trails: list[Timed]) -> float:
        """Length of bead that fills what walls and solid lines leave open.

        All of a section that is not sparse has to be covered, and beads cover their length times
        their width; where walls or lines lie closer than a bead they are laid thinner instead.
        """
        dense_mm = (path.area_mm2 - path.sparse_mm2) / self._build.bead_mm
        laid_mm = sum(float(t.length_mm[[OUTER, INNER, SOLID]].sum()) for t in trails)
        return max(0.0, dense_mm - laid_mm)

    def _laid_mm2(self, path: Path, trails: list[Timed], lines: Lines) -> float:
        """Plastic in a layer over its thickness: dense parts are full, lines cover their width.

        Between lines of support the nozzle moves on without laying anything, so that the share of
        the supported volume that is filled comes out as asked for.
        """
        sparse_mm = sum(float(t.length_mm[SPARSE]) for t in trails)
        lines_mm = sparse_mm + length_mm(lines)
        return path.area_mm2 - path.sparse_mm2 + lines_mm * self._build.bead_mm

    def _let_cool(self, spent: dict[str, float], laying_mm: float) -> None:
        """Enter the lift to the next layer, and slow laying down to the least time for a layer."""
        if not laying_mm:
            return
        spent["travel"] += LIFT_S
        taken_s = sum(spent.values())
        laying_s = sum(spent[key] for key in LAYING)
        longest_s = taken_s + max(0.0, laying_mm / SLOWEST_MM_S - laying_s)
        spent["slowing"] += max(0.0, min(self._layer_s, longest_s) - taken_s)


def _ease(trail: Timed, rates: Rates, place: tuple[float, float] | None, eased: Floats) -> None:
    """Add the way to a trail, and the trail, for every ease."""
    way_mm = math.dist(place, trail.start) if place else 0.0
    eased += trail.eased_s
    eased[:, 1] += [hop_s(way_mm, rates, ease) for ease in EASES]


def _layer_time(spent: dict[str, float], eased: Floats, laying_mm: float) -> LayerTime:
    """What the time of a layer is made of, the slowing left out."""
    return LayerTime(
        laying_s=tuple(eased[:, 0]),
        travel_s=tuple(eased[:, 1]),
        gaps_s=spent["gaps"],
        still_s=spent["retracting"] + (LIFT_S if laying_mm else 0.0),
        laying_mm=laying_mm,
    )


def _laying_mm(trail: Timed) -> float:
    """Length of all beads of a trail."""
    return float(trail.length_mm.sum() - trail.length_mm[TRAVEL])
