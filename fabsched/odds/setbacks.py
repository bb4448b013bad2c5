"""Which setback costs how much."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from fabsched.model.network import Entry
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.units import whole_s
from fabsched.model.weekend import Run, Weekend
from fabsched.odds.compile import Frame, compile_plan, compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.simulate import carry_out
from fabsched.odds.tables import Ints, Luck, Program


class Mishap(StrEnum):
    """What goes wrong. The wording table's `[setback]` has a template for each."""

    FAILS = "fails"
    OVERRUNS = "overruns"
    FAULT = "fault"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setback:
    """What it costs that something may go wrong.

    Attributes:
        kind: what goes wrong.
        id: id of the run, work or gate.
        cost: by how much the chance of being done in time would rise if it could not happen; now
            and then a little below zero, since a delay may happen to help.
        chance: in which share of the weekends it happens.
    """

    kind: Mishap
    id: str
    cost: float
    chance: float


def setbacks(
    weekend: Weekend,
    plan: Plan,
    *,
    scenarios: int = 4000,
    seed: int,
    watch: Watch = UNWATCHED,
) -> tuple[Setback, ...]:
    """What each setback costs, the costliest first.

    The same weekends are simulated with and without each of them: a run never fails, work or a
    machine never takes longer than likely, a gate finds no fault. Repetitions after a fault, and
    all pieces of one work, are taken along.

    Args:
        weekend: what is planned.
        plan: what was decided; what it drops has no setbacks.
        scenarios: how many weekends to simulate.
        seed: not below zero.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    draws = draw(compile_weekend(weekend), scenarios, seed)
    program = compile_plan(draws.frame, plan)._replace(until=weekend.deadline_s)
    base = _on_time(draws, program)
    found = []
    spared = list(_spared(draws, plan))
    for number, (setback, luck) in enumerate(spared):
        check(watch)
        watch.report(number / len(spared), "setbacks")
        gained = _on_time(replace(draws, luck=luck), program) - base
        found.append(replace(setback, cost=gained))
    return tuple(sorted(found, key=lambda setback: (-setback.cost, setback.id, setback.kind)))


def _on_time(draws: Draws, program: Program) -> float:
    return float(np.mean(carry_out(draws, program) <= draws.frame.weekend.deadline_s))


Spared = tuple[Setback, Luck]
"""A setback, and the luck without it."""


def _spared(draws: Draws, plan: Plan) -> Iterator[Spared]:
    """Every setback that happens in some weekend, and the luck without it."""
    frame, luck = draws.frame, draws.luck
    carried = [entry for entry in frame.entries if entry.activity.id not in plan.dropped]
    for ident, rows in _runs(frame, carried).items():
        failed = luck.failed.copy()
        failed[rows] = 0
        chance = np.mean(luck.failed[rows[0]] > 0)
        yield from _one(Mishap.FAILS, ident, chance, luck._replace(failed=failed))
    for ident, rows in _lengths(frame, carried).items():
        yield from _on_schedule(frame, luck, ident, rows)
    for row, ident in enumerate(frame.gates):
        if ident not in plan.dropped:
            faults = luck.faults.copy()
            faults[row] = 0
            chance = np.mean(luck.faults[row] > 0)
            yield from _one(Mishap.FAULT, ident, chance, luck._replace(faults=faults))


def _on_schedule(frame: Frame, luck: Luck, ident: str, rows: list[int]) -> Iterator[Spared]:
    """Something takes no longer than likely, nor does what is left of it if it goes on already."""
    likely, seconds, left = _likely(frame)[:, np.newaxis], luck.seconds.copy(), luck.left.copy()
    seconds[rows] = np.minimum(seconds[rows], likely[rows])
    longer = luck.seconds[rows[0]] > likely[rows[0]]
    if ident in frame.going:
        row = frame.going.index(ident)
        rest = _left_s(frame.entries[frame.rows[ident]])
        left[row] = np.minimum(left[row], rest)
        longer = luck.left[row] > rest
    yield from _one(
        Mishap.OVERRUNS, ident, np.mean(longer), luck._replace(seconds=seconds, left=left)
    )


def _left_s(entry: Entry) -> int:
    """What is likely left of what goes on already."""
    return whole_s(entry.going.seconds.likely) if entry.going else 0


def _one(kind: Mishap, ident: str, chance: np.floating, luck: Luck) -> Iterator[Spared]:
    if chance > 0:
        yield Setback(kind=kind, id=ident, cost=0.0, chance=float(chance)), luck


def _runs(frame: Frame, carried: list[Entry]) -> dict[str, list[int]]:
    """Rows of failures of each run, its own first."""
    rows: dict[str, list[int]] = {}
    for entry in carried:
        if entry.id in frame.runs:
            rows.setdefault(entry.activity.id, []).append(frame.runs.index(entry.id))
    return rows


def _lengths(frame: Frame, carried: list[Entry]) -> dict[str, list[int]]:
    """Spots of each run and of each work, its own first."""
    spots: dict[str, list[int]] = {}
    for entry in carried:
        activity, row = entry.activity, frame.shop.entries[frame.rows[entry.id]]
        ident = activity.id if isinstance(activity, Run) else activity.of or activity.id
        spots.setdefault(ident, []).extend(range(row["first_spot"], row["end_spot"]))
    return spots


def _likely(frame: Frame) -> Ints:
    """Likely seconds of every spot, without the tending of runs."""
    seconds = []
    for entry in frame.entries:
        activity = entry.activity
        figures = activity.choices if isinstance(activity, Run) else (activity,)
        seconds += [whole_s(figure.seconds.likely) for figure in figures]
    return np.array(seconds, np.int64)
