"""Raw paths into a drawing: checked, cut once, joined end to end, and what was odd about them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fabsched.files.joining import join_ends
from fabsched.files.nearby import near_pairs, segments_of
from fabsched.files.overlaps import cut_once
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.shapes import Drawing, Outline, Points2

JOIN_MM = 0.02
"""Ends this close are one point: a tenth of a usual kerf, twice the chord error of curves."""
SMALLEST_MM = 0.1
LARGEST_MM = 1e5
"""Extent outside which a drawing is taken for a mistake."""
ABSURD = 1e9
"""No number in a drawing of a part is larger, whatever its unit."""
SUSPECT_MM = 12.0
"""A drawing without a unit and smaller than this was perhaps drawn in inches."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How long the file's own unit is.

    Attributes:
        mm: millimetres in one of it.
        assumed: whether nobody said so.
    """

    mm: float
    assumed: bool = False


def outline(points: Points2, operation: Operation) -> Outline:
    """An outline from a run of points, closed if it comes back to its start.

    Args:
        points: (n, 2) in mm; repeated points are taken out.
        operation: what the laser does along it.
    """
    moved = np.ones(len(points), dtype=bool)
    moved[1:] = (points[1:] != points[:-1]).any(axis=1)
    run = points[moved]
    closed = len(run) > 2 and float(np.linalg.norm(run[0] - run[-1])) <= JOIN_MM
    return Outline(run[:-1] if closed else run, closed=closed, operation=operation)


def left_out(kinds: Iterable[str], where: str) -> tuple[Finding, ...]:
    """One finding for each kind of entity that was left out.

    Args:
        kinds: kind of each entity left out, repeated as often as it occurs.
        where: the file.
    """
    counts: dict[str, int] = {}
    for kind in kinds:
        counts[kind] = counts.get(kind, 0) + 1
    return tuple(
        Finding(code=Remark.ENTITY_LEFT_OUT, where=where, facts={"count": count, "kind": kind})
        for kind, count in sorted(counts.items())
    )


def tidy(paths: Sequence[Outline], scale: Scale, where: str) -> tuple[Drawing, tuple[Finding, ...]]:
    """Make a drawing of raw paths.

    Paths to be ignored and paths without length go; lines that lie on each other are kept once;
    open paths are joined where their ends meet.

    Args:
        paths: as read, in mm.
        scale: how the file's unit was found.
        where: the file, for errors and findings.

    Returns:
        The drawing, and what was noticed.

    Raises:
        InputError: nothing is left, a coordinate is not finite, or the size is absurd.
    """
    wanted = [p for p in paths if p.operation is not Operation.IGNORE and len(p.points_mm) > 1]
    if not wanted:
        raise InputError(Fault.NO_OUTLINES, where)
    extent_mm = _extent_mm(wanted, where)
    once, doubled = cut_once(wanted, JOIN_MM)
    drawing = Drawing(tuple(_settled(join_ends(once, JOIN_MM))))
    if not drawing.outlines:
        raise InputError(Fault.NO_OUTLINES, where)
    return drawing, (
        *_unit_findings(scale, extent_mm, where),
        *_doubled_finding(doubled, where),
        *_open_finding(drawing.outlines, where),
    )


def _settled(paths: Iterable[Outline]) -> list[Outline]:
    """Without what shrank to a point; two points joined both ways are a line run forth and back."""
    return [
        replace(p, closed=p.closed and len(p.points_mm) > 2) for p in paths if len(p.points_mm) > 1
    ]


def _extent_mm(paths: Sequence[Outline], where: str) -> float:
    """Larger side of the box around all paths, after refusing what is no size."""
    points = np.concatenate([path.points_mm for path in paths])
    refuse_absurd(points, "outline", where)
    extent_mm = float(np.ptp(points, axis=0).max())
    if not SMALLEST_MM <= extent_mm <= LARGEST_MM or np.abs(points).max() > 10 * LARGEST_MM:
        raise absurd(max(extent_mm, float(np.abs(points).max())), where)
    return extent_mm


def refuse_absurd(numbers: NDArray[np.float64], what: str, where: str) -> None:
    """Refuse numbers that would break whatever is computed from them.

    Args:
        numbers: any shape.
        what: what they describe.
        where: the file, for errors.

    Raises:
        InputError: one is not finite, or larger than `ABSURD`.
    """
    if not np.isfinite(numbers).all():
        raise InputError(Fault.NUMBER_NOT_FINITE, where, what=what)
    if (largest := float(np.abs(numbers).max(initial=0.0))) > ABSURD:
        raise absurd(largest, where)


def absurd(size_mm: float, where: str) -> InputError:
    """The error for a size that is no part's."""
    return InputError(
        Fault.SIZE_ABSURD, where, size=f"{size_mm:.3g}", low=SMALLEST_MM, high=f"{LARGEST_MM:g}"
    )


