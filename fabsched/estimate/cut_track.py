"""What a laser runs over in one part, operation by operation, and how long each of them takes.

Engraving comes first, then scoring, then cutting from the inside out, so that nothing moves before
it is finished. Every path begins and ends at a standstill: so times of operations add up, and those
of parts do, whatever lies between them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.cut_order import Stroke, in_order
from fabsched.estimate.cut_settings import CutSpeeds
from fabsched.estimate.engraving import engraved_rows, engraving_path
from fabsched.estimate.motion import plan_moves
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline, Points2, turned
from fabsched.model.shop import Laser

ORDER = (Operation.ENGRAVE, Operation.SCORE, Operation.CUT)
"""Marks come before cuts, since what is cut off may move."""


class Move(IntEnum):
    """What a move is for, which sets its speed."""

    TRAVEL = 0
    CUT = 1
    SCORE = 2
    ENGRAVE = 3


@dataclass(slots=True)
class Track:
    """The moves of the laser, one after another.

    Attributes:
        points: runs of points; the first is where the machine stands.
        kinds: kind of each move.
        stops: 1 for moves that begin at a standstill.
        pierces: how often it goes through the sheet.
    """

    points: list[Points2]
    kinds: list[NDArray[np.uint8]] = field(default_factory=list)
    stops: list[NDArray[np.uint8]] = field(default_factory=list)
    pierces: int = 0

    @property
    def here(self) -> Points2:
        """Where the machine is."""
        return np.asarray(self.points[-1][-1])

    def follow(self, run: Points2, kind: Move, *, halting: bool = False) -> None:
        """Go to the start of a run of points, stand still there, and follow it.

        Args:
            run: (n, 2) points.
            kind: of all its moves.
            halting: stand still at every point.
        """
        self.points.append(run)
        kinds = np.full(len(run), kind, dtype=np.uint8)
        kinds[0] = Move.TRAVEL
        self.kinds.append(kinds)
        stops = np.full(len(run), halting, dtype=np.uint8)
        stops[:2] = 1
        self.stops.append(stops)

    def mark(self, paths: Sequence[Outline]) -> None:
        """Run over lines that are only marked."""
        for stroke in in_order(paths, self.here):
            self.follow(stroke.points_mm, Move.SCORE)

    def cut(self, stroke: Stroke, passes: int) -> None:
        """Cut along a stroke as often as wanted; an open one is run over forth and back."""
        closed = np.array_equal(stroke.points_mm[0], stroke.points_mm[-1])
        for turn in range(passes):
            self.follow(stroke.points_mm[:: -1 if turn % 2 and not closed else 1], Move.CUT)
        self.pierces += passes

    def seconds(self, laser: Laser, speeds: CutSpeeds, share: int) -> NDArray[np.float64]:
        """(n,) seconds of every move, piercing left out.

        Args:
            laser: the machine.
            speeds: what it does.
            share: 0 for the lowest feed, 1 for the usual one, 2 for the highest.
        """
        feed, score = (
            (spread.low, spread.likely, spread.high)[share]
            for spread in (speeds.feed_mm_s, speeds.score_mm_s)
        )
        by_kind = np.array([laser.travel_mm_s, feed, score, speeds.engrave_mm_s])
        points, kinds = np.concatenate(self.points), self.moves
        x, y = np.ascontiguousarray(points.T)
        accel = np.full(len(kinds), laser.accel_mm_s2)
        seconds = np.empty(len(kinds))
        stops = np.concatenate(self.stops)
        plan_moves(x, y, by_kind[kinds], accel, stops, laser.corner_mm, seconds)
        return seconds

    @property
    def moves(self) -> NDArray[np.uint8]:
        """(n,) kind of every move."""
        return np.concatenate(self.kinds)


def corner_of(paths: Sequence[Outline]) -> Points2:
    """(2,) lower left corner of paths; where the machine is taken to come from."""
    return np.asarray(np.concatenate([path.points_mm for path in paths]).min(axis=0))


def tracks(
    paths: Sequence[Outline], cuts: Sequence[Outline], speeds: CutSpeeds, laser: Laser
) -> Iterator[tuple[Operation, Track]]:
    """One track for each operation, in order; each begins where the one before ended.

    What comes first within an operation does not hang on where the one before ended, so that it
    stays the same whatever else lies on the sheet.

    Args:
        paths: of a part; its cuts count only for where it lies.
        cuts: the cuts as they are run over, beside the kerf.
        speeds: what the laser does.
        laser: the machine.
    """
    corner = corner_of([*paths, *cuts])
    here = corner
    for operation in ORDER:
        track = _begun(operation, (paths, cuts), corner, speeds, laser)
        if track.kinds:
            track.points[0] = here[None]
            here = track.here
            yield operation, track


def _begun(
    operation: Operation,
    given: tuple[Sequence[Outline], Sequence[Outline]],
    corner: Points2,
    speeds: CutSpeeds,
    laser: Laser,
) -> Track:
    """One operation on a part, from its corner."""
    paths, cuts = given
    if operation is Operation.ENGRAVE:
        return engraving(paths, corner, speeds, laser)
    track = Track([corner[None]])
    if operation is Operation.SCORE:
        track.mark([path for path in paths if path.operation is operation])
    else:
        for stroke in in_order(cuts, corner):
            track.cut(stroke, speeds.passes)
    return track


def engraving(
    paths: Sequence[Outline],
    corner: Points2,
    speeds: CutSpeeds,
    laser: Laser,
    turn_deg: float = 0.0,
) -> Track:
    """The engraving of a part: areas in lines along x of the machine, then single lines.

    Args:
        paths: of the part; those that are engraved count.
        corner: (2,) where the machine comes from.
        speeds: what the laser does.
        laser: the machine.
        turn_deg: how the part is turned when it is engraved.

    Returns:
        The track as seen from the part.
    """
    engraved = [path for path in paths if path.operation is Operation.ENGRAVE]
    track = Track([corner[None]])
    for rows in engraved_rows([turned(p.points_mm, turn_deg) for p in engraved if p.closed]):
        run = engraving_path(rows, speeds.engrave_mm_s, laser.accel_mm_s2)
        track.follow(turned(run, -turn_deg), Move.ENGRAVE, halting=True)
    track.mark([path for path in engraved if not path.closed])
    return track
