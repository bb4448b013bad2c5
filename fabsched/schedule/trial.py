"""Carrying plans out, some scenarios now and the others only if it is worth it.

A small change decides over few of the weekends: those that end near the deadline. They are carried
out first, and most changes need not be looked at any further.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.odds import kernel
from fabsched.odds.compile import compile_plan
from fabsched.odds.draws import Draws
from fabsched.odds.state import Out, Play, State, fresh_state
from fabsched.odds.tables import Program
from fabsched.schedule.race import SOFT, Judge, values_of

Reals = NDArray[np.float64]

FIRST_LOOK, NEXT_LOOK, LAST_LOOK = 60, 1.7, 0.8
"""After so many scenarios, the closest first, and every so many times as many, up to that share of all,
a plan is given up if it is clearly worse."""

ALIKE = 100
"""If nothing has changed after so many, nothing will."""

DOUBT = 1.0
"""Standard errors of the sum of differences that count for a plan when it might be given up."""


@dataclass(slots=True)
class Bench:
    """Room to carry out one plan at a time; every thread needs its own.

    Attributes:
        judge: whose luck and whose taste decide.
        scenarios: how many of the judge's scenarios are used, the first ones.
        spent: entries carried out so far, over all plans and scenarios: the measure of effort.
        draws: the weekend and its luck, in an order of this bench's own.
    """

    judge: Judge
    scenarios: int
    spent: int = 0
    draws: Draws = field(init=False, repr=False)
    _state: State = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Make room."""
        self.widen(self.scenarios)
        frame = self.draws.frame
        self._state = fresh_state(frame.shop, len(frame.weekend.stations))

    def widen(self, scenarios: int) -> None:
        """Use so many scenarios from now on, in the judge's order."""
        self.draws = self.judge.draws.head(scenarios)
        self.scenarios = self.draws.scenarios

    def sort(self, values: Reals) -> Reals:
        """Put scenarios first that end near the deadline; their values in the new order.

        Args:
            values: (scenarios,) of the plan by which to sort.
        """
        order = np.argsort(_far(values), kind="stable")
        self.draws = self.draws.sorted(order)
        return values[order]

    def values(self, plan: Plan) -> Reals:
        """The value of a plan in each scenario, (scenarios,)."""
        program = compile_plan(self.draws.frame, plan)
        return self._values(program, 0, self.scenarios) - self.judge.dislike(plan)

    def values_if_near(self, plan: Plan, than: Reals, allowed: float) -> Reals | None:
        """As `values`; None as soon as the plan is clearly worse, or seems not to differ at all.

        Args:
            plan: what to look at.
            than: values of the plan that it would follow.
            allowed: by how much its mean may be lower.
        """
        program, less = compile_plan(self.draws.frame, plan), self.judge.dislike(plan)
        values = np.empty(self.scenarios)
        done = 0
        for end in _looks(self.scenarios):
            values[done:end] = self._values(program, done, end) - less
            done = end
            gains = values[:done] - than[:done]
            if done < self.scenarios and _is_hopeless(gains, allowed * self.scenarios):
                return None
            if ALIKE <= done < self.scenarios and not gains.any():
                return than
        return values

    def _values(self, program: Program, first: int, end: int) -> Reals:
        """The values in some scenarios."""
        none = np.empty(0, np.int64)
        out = Out(np.empty(self.scenarios, np.int64), none, none.reshape(0, 0))
        play = Play(self.draws.frame.shop, program, self.draws.luck, self._state)
        kernel.carry_out(play, out, first, end)
        self.spent += len(program.order) * (end - first)
        return values_of(out.finishes[first:end], self.judge.weekend.deadline_s)


def _looks(scenarios: int) -> Iterator[int]:
    """After how many scenarios a plan is looked at; the last look is after all of them.

    >>> list(_looks(1000))
    [60, 102, 173, 294, 500, 1000]
    """
    look = FIRST_LOOK
    while look < LAST_LOOK * scenarios:
        yield look
        look = round(NEXT_LOOK * look)
    yield scenarios


def mean_of(values: Reals) -> float:
    """Their mean, whatever their order."""
    return float(np.sort(values).sum()) / len(values)


def _far(values: Reals) -> Reals:
    """How far from the deadline scenarios end, by their values: 0 at it."""
    return np.where(values < 0.5, SOFT / 2 - values, values - 1 - SOFT / 2)


def _is_hopeless(gains: Reals, allowed: float) -> bool:
    """Whether a plan need not be looked at any further."""
    error = float(np.sqrt((gains**2).sum()))
    return float(gains.sum()) + DOUBT * error < -allowed
