"""A whole sheet: in which order a laser goes through the parts on it, and how long it travels.

All marks come before all cuts, since what is cut off may move. Of each operation one part is
finished after the other, whichever begins nearest next; but a part that lies in an opening of another
one is cut before it, or it would drop out with the opening. So what is cut off first is whole, should
the rest fail, and the time of a sheet is the sum of its parts' own times and of the ways between.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabsched.estimate.cut_order import Stroke, in_order, nearest_next
from fabsched.estimate.cut_regions import beside_kerf
from fabsched.estimate.cut_rings import parents_of
from fabsched.estimate.cut_track import ORDER, corner_of
from fabsched.estimate.motion import move_s
from fabsched.model.estimates import Estimate, Stretch
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2, turned
from fabsched.model.shop import Laser

HOME_MM = (0.0, 0.0)
"""Where the head begins and where it goes back to: the corner of the bed where sheets lie."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A copy of a part where it lies on its sheet: turned about (0, 0), then moved.

    Attributes:
        estimate: of one copy, on the laser that cuts it.
        x_mm, y_mm: how far it is moved.
        turn_deg: how far it is turned, counter-clockwise.
    """

    estimate: Estimate
    x_mm: float
    y_mm: float
    turn_deg: float

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """What is done on it, in order; of those that hang on its turn, those for the nearest."""
        known = self.estimate.stretches
        turns = {s.turn_deg for s in known if s.turn_deg is not None}
        nearest = min(turns, key=self._askew, default=None)
        return tuple(s for s in known if s.turn_deg in {None, nearest})

    def _askew(self, turn_deg: float) -> float:
        """How far it lies from a turn, or from half a turn more."""
        off = (self.turn_deg - turn_deg) % 180.0
        return min(off, 180.0 - off)

    def placed(self, points: Points2) -> Points2:
        """(n, 2) points of the part where they come to lie on the sheet."""
        return np.asarray(turned(points, self.turn_deg) + np.array([self.x_mm, self.y_mm]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One operation on one part.

    Attributes:
        part: number of the part among those that lie on the sheet.
        stretch: what is done.
        enter_mm, leave_mm: (2,) where it begins and ends on the sheet.
    """

    part: int
    stretch: Stretch
    enter_mm: Points2
    leave_mm: Points2


def visits(parts: Sequence[Lying]) -> tuple[Visit, ...]:
    """In which order a laser goes through what lies on a sheet.

    Args:
        parts: everything on it, in mm from its lower left corner.

    Returns:
        One visit for each stretch of each part.
    """
    around = _around(parts)
    here = np.array(HOME_MM)
    found: list[Visit] = []
    for operation in ORDER:
        due = [_visit(i, part, s) for i, part in enumerate(parts) for s in part.stretches]
        due = [visit for visit in due if visit.stretch.operation is operation]
        waits = around if operation is Operation.CUT else {}
        found.extend(due[place] for place in _nearest(due, waits, here))
        here = found[-1].leave_mm if found else here
    return tuple(found)


def _visit(number: int, part: Lying, stretch: Stretch) -> Visit:
    enter, leave = part.placed(np.array([stretch.enter_mm, stretch.leave_mm]))
    return Visit(part=number, stretch=stretch, enter_mm=enter, leave_mm=leave)


def _around(parts: Sequence[Lying]) -> Mapping[int, int]:
    """For each part that lies in an opening of another one, the nearest part around it."""
    if not any(part.estimate.openings_mm for part in parts):
        return {}
    rings = [part.placed(np.array(part.estimate.silhouette_mm)) for part in parts]
    around = parents_of([Outline(ring, closed=True) for ring in rings])
    return {i: outer for i, outer in enumerate(around.tolist()) if outer >= 0}


def _nearest(due: Sequence[Visit], around: Mapping[int, int], here: Points2) -> Sequence[int]:
    """Places in a list of visits, in the order they are made."""
    place = {visit.part: k for k, visit in enumerate(due)}
    outer = [place.get(around.get(visit.part, -1), -1) for visit in due]
    if not due:
        return ()
    enter = np.array([visit.enter_mm for visit in due])
    leave = np.array([visit.leave_mm for visit in due])
    chosen = nearest_next(enter, leave, np.arange(len(due)), np.array(outer, dtype=np.int64), here)
    return [int(k) for k in chosen]


