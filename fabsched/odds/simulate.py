"""The finish of a plan over many weekends."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabsched.model.plan import Plan
from fabsched.model.weekend import Weekend
from fabsched.odds import kernel
from fabsched.odds.compile import compile_plan, compile_weekend
from fabsched.odds.draws import Draws, draw
from fabsched.odds.state import Out, Play, fresh_state
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
    return _played(draws, program, np.empty(0, np.int64), threads).finishes


def done_by(
    draws: Draws, plan: Plan, idents: Sequence[str], *, threads: int = 1
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """When some entries of a plan are done, and the plan itself.

    Args:
        draws: the weekend and its luck.
        plan: what was decided.
        idents: ids of activities that are carried out.
        threads: how many share the scenarios.

    Returns:
        (entries, scenarios) moments, `windows.NEVER` where that is not before the finish is known,
        and the finishes.
    """
    watched = np.array([draws.frame.rows[ident] for ident in idents], np.int64)
    out = _played(draws, compile_plan(draws.frame, plan), watched, threads)
    return out.done, out.finishes


def _played(draws: Draws, program: Program, watched: NDArray[np.int64], threads: int) -> Out:
    """What becomes of a plan; entries are watched by their rows."""
    out = Out(
        finishes=np.empty(draws.scenarios, np.int64),
        watched=watched,
        done=np.empty((len(watched), draws.scenarios), np.int64),
    )
    chunks = list(pairwise(draws.scenarios * i // threads for i in range(threads + 1)))
    if threads == 1:
        _carry_out(draws, program, out, chunks[0])
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(lambda chunk: _carry_out(draws, program, out, chunk), chunks))
    if (out.finishes == kernel.ENDLESS).any():
        raise AssertionError("the dispatch rule does not come to an end")
    return out


def _carry_out(draws: Draws, program: Program, out: Out, chunk: tuple[int, int]) -> None:
    state = fresh_state(draws.frame.shop, len(draws.frame.weekend.stations))
    play = Play(draws.frame.shop, program, draws.luck, state)
    kernel.carry_out(play, out, *chunk)