def _unit_findings(scale: Scale, extent_mm: float, where: str) -> tuple[Finding, ...]:
    if not scale.assumed:
        return ()
    unit = "mm" if scale.mm == 1.0 else "1/96 inch"
    found = [Finding(code=Remark.UNIT_ASSUMED, where=where, facts={"unit": unit})]
    if extent_mm < SUSPECT_MM:
        facts: dict[str, Fact] = {"size": round(extent_mm, 2), "unit": "inch"}
        found.append(Finding(code=Remark.UNIT_SUSPECT, where=where, facts=facts))
    return tuple(found)


def _doubled_finding(count: int, where: str) -> tuple[Finding, ...]:
    if not count:
        return ()
    return (Finding(code=Remark.CUT_TWICE, where=where, facts={"count": count}),)


def _open_finding(paths: Sequence[Outline], where: str) -> tuple[Finding, ...]:
    """Cut outlines with a loose end; one that ends on another line parts the sheet all the same."""
    cuts = [path for path in paths if path.operation is Operation.CUT]
    loose = [cuts[i] for i in _loose(cuts)]
    if not loose:
        return ()
    gap_mm = max(float(np.linalg.norm(p.points_mm[0] - p.points_mm[-1])) for p in loose)
    facts = {"count": len(loose), "gap": round(gap_mm, 3)}
    return (Finding(code=Remark.OUTLINE_OPEN, where=where, facts=facts),)


def _loose(paths: Sequence[Outline]) -> list[int]:
    """Indices of open paths with an end that lies on no other path."""
    opened = [i for i, path in enumerate(paths) if not path.closed]
    if not opened:
        return []
    tips = np.concatenate([paths[i].points_mm[[0, -1]] for i in opened])
    tip_path = np.repeat(opened, 2)
    starts, ends, path = segments_of(paths)
    pairs = near_pairs(np.concatenate([tips, starts]), np.concatenate([tips, ends]))
    tip, segment = pairs[(pairs[:, 0] < len(tips)) & (pairs[:, 1] >= len(tips))].T
    segment = segment - len(tips)
    foreign = tip_path[tip] != path[segment]
    tip, segment = tip[foreign], segment[foreign]
    on = _distances_mm(tips[tip], starts[segment], ends[segment]) <= JOIN_MM
    held = np.zeros(len(tips), dtype=bool)
    held[tip[on]] = True
    both = held.reshape(-1, 2)[:, 0] & held.reshape(-1, 2)[:, 1]
    return [i for i, kept in zip(opened, both, strict=True) if not kept]


def _distances_mm(points: Points2, starts: Points2, ends: Points2) -> NDArray[np.float64]:
    """(k,) distance of each of (k, 2) points from the segment of the same index."""
    spans, offsets = ends - starts, points - starts
    lengths2 = np.maximum((spans**2).sum(axis=1), 1e-30)
    share = np.clip((offsets * spans).sum(axis=1) / lengths2, 0, 1)
    return np.asarray(np.linalg.norm(offsets - share[:, None] * spans, axis=1))
