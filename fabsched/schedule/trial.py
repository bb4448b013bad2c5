"""Carrying plans out, some scenarios now and the others only if it is worth it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.odds import kernel
from fabsched.odds.compile import compile_plan
from fabsched.odds.draws import Draws
from fabsched.odds.state import Out, Play, State, fresh_state
from fabsched.odds.tables import Program
from fabsched.schedule.race import Judge, values_of

Reals = NDArray[np.float64]

LOOKS = (100, 300)
"""After so many scenarios a plan is given up if it is clearly worse than the one it would follow."""

DOUBT = 1.0
"""Standard errors of the mean difference that count for a plan when it might be given up."""


@dataclass(slots=True)
class Bench:
    """Room to carry out one plan at a time; every thread needs its own.

    Attributes:
        judge: whose luck and whose taste decide.
        spent: entries carried out so far, over all plans and scenarios: the measure of effort.
    """

    judge: Judge
    spent: int = 0
    _state: State = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Make room."""
        frame = self.draws.frame
        self._state = fresh_state(frame.shop, len(frame.weekend.stations))

    @property
    def draws(self) -> Draws:
        """The weekend and its luck."""
        return self.judge.draws

    def values(self, plan: Plan) -> Reals:
        """The value of a plan in each scenario, (scenarios,)."""
        program = compile_plan(self.draws.frame, plan)
        return self._values(program, 0, self.draws.scenarios) - self.judge.dislike(plan)

    def values_if_near(self, plan: Plan, than: Reals, allowed: float) -> Reals | None:
        """As `values`; None as soon as the plan is clearly worse, or seems not to differ at all.

        Args:
            plan: what to look at.
            than: values of the plan that it would follow.
            allowed: by how much its mean may be lower.
        """
        program, less = compile_plan(self.draws.frame, plan), self.judge.dislike(plan)
        values = np.empty(self.draws.scenarios)
        done = 0
        for look in (*LOOKS, self.draws.scenarios):
            end = min(look, self.draws.scenarios)
            values[done:end] = self._values(program, done, end) - less
            done = end
            if done < self.draws.scenarios and _is_hopeless(values[:done] - than[:done], allowed):
                return None
        return values

    def _values(self, program: Program, first: int, end: int) -> Reals:
        """The values in some scenarios."""
        none = np.empty(0, np.int64)
        out = Out(np.empty(self.draws.scenarios, np.int64), none, none.reshape(0, 0))
        play = Play(self.draws.frame.shop, program, self.draws.luck, self._state)
        kernel.carry_out(play, out, first, end)
        self.spent += len(program.order) * (end - first)
        return values_of(out.finishes[first:end], self.judge.weekend.deadline_s)


def _is_hopeless(gains: Reals, allowed: float) -> bool:
    """Whether a plan need not be looked at any further."""
    error = float(gains.std()) / np.sqrt(len(gains))
    return not gains.any() or float(gains.mean()) + DOUBT * error < -allowed
