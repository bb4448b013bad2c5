"""How late something may start."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.simulate import carry_out
from fabsched.odds.tables import Program
from fabsched.odds.truths import AS_TOLD, Truths

STEP_S = 300
"""Last starts are told in whole five minutes, rounded down (our own choice)."""

COST = 0.02
"""Where the odds are below what is wanted anyhow, starting last may cost so much of them, or
`SHARE` of them if that is less (our own choice)."""

SHARE = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Latest:
    """How late things may start.

    Attributes:
        starts: a moment, at most the deadline, for each activity that is not dropped and does not
            go on already; None if no weekend is done in time anyhow.
        cost: by how much starting then may lower the odds; None where it keeps what is wanted.
    """

    starts: Mapping[str, int | None]
    cost: float | None = None


def last_starts(  # noqa: PLR0913 - what is asked, and the luck it is judged under
    weekend: Weekend,
    plan: Plan,
    *,
    wanted: float,
    scenarios: int = 1000,
    seed: int,
    truths: Truths = AS_TOLD,
    watch: Watch = UNWATCHED,
) -> Latest:
    """Until when each activity may be held back while the odds stay at what is wanted.

    Where they are below that without any delay, they may fall by `COST`, or by `SHARE` of what they
    are if that is less.

    One activity is held back at a time, and whoever would have done it does the next most urgent
    thing. Every delay is judged under the same luck. The search halves the time left, taking the
    odds to fall as the delay grows; a delay that happens to help is not looked for.

    Args:
        weekend: what is planned.
        plan: what was decided.
        wanted: chance of being done in time, 0 to 1.
        scenarios: how many weekends to simulate for each delay tried.
        seed: not below zero.
        truths: what is not known about the world.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    draws = draw(compile_weekend(weekend), scenarios, seed, truths=truths)
    program = compile_plan(draws.frame, plan)._replace(until=weekend.deadline_s)
    begun = {*plan.dropped, *draws.frame.going}
    carried = [ident for ident in plan.order if ident not in begun]
    now = _on_time(draws, program)
    if not now:
        return Latest(starts=dict.fromkeys(carried))
    cost = None if now >= wanted else min(COST, SHARE * now)
    limit = wanted if cost is None else now - cost
    found: dict[str, int | None] = {}
    for number, ident in enumerate(carried):
        check(watch)
        watch.report(number / len(carried), "last-starts")
        found[ident] = _last_start(draws, program, draws.frame.rows[ident], limit)
    return Latest(starts=found, cost=cost)


def _last_start(draws: Draws, program: Program, row: int, wanted: float) -> int:
    """The last step of the clock to which one entry may be held back."""
    good = int(program.earliest[row]) // STEP_S
    bad = draws.frame.weekend.deadline_s // STEP_S + 1
    while bad - good > 1:
        middle = (good + bad) // 2
        if _holds(draws, _held_back(program, row, middle * STEP_S), wanted):
            good = middle
        else:
            bad = middle
    return max(good * STEP_S, int(program.earliest[row]))


def _held_back(program: Program, row: int, moment_s: int) -> Program:
    earliest = program.earliest.copy()
    earliest[row] = max(moment_s, earliest[row])
    return program._replace(earliest=earliest)


def _holds(draws: Draws, program: Program, wanted: float) -> bool:
    """Whether enough weekends end in time."""
    return _on_time(draws, program) >= wanted


def _on_time(draws: Draws, program: Program) -> float:
    """Share of the weekends that end in time."""
    finishes = carry_out(draws, program)
    return float(np.mean(finishes <= draws.frame.weekend.deadline_s))
