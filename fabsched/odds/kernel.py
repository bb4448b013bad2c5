"""The dispatch rule, compiled: the finish of a plan in many scenarios.

Does to the second what `model.replay` does, without blocks and reasons; see there for the rule. It
stops once the finish is known. numba releases the interpreter lock, so that threads can share the
scenarios; each scenario stands by itself, so that their number changes nothing.

The cache on disk goes by the age of this file alone: after a change to `spans`, `starts`, `crews`,
`turns`, `deciding` or a constant used here, touch it.
"""

from math import floor

import numpy as np
from numba import njit

from fabsched.model.weekend import MAX_ROUNDS, NOTICE_S
from fabsched.model.windows import NEVER
from fabsched.odds.crews import end_of, gather
from fabsched.odds.deciding import GO_HOME, WAIT, decide_like_others, decide_with_others
from fabsched.odds.spans import OPTIONS, add, inlined
from fabsched.odds.starts import CLEAR, HAND, RESTART, START, likely_hands
from fabsched.odds.state import Out, Play
from fabsched.odds.tables import NONE, Rows
from fabsched.odds.turns import await_turn, take_turn

ENDLESS = -1
"""Told as a finish if a scenario does not come to an end: a bug."""


@inlined
def _arrive(play: Play, e: int, place: int, moment: int) -> None:
    """One of the things an entry waits for is done; the last one releases it."""
    shop, state = play.shop, play.state
    if play.program.rank[e] == NONE:
        return
    entry = shop.entries[e]
    for c in range(entry.first_spot, entry.end_spot):
        there = moment + shop.ways[place, shop.spots[c].place]
        state.released[c] = max(state.released[c], there)
    state.entries[e].held = max(state.entries[e].held, moment)
    state.entries[e].waits -= 1
    if state.entries[e].waits == 0:
        await_turn(play, e, START if entry.alone else HAND)


@inlined
def _finish(play: Play, s: int, e: int, place: int, end: int) -> None:
    """An entry is over: others may follow, or a gate has found a fault and wakes its copies."""
    shop, tally, rank = play.shop, play.state.tally, play.program.rank
    entry = shop.entries[e]
    if end >= NEVER:
        return
    if entry.gate != NONE and entry.round < min(play.luck.faults[entry.gate, s], MAX_ROUNDS):
        for k in range(entry.first_woken, entry.end_woken):
            woken = shop.entries[shop.arcs[k]]
            if rank[shop.arcs[k]] != NONE:
                tally[0].needed += woken.counts
                tally[0].open += woken.counts
            _arrive(play, shop.arcs[k], place, end)
        return
    done = shop.entries[entry.completes]
    tally[0].needed -= done.counts
    tally[0].open -= done.keeps_open
    if done.counts:
        tally[0].finish = max(tally[0].finish, end)
    play.state.entries[entry.completes].done = end
    for k in range(done.first_follower, done.first_woken):
        _arrive(play, shop.arcs[k], place, end)


@inlined
def _by_hand(play: Play, s: int, c: int) -> int:
    """How long hands are really busy with a task or an attended run."""
    luck, spot = play.luck, play.shop.spots[c]
    run = spot.fails
    seconds = int(luck.seconds[c, s])
    hands: int = spot.start_s + seconds + spot.clear_s
    if run != NONE:
        first = luck.first_share[run]
        for attempt in range(luck.failed[run, s]):
            share = np.float64(luck.shares[first + attempt, s])
            hands += floor(share * seconds) + spot.start_s
    return hands


@inlined
def _run_alone(play: Play, s: int, e: int, left: int, seconds: int, watch: int) -> int:
    """The machine runs until it is done, or has failed and somebody has noticed; when that is.

    It is left alone after it has run for the watch; what fails until then is noticed then.
    """
    luck, state, begin = play.luck, play.state, left - watch
    spot = play.shop.spots[state.entries[e].spot]
    run = spot.fails
    attempt = state.entries[e].attempt
    state.machines[spot.machine] = NEVER
    if run != NONE and attempt < luck.failed[run, s]:
        share = np.float64(luck.shares[luck.first_share[run] + attempt, s])
        state.entries[e].attempt = attempt + 1
        ran = floor(share * seconds)
        stops: int = left if ran < watch else begin + ran + NOTICE_S
        state.entries[e].held = stops
        await_turn(play, e, RESTART)
        return stops
    stops = begin + seconds
    if spot.clear_s > 0:
        state.entries[e].held = stops
        await_turn(play, e, CLEAR)
    else:
        state.machines[spot.machine] = stops
        _finish(play, s, e, spot.place, stops)
    return stops


@inlined
def _do(play: Play, s: int, p: int, e: int, c: int, start: int) -> None:
    """Carry a step out and let everything follow from it."""
    state, spot, step = play.state, play.shop.spots[c], play.state.entries[e].step
    hands = _by_hand(play, s, c) if step == HAND else likely_hands(spot, step)
    hours = play.shop.hours[p, c]
    end = add(play.shop.spans, state.seen[hours], start, hands)
    state.people[p].free = end
    state.people[p].place = spot.place
    state.tally[0].looker = NONE
    state.entries[e].spot = c
    take_turn(state, e)
    if step in (START, RESTART):
        stops = _run_alone(play, s, e, end, int(play.luck.seconds[c, s]), spot.watch_s)
        if spot.stays:
            state.people[p].bound = max(state.people[p].bound, stops)
    else:
        if spot.machine != NONE:
            state.machines[spot.machine] = end
        _finish(play, s, e, spot.place, end)
    _wake(state.people, end)


