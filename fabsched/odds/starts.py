"""When somebody could begin a step, compiled: as `model.steps` has it.

Inlined into `kernel`; after a change here, touch that file.
"""

from typing import Any

from fabsched.model.windows import NEVER
from fabsched.odds.spans import first_fit, inlined, next_open, window_at
from fabsched.odds.state import Play
from fabsched.odds.tables import NONE

OUT, RESTART, CLEAR, HAND, START = -1, 0, 1, 2, 3
"""What an entry waits for: nothing (not released, in work or done), or as in `model.steps.Step`."""


@inlined
def likely_hands(spot: Any, step: int) -> int:
    """How long hands are likely to be busy with a step."""
    seconds: int = spot.hands_s
    if step == CLEAR:
        seconds = spot.clear_s
    elif step == RESTART:
        seconds = spot.clear_s + spot.start_s + spot.watch_s
    return seconds


@inlined
def first_start(play: Play, p: int, e: int, c: int, moment: int, now: int) -> int:
    """As `Hours.first_start`: the first start the hours allow."""
    spans, seen, spot = play.shop.spans, play.state.seen, play.shop.spots[c]
    step = play.state.entries[e].step
    i = window_at(spans, seen, play.shop.hours[p, c], now)
    if play.shop.entries[e].splittable:
        opens: int = next_open(spans, i, moment)
        return opens
    seconds = likely_hands(spot, step)
    start: int = first_fit(spans, i, moment, seconds)
    if step in (START, RESTART):
        before = seconds - spot.watch_s
        j = window_at(spans, seen, play.shop.runs[p, c], now)
        while start < NEVER:
            left = start + before
            runs = first_fit(spans, j, left, spot.alone_s)
            if runs == left:
                break
            start = first_fit(spans, i, runs - before, seconds)
    return start


@inlined
def held_until(play: Play, e: int, c: int, way: int) -> int:
    """Until when somebody with a way to go is kept from setting out, as `Hold.for_way`."""
    held: int = play.state.entries[e].held
    if play.state.entries[e].step >= HAND:
        held = max(held, play.state.released[c] - way)
        machine = play.shop.spots[c].machine
        if machine != NONE:
            held = max(held, play.state.machines[machine])
    return held
