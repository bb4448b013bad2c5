"""Luck in which something does not go wrong."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.foreseen import due_s
from fabsched.model.network import Entry
from fabsched.model.plan import Plan
from fabsched.model.units import whole_s
from fabsched.model.weekend import Run
from fabsched.odds.compile import Frame
from fabsched.odds.draws import Draws
from fabsched.odds.lateness import promised_s
from fabsched.odds.tables import Ints, Luck

Mask = NDArray[np.bool_]
"""(scenarios,) whether something happens."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Carried:
    """Rows in the tables of luck of what a plan carries out, repetitions included.

    Attributes:
        frame: the weekend.
        failing: rows in `Luck.failed` by run, its own first.
        lengths: rows in `Luck.seconds` by run and by work, its own first.
        faults: row in `Luck.faults` by gate.
        due: rows in `Luck.due` of what is told for one moment, by the first of them.
        likely: (spots,) likely seconds.
    """

    frame: Frame
    failing: dict[str, list[int]]
    lengths: dict[str, list[int]]
    faults: dict[str, int]
    due: dict[str, list[int]]
    likely: Ints


def carried_by(draws: Draws, plan: Plan) -> Carried:
    """What of the luck concerns a plan."""
    frame = draws.frame
    entries = [entry for entry in frame.entries if entry.activity.id not in plan.dropped]
    return Carried(
        frame=frame,
        failing=_failing(frame, entries),
        lengths=_lengths(frame, entries),
        faults={name: row for row, name in enumerate(frame.gates) if name not in plan.dropped},
        due=_due(frame, plan),
        likely=_likely(frame),
    )


def without_failures(luck: Luck, rows: Sequence[int]) -> tuple[Luck, Mask]:
    """A run never fails; and where it would have."""
    failed = luck.failed.copy()
    failed[rows] = 0
    return luck._replace(failed=failed), luck.failed[rows[0]] > 0


def without_overrun(luck: Luck, carried: Carried, ident: str) -> tuple[Luck, Mask]:
    """A run or work takes no longer than likely, nor does its rest; and where it would have."""
    rows, frame = carried.lengths[ident], carried.frame
    likely = carried.likely[rows][:, np.newaxis]
    seconds, left = luck.seconds.copy(), luck.left.copy()
    seconds[rows] = np.minimum(seconds[rows], likely)
    longer: Mask = luck.seconds[rows[0]] > likely[0]
    if ident in frame.going:
        row = frame.going.index(ident)
        going = frame.entries[frame.rows[ident]].going
        rest = whole_s(going.seconds.likely) if going else 0
        left[row] = np.minimum(left[row], rest)
        longer = luck.left[row] > rest
    return luck._replace(seconds=seconds, left=left), longer


def without_faults(luck: Luck, row: int) -> tuple[Luck, Mask]:
    """A gate finds no fault; and where it would have."""
    faults = luck.faults.copy()
    faults[row] = 0
    return luck._replace(faults=faults), luck.faults[row] > 0


def in_time(luck: Luck, carried: Carried, ident: str) -> tuple[Luck, Mask]:
    """What is told for one moment comes no later than likely; and where it would have."""
    rows, frame = carried.due[ident], carried.frame
    likely = np.array([[_likely_due(frame, frame.due[row])] for row in rows], np.int64)
    due = luck.due.copy()
    due[rows] = np.minimum(due[rows], likely)
    return luck._replace(due=due), luck.due[rows[0]] > likely[0]


def _likely_due(frame: Frame, ident: str) -> int:
    return due_s(frame.weekend.activity(ident))


def _failing(frame: Frame, entries: Sequence[Entry]) -> dict[str, list[int]]:
    rows: dict[str, list[int]] = {}
    for entry in entries:
        mine = [row for row, (ident, _) in enumerate(frame.runs) if ident == entry.id]
        if mine:
            rows.setdefault(entry.activity.id, []).extend(mine)
    return rows


def _lengths(frame: Frame, entries: Sequence[Entry]) -> dict[str, list[int]]:
    spots: dict[str, list[int]] = {}
    for entry in entries:
        activity, row = entry.activity, frame.shop.entries[frame.rows[entry.id]]
        ident = activity.id if isinstance(activity, Run) else activity.of or activity.id
        spots.setdefault(ident, []).extend(range(row["first_spot"], row["end_spot"]))
    return spots


def _due(frame: Frame, plan: Plan) -> dict[str, list[int]]:
    told: dict[int, list[int]] = {}
    for row, ident in enumerate(frame.due):
        if ident not in plan.dropped:
            told.setdefault(promised_s(frame.weekend.activity(ident)), []).append(row)
    return {frame.due[rows[0]]: rows for rows in told.values()}


def _likely(frame: Frame) -> Ints:
    """Likely seconds of every spot, without the tending of runs."""
    seconds = []
    for entry in frame.entries:
        activity = entry.activity
        figures = activity.choices if isinstance(activity, Run) else (activity,)
        seconds += [whole_s(figure.seconds.likely) for figure in figures]
    return np.array(seconds, np.int64)
