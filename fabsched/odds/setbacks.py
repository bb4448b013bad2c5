"""Which setback costs how much."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.simulate import carry_out
from fabsched.odds.sparing import (
    Mask,
    carried_by,
    in_time,
    without_failures,
    without_faults,
    without_overrun,
)
from fabsched.odds.tables import Luck, Program
from fabsched.odds.told import Mishap, Setback
from fabsched.odds.truths import AS_TOLD, Truths


def setbacks(
    weekend: Weekend,
    plan: Plan,
    *,
    scenarios: int = 4000,
    seed: int,
    truths: Truths = AS_TOLD,
    watch: Watch = UNWATCHED,
) -> tuple[Setback, ...]:
    """What each setback costs, the costliest first.

    The same weekends are simulated with and without each of them: a run never fails, work or a
    machine never takes longer than likely, a gate finds no fault, a delivery is never later than
    likely. Repetitions after a fault, all pieces of one work, and all that waits for one delivery,
    are taken along.

    Args:
        weekend: what is planned.
        plan: what was decided; what it drops has no setbacks.
        scenarios: how many weekends to simulate.
        seed: not below zero.
        truths: what is not known about the world.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    draws = draw(compile_weekend(weekend), scenarios, seed, truths=truths)
    program = compile_plan(draws.frame, plan)._replace(until=weekend.deadline_s)
    base = _on_time(draws, program)
    found: list[Setback] = []
    expected = len(carried_by(draws, plan).lengths) * 2
    for setback, luck in _spared(draws, plan):
        check(watch)
        watch.report(min(1.0, len(found) / expected), "setbacks")
        gained = _on_time(replace(draws, luck=luck), program) - base
        found.append(replace(setback, cost=gained))
    return tuple(sorted(found, key=lambda setback: (-setback.cost, setback.id, setback.kind)))


def _on_time(draws: Draws, program: Program) -> float:
    return float(np.mean(carry_out(draws, program) <= draws.frame.weekend.deadline_s))


def _spared(draws: Draws, plan: Plan) -> Iterator[tuple[Setback, Luck]]:
    """Every setback that happens in some weekend, and the luck without it."""
    luck, carried = draws.luck, carried_by(draws, plan)
    for ident, rows in carried.failing.items():
        yield from _one(Mishap.FAILS, ident, *without_failures(luck, rows))
    for ident in carried.lengths:
        yield from _one(Mishap.OVERRUNS, ident, *without_overrun(luck, carried, ident))
    for ident, row in carried.faults.items():
        yield from _one(Mishap.FAULT, ident, *without_faults(luck, row))
    for ident in carried.due:
        yield from _one(Mishap.LATE, ident, *in_time(luck, carried, ident))


def _one(kind: Mishap, ident: str, luck: Luck, happens: Mask) -> Iterator[tuple[Setback, Luck]]:
    if happens.any():
        yield Setback(kind=kind, id=ident, cost=0.0, chance=float(happens.mean())), luck