def added_s(parts: Sequence[Lying], laser: Laser) -> float:
    """How much longer a sheet takes than its parts by themselves, at any feed.

    The head comes from its corner, goes from part to part and back again; what each part counts for
    such ways by itself is taken off. Areas are engraved in lines along x, which takes another time
    for a part on its side.

    Args:
        parts: everything on the sheet; copies without stretches count for nothing.
        laser: the machine.

    Returns:
        Seconds, as computed: nothing learnt is in them. Seldom below zero.
    """
    row = visits(parts)
    home = np.array(HOME_MM)
    starts, ends = [home, *(v.leave_mm for v in row)], [*(v.enter_mm for v in row), home]
    ways_mm = np.linalg.norm(np.array(ends) - np.array(starts), axis=1)
    travel = sum(_way_s(float(way_mm), laser) for way_mm in ways_mm)
    doing = sum(visit.stretch.seconds.likely for visit in row)
    return travel + doing - sum(_alone_s(part.estimate) for part in parts if part.stretches)


def _way_s(length_mm: float, laser: Laser) -> float:
    """From standstill to standstill, by the motion planner."""
    return float(move_s(length_mm, 0.0, 0.0, laser.travel_mm_s, laser.accel_mm_s2))


def _alone_s(estimate: Estimate) -> float:
    """What one copy takes by itself, as computed."""
    return estimate.seconds.likely / estimate.learnt


def sheet_paths(parts: Sequence[tuple[Lying, Drawing]], kerf_mm: float) -> Drawing:
    """Everything a laser does on a sheet, in order.

    Cuts run half a kerf beside the outlines, so that parts come out as drawn, and the machine itself
    must add no kerf. The paths are those that `estimate_cut` measures, in the order of `visits`.

    Args:
        parts: what lies on the sheet, each with its drawing as it was estimated.
        kerf_mm: width of the cut.

    Returns:
        The paths in mm from the lower left corner of the sheet. There are none where there are no
        parts.
    """
    drawn = {id(drawing): drawing for _, drawing in parts}
    runs = {key: part_paths(drawing.outlines, kerf_mm) for key, drawing in drawn.items()}
    row = visits([lying for lying, _ in parts])
    return Drawing(
        tuple(
            _lying(path, lying)
            for visit in row
            for lying, drawing in (parts[visit.part],)
            for path in runs[id(drawing)][visit.stretch.operation]
        )
    )


def part_paths(
    outlines: Iterable[Outline], kerf_mm: float
) -> Mapping[Operation, tuple[Outline, ...]]:
    """What a laser does on one part, by operation, each path from where it is entered.

    Args:
        outlines: of the part.
        kerf_mm: width of the cut.
    """
    paths = [path for path in outlines if path.operation is not Operation.IGNORE]
    cuts = beside_kerf([p for p in paths if p.operation is Operation.CUT], kerf_mm)
    corner = corner_of([*paths, *cuts])
    found = {}
    for operation in ORDER:
        own = [path for path in paths if path.operation is operation]
        found[operation] = _ordered(cuts if operation is Operation.CUT else own, corner)
    return found


def _ordered(paths: Sequence[Outline], corner: Points2) -> tuple[Outline, ...]:
    """Paths from where they are entered; what is engraved as an area comes before single lines."""
    areas = [path for path in paths if path.operation is Operation.ENGRAVE and path.closed]
    lines = [path for path in paths if path.operation is not Operation.ENGRAVE or not path.closed]
    return tuple(
        _path(stroke, group[stroke.path])
        for group in (areas, lines)
        for stroke in in_order(group, corner)
    )


def _path(stroke: Stroke, path: Outline) -> Outline:
    points = stroke.points_mm[:-1] if path.closed else stroke.points_mm
    return Outline(points, closed=path.closed, operation=path.operation)


def _lying(path: Outline, part: Lying) -> Outline:
    return Outline(part.placed(path.points_mm), closed=path.closed, operation=path.operation)
