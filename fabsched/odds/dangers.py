"""The most dangerous blocks: what costs most chance, whatever goes wrong with it."""

from dataclasses import replace

import numpy as np

from fabsched.model.network import Entry
from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Weekend
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.sample import Sample
from fabsched.odds.simulate import carry_out
from fabsched.odds.sparing import (
    Carried,
    Mask,
    carried_by,
    without_failures,
    without_faults,
    without_overrun,
)
from fabsched.odds.tables import Luck
from fabsched.odds.told import Danger


def dangers(
    weekend: Weekend, plan: Plan, sample: Sample, *, watch: Watch = UNWATCHED
) -> tuple[Danger, ...]:
    """How dangerous every run, work and gate of a plan is, the most dangerous first.

    The same weekends are simulated with and without everything that may go wrong with it.

    Args:
        weekend: what is planned.
        plan: what was decided.
        sample: weekends to simulate.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    draws = sample.draws(compile_weekend(weekend))
    program = compile_plan(draws.frame, plan)._replace(until=weekend.deadline_s)
    carried = carried_by(draws, plan)

    def late(luck: Luck) -> Mask:
        finishes = carry_out(replace(draws, luck=luck), program, threads=sample.threads)
        return np.asarray(finishes > weekend.deadline_s)

    base, found = late(draws.luck), []
    for number, ident in enumerate(carried.lengths):
        check(watch)
        watch.report(number / len(carried.lengths), "dangers")
        wrong = _goes_wrong(draws.luck, carried, ident)
        found.append(
            Danger(
                id=ident,
                cost=float(base.mean() - late(_spared(draws.luck, carried, ident)).mean()),
                wrong=float(wrong.mean()),
                wrong_if_late=float(wrong[base].mean()) if base.any() else None,
            )
        )
    return tuple(sorted(found, key=lambda danger: (-danger.cost, danger.id)))


def _spared(luck: Luck, carried: Carried, ident: str) -> Luck:
    """Luck in which nothing goes wrong with it."""
    luck, _ = without_overrun(luck, carried, ident)
    if ident in carried.failing:
        luck, _ = without_failures(luck, carried.failing[ident])
    if ident in carried.faults:
        luck, _ = without_faults(luck, carried.faults[ident])
    return luck


def _goes_wrong(luck: Luck, carried: Carried, ident: str) -> Mask:
    """Where it fails, finds a fault, or takes longer than its high figure."""
    frame = carried.frame
    row = carried.lengths[ident][0]
    entry = frame.entries[int(np.searchsorted(frame.shop.entries["first_spot"], row))]
    wrong: Mask = luck.seconds[row] > _figures(entry).high
    if entry.going:
        wrong = luck.left[frame.going.index(ident)] > entry.going.seconds.high
    if ident in carried.failing:
        wrong = wrong | (luck.failed[carried.failing[ident][0]] > 0)
    if ident in carried.faults:
        wrong = wrong | (luck.faults[carried.faults[ident]] > 0)
    return wrong


def _figures(entry: Entry) -> Spread:
    """What is told of its length, on the preferred machine."""
    activity = entry.activity
    return (activity.choices[0] if isinstance(activity, Run) else activity).seconds