@inlined
def _do_together(play: Play, s: int, p: int, e: int, c: int, start: int) -> None:
    """Several people do a task and are held until it ends."""
    people, place = play.state.people, play.shop.spots[c].place
    gather(play, p, e, people[p].free, wide=False)
    end = end_of(play, c, start, _by_hand(play, s, c))
    for i in range(len(people)):
        if people[i].picked:
            people[i].free, people[i].place = end, place
            people[i].idle, people[i].keeps, people[i].stands_back = 0, NONE, 0
    take_turn(play.state, e)
    _finish(play, s, e, place, end)
    _wake(people, end)


@inlined
def _wake(people: Rows, moment: int) -> None:
    """Whoever waits looks again when a step has changed what there is to do."""
    for p in range(len(people) if len(people) > 1 else 0):
        if people[p].idle and people[p].free > moment:
            people[p].free = moment


@inlined
def _expect(play: Play, s: int, e: int) -> None:
    """Nothing of an entry has happened yet."""
    entry, mine = play.shop.entries[e], play.state.entries
    earliest: int = play.program.earliest[e]
    leaves: int = play.program.leaves[e]
    if entry.due != NONE:
        earliest = max(earliest, play.luck.due[entry.due, s])
        leaves = max(leaves, play.luck.due[entry.due, s])
    mine[e].waits = play.program.waits[e]
    mine[e].held = leaves
    mine[e].attempt = 0
    mine[e].done = NEVER
    for c in range(entry.first_spot, entry.end_spot):
        play.state.released[c] = earliest


@inlined
def _go_on(play: Play, s: int, e: int) -> None:
    """A run that was started before goes on from the beginning, or waits to be cleared."""
    entry, people = play.shop.entries[e], play.state.people
    play.state.entries[e].spot = entry.going_spot
    left, free = int(play.luck.left[entry.going, s]), play.program.begin + entry.going_watch
    if entry.going_by != NONE:
        people[entry.going_by].free = max(people[entry.going_by].free, free)
    stops = _run_alone(play, s, e, free, left, entry.going_watch)
    if entry.going_by != NONE and play.shop.spots[entry.going_spot].stays:
        people[entry.going_by].bound = max(people[entry.going_by].bound, stops)


@inlined
def _reset(play: Play, s: int) -> None:
    """Everybody where they are at first, everything free that does not go on, nothing done."""
    shop, program, state = play.shop, play.program, play.state
    state.tally[0].urgent, state.tally[0].finish = 0, program.begin
    state.tally[0].looker = NONE
    state.tally[0].needed, state.tally[0].open = program.needed, program.open
    state.machines[:] = program.begin
    for row in range(len(state.seen)):
        state.seen[row] = row
    for p in range(len(state.people)):
        state.people[p].free = program.begin
        state.people[p].place = shop.starts[p]
        state.people[p].bound = program.begin
        state.people[p].idle = 0
        state.people[p].keeps, state.people[p].stands_back = NONE, 0
    for e in program.order:
        _expect(play, s, e)
    for e in program.order:
        if program.waits[e] == 0 and shop.entries[e].going == NONE:
            await_turn(play, e, START if shop.entries[e].alone else HAND)
    for e in program.order:
        if shop.entries[e].going != NONE:
            _go_on(play, s, e)


@inlined
def _next_person(people: Rows) -> int:
    """Who is free first; on a tie who does not stand back, and of those the first listed."""
    first = 0
    for p in range(1, len(people)):
        later = people[first].stands_back and not people[p].stands_back
        if people[p].free < people[first].free or (later and people[p].free == people[first].free):
            first = p
    return first


@inlined
def _act(play: Play, s: int, p: int, crews: bool) -> None:
    """Let somebody do a step, wait or go home."""
    shop, person = play.shop, play.state.people
    person[p].idle, person[p].keeps, person[p].stands_back = 0, NONE, 0
    if crews:
        e, c, start = decide_with_others(play, p, person[p].free)
    else:
        e, c, start = decide_like_others(play, p, person[p].free)
    if e == WAIT:
        person[p].stands_back = start == person[p].free
        person[p].free, person[p].keeps = start, c
        person[p].idle = 1
    elif e == GO_HOME:
        person[p].free += shop.ways[person[p].place, shop.bases[p]]
        person[p].place = shop.bases[p]
    elif crews and shop.entries[e].crew > 1:
        _do_together(play, s, p, e, c, start)
    else:
        _do(play, s, p, e, c, start)


@njit(nogil=True, **OPTIONS)
def carry_out(play: Play, out: Out, first: int, end: int) -> None:
    """Carry a plan out in the scenarios from first to before end.

    Args:
        play: the plan, the shop, the luck, and a state to work in.
        out: receives what becomes of it.
        first: the first scenario to do.
        end: the first one not to do.
    """
    people, tally = play.state.people, play.state.tally
    crews = False
    for e in play.program.order:
        crews |= play.shop.entries[e].crew > 1
    for s in range(first, end):
        _reset(play, s)
        for _ in range(play.program.turns):
            p = _next_person(people)
            nobody = len(people) == 0 or people[p].free >= play.program.until
            if nobody or tally[0].open == 0:
                out.finishes[s] = NEVER if tally[0].needed > 0 else tally[0].finish
                break
            _act(play, s, p, crews)
        else:
            out.finishes[s] = ENDLESS
        for k in range(len(out.watched)):
            out.done[k, s] = play.state.entries[out.watched[k]].done
