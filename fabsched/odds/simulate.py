"""The finish of a plan over many weekends."""

from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.weekend import Weekend
from fabsched.odds import kernel
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.state import Play, fresh_state
from fabsched.odds.tables import Program


def simulate(weekend: Weekend, plan: Plan, *, scenarios: int, seed: int) -> NDArray[np.int64]:
    """Finishes of a plan, (scenarios,) moments; `windows.NEVER` where it is never done.

    Args:
        weekend: what is planned.
        plan: what was decided.
        scenarios: how many weekends to simulate.
        seed: not below zero; the same seed gives the same finishes bit for bit.

    Raises:
        ValueError: the plan does not name every activity exactly once.
    """
    return finishes_of(draw(compile_weekend(weekend), scenarios, seed), plan)


def finishes_of(draws: Draws, plan: Plan, *, threads: int = 1) -> NDArray[np.int64]:
    """Finishes of a plan under luck drawn before, (scenarios,) moments.

    Args:
        draws: the weekend and its luck.
        plan: what was decided.
        threads: how many share the scenarios; the result does not depend on it.
    """
    return carry_out(draws, compile_plan(draws.frame, plan), threads=threads)


def carry_out(draws: Draws, program: Program, *, threads: int = 1) -> NDArray[np.int64]:
    """As `finishes_of`, for a plan that has been compiled."""
    finishes = np.empty(draws.scenarios, np.int64)
    chunks = list(pairwise(draws.scenarios * i // threads for i in range(threads + 1)))
    if threads == 1:
        _carry_out(draws, program, finishes, chunks[0])
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(lambda chunk: _carry_out(draws, program, finishes, chunk), chunks))
    if (finishes == kernel.ENDLESS).any():
        raise AssertionError("the dispatch rule does not come to an end")
    return finishes


def _carry_out(
    draws: Draws, program: Program, finishes: NDArray[np.int64], chunk: tuple[int, int]
) -> None:
    state = fresh_state(draws.frame.shop, len(draws.frame.weekend.stations))
    play = Play(draws.frame.shop, program, draws.luck, state)
    kernel.carry_out(play, finishes, *chunk)
