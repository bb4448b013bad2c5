"""Weighing changes against a plan: how much chance they win, on the same luck."""

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.counsel import Gain
from fabsched.model.plan import Plan
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.sample import Sample
from fabsched.odds.simulate import carry_out
from fabsched.schedule.race import Judge
from fabsched.schedule.replan import carried_over
from fabsched.schedule.search import searched

WORK = 600_000
"""Entries carried out to find a better order after a change: a tenth of a second."""

Mask = NDArray[np.bool_]
"""(scenarios,) whether it is done in time."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scales:
    """A plan that changes are weighed against.

    Attributes:
        weekend: what is planned.
        plan: what was decided.
        sample: weekends to simulate; none that the plan was chosen on.
        base: where the plan is done in time.
        known: by how much its chance is above that on the sample, being known from more weekends.
    """

    weekend: Weekend
    plan: Plan
    sample: Sample
    base: Mask
    known: float = 0.0

    @classmethod
    def of(cls, weekend: Weekend, plan: Plan, sample: Sample) -> "Scales":
        """Put a plan on the scales."""
        base = in_time(weekend, plan, sample)
        return cls(weekend=weekend, plan=plan, sample=sample, base=base)

    def gain(self, weekend: Weekend, plan: Plan) -> Gain:
        """What another plan wins, for the same weekend or a changed one."""
        return gain_of(self.base, in_time(weekend, plan, self.sample))

    def reordered(self, weekend: Weekend, plan: Plan, work: int = WORK) -> Plan:
        """The plan for a changed weekend, with the best order found on weekends of its own.

        Args:
            weekend: the changed one.
            plan: a plan for it.
            work: entries to carry out.
        """
        own = replace(self.sample, seed=self.sample.seed + 1)
        judge = Judge(own.draws(compile_weekend(weekend)), threads=own.threads)
        return searched(judge, [plan], work=work, seed=own.seed)

    def carried(self, weekend: Weekend) -> Plan:
        """The plan as one for a changed weekend."""
        return carried_over(weekend, self.plan)


def gain_of(before: Mask, after: Mask) -> Gain:
    """What is won between two outcomes of the same weekends."""
    difference = after.astype(np.float64) - before.astype(np.float64)
    return Gain(
        on_time=float(after.mean()),
        gain=float(difference.mean()),
        error=float(difference.std()) / sqrt(len(difference)),
    )


def in_time(weekend: Weekend, plan: Plan, sample: Sample) -> Mask:
    """In which weekends a plan is done in time."""
    draws = sample.draws(compile_weekend(weekend))
    program = compile_plan(draws.frame, plan)._replace(until=weekend.deadline_s)
    finishes = carry_out(draws, program, threads=sample.threads)
    return np.asarray(finishes <= weekend.deadline_s)
