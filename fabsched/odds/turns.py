"""What waits for somebody, the most urgent first, compiled.

Inlined into `kernel`; after a change here, touch that file.
"""

from fabsched.odds.spans import inlined
from fabsched.odds.starts import HAND
from fabsched.odds.state import Play, State


@inlined
def await_turn(play: Play, e: int, step: int) -> None:
    """An entry has a next step: file it by its urgency."""
    state, rank, size = play.state, play.program.rank, len(play.program.rank)
    state.entries[e].step = step
    key = min(step, HAND) * size + rank[e]
    k = state.tally[0].urgent
    state.tally[0].urgent += 1
    while k > 0:
        other = state.urgent[k - 1]
        if min(state.entries[other].step, HAND) * size + rank[other] < key:
            break
        state.urgent[k] = other
        k -= 1
    state.urgent[k] = e


@inlined
def take_turn(state: State, e: int) -> None:
    """A step is taken: it is no longer filed."""
    k = 0
    while state.urgent[k] != e:
        k += 1
    state.tally[0].urgent -= 1
    for i in range(k, state.tally[0].urgent):
        state.urgent[i] = state.urgent[i + 1]
