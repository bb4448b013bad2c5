"""The dispatch rule, compiled: the finish of a plan in many scenarios.

Does to the second what `model.replay` does, without blocks and reasons; see there for the rule. It
stops once the finish is known. numba releases the interpreter lock, so that threads can share the
scenarios; each scenario stands by itself, so that their number changes nothing.
"""

from math import floor
from typing import Any, NamedTuple

import numpy as np
from numba import njit

from fabsched.model.weekend import MAX_ROUNDS, NOTICE_S
from fabsched.model.windows import NEVER
from fabsched.odds.tables import NONE, Ints, Luck, Program, Rows, Shop

_OPTIONS: dict[str, Any] = {"cache": True, "_nrt": False}
"""numba's own switch for counting references, off: nothing here makes or keeps an array, and the
counting would take nine tenths of the time."""

_inlined = njit(forceinline=True, **_OPTIONS)
"""Everything but the entry point: handing the tables from function to function costs as well."""

OUT, RESTART, CLEAR, HAND, START = -1, 0, 1, 2, 3
"""What an entry waits for: nothing (not released, in work or done), or as in `model.steps.Step`."""

WAIT, GO_HOME = -1, -2
"""Decisions that are no step."""

MINE = np.dtype(
    [
        ("step", np.int64),
        ("waits", np.int64),
        ("held", np.int64),
        ("spot", np.int64),
        ("attempt", np.int64),
    ]
)
"""An entry: its next step, how many others it waits for, until when these last or it runs alone, its
spot, its failed attempts so far."""

PERSON = np.dtype([("free", np.int64), ("place", np.int64), ("idle", np.int64)])
"""A person: when they are free, where they are, whether they only wait until then."""

TALLY = np.dtype(
    [("urgent", np.int64), ("needed", np.int64), ("open", np.int64), ("finish", np.int64)]
)
"""How many steps are to be taken, how many entries the finish waits for, how many keep the scenario
open (optional gates may still find a fault), and the finish so far."""


ENDLESS = -1
"""Told as a finish if a scenario does not come to an end: a bug."""


class State(NamedTuple):
    """What changes while one scenario is carried out.

    Attributes:
        entries: (n,) of `MINE`.
        people: (people,) of `PERSON`.
        machines: (machines,) moment at which each is free; `NEVER` while that is not known.
        released: (m,) moment at which what an entry waits for has been brought to each of its spots.
        urgent: (n,) entries with a next step, the most urgent first.
        seen: (windows,) for the first row of a set, its first window that has not ended.
        tally: (1,) of `TALLY`.
    """

    entries: Rows
    people: Rows
    machines: Ints
    released: Ints
    urgent: Ints
    seen: Ints
    tally: Rows


class Play(NamedTuple):
    """A plan in the shop under one luck or another."""

    shop: Shop
    program: Program
    luck: Luck
    state: State


@_inlined
def _window(spans: Ints, seen: Ints, hours: int, now: int) -> int:
    """First window of a set that ends after now; remembered, since now only moves on."""
    i: int = seen[hours]
    while spans[i, 1] <= now:
        i += 1
    seen[hours] = i
    return i


@_inlined
def _next_open(spans: Ints, i: int, moment: int) -> int:
    """As `Windows.next_open`, from a window on."""
    while spans[i, 1] <= moment:
        i += 1
    found: int = min(max(spans[i, 0], moment), NEVER)
    return found


@_inlined
def _first_fit(spans: Ints, i: int, moment: int, seconds: int) -> int:
    """As `Windows.first_fit`, from a window on."""
    while spans[i, 1] <= moment or max(spans[i, 0], moment) + seconds > spans[i, 1]:
        i += 1
    found: int = min(max(spans[i, 0], moment), NEVER)
    return found


@_inlined
def _add(spans: Ints, i: int, moment: int, seconds: int) -> int:
    """As `Windows.add`, from a window on."""
    if seconds <= 0:
        return moment
    while True:
        begin: int = max(spans[i, 0], moment)
        if begin >= NEVER:
            return NEVER
        if begin + seconds <= spans[i, 1]:
            return begin + seconds
        seconds -= max(0, spans[i, 1] - begin)
        i += 1


@_inlined
def _hands(spot: Any, step: int) -> int:
    """How long hands are likely to be busy with a step."""
    seconds: int = spot.hands_s
    if step == CLEAR:
        seconds = spot.clear_s
    elif step == RESTART:
        seconds = spot.clear_s + spot.start_s
    return seconds


@_inlined
def _first_start(play: Play, p: int, e: int, c: int, moment: int, now: int) -> int:
    """As `Hours.first_start`: the first start the hours allow."""
    spans, seen, spot = play.shop.spans, play.state.seen, play.shop.spots[c]
    step = play.state.entries[e].step
    i = _window(spans, seen, play.shop.hours[p, c], now)
    if play.shop.entries[e].splittable:
        opens: int = _next_open(spans, i, moment)
        return opens
    hands = _hands(spot, step)
    start: int = _first_fit(spans, i, moment, hands)
    if step in (START, RESTART):
        j = _window(spans, seen, spot.hours, now)
        while start < NEVER:
            left = start + hands
            runs = _first_fit(spans, j, left, spot.alone_s)
            if runs == left:
                break
            start = _first_fit(spans, i, runs - hands, hands)
    return start


@_inlined
def _held(play: Play, e: int, c: int, way: int) -> int:
    """Until when somebody with a way to go is kept from setting out, as `Hold.for_way`."""
    held: int = play.state.entries[e].held
    if play.state.entries[e].step >= HAND:
        held = max(held, play.state.released[c] - way)
        machine = play.shop.spots[c].machine
        if machine != NONE:
            held = max(held, play.state.machines[machine])
    return held


@_inlined
def _offer(play: Play, p: int, e: int, now: int) -> tuple[int, int, int]:
    """As `offer_of`: start (`NEVER` if there is none), way before and spot."""
    shop, state = play.shop, play.state
    first, end = shop.entries[e].first_spot, shop.entries[e].end_spot
    if state.entries[e].step < HAND:
        first = state.entries[e].spot
        end = first + 1
    best, best_way, best_spot = NEVER, 0, first
    for c in range(first, end):
        way = shop.ways[state.people[p].place, shop.spots[c].place]
        held = _held(play, e, c, way)
        if held >= NEVER:
            continue
        free = now
        if way > 0:
            i = _window(shop.spans, state.seen, shop.up[p], now)
            free = _next_open(shop.spans, i, now)
        start = _first_start(play, p, e, c, max(held, free) + way, now)
        if start < best:
            best, best_way, best_spot = start, way, c
    return best, best_way, best_spot


@_inlined
def _decide(play: Play, p: int, now: int) -> tuple[int, int, int]:
    """As `decide`: entry, spot and start; or `WAIT` and until when; or `GO_HOME`."""
    shop, state = play.shop, play.state
    here, base = state.people[p].place, shop.bases[p]
    elsewhere, spot, start, wait = GO_HOME, 0, 0, NEVER
    for k in range(state.tally[0].urgent):
        e = state.urgent[k]
        if not shop.able[e, p]:
            continue
        begin, way, c = _offer(play, p, e, now)
        if begin >= NEVER:
            continue
        counts = here == base or shop.spots[c].place == here
        if counts and begin - way <= now:
            return e, c, begin
        if counts:
            wait = min(wait, begin - way)
        elif begin - way <= now and elsewhere == GO_HOME:
            elsewhere, spot, start = e, c, begin
    if here == base or wait - now <= 2 * shop.ways[here, base]:
        return WAIT, 0, wait
    return elsewhere, spot, start


@_inlined
def _await(play: Play, e: int, step: int) -> None:
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


@_inlined
def _take(state: State, e: int) -> None:
    """A step is taken: it is no longer filed."""
    k = 0
    while state.urgent[k] != e:
        k += 1
    state.tally[0].urgent -= 1
    for i in range(k, state.tally[0].urgent):
        state.urgent[i] = state.urgent[i + 1]


@_inlined
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
        _await(play, e, START if entry.alone else HAND)


@_inlined
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
    for k in range(done.first_follower, done.first_woken):
        _arrive(play, shop.arcs[k], place, end)


@_inlined
def _by_hand(play: Play, s: int, e: int, c: int) -> int:
    """How long hands are really busy with a task or an attended run."""
    luck, spot, run = play.luck, play.shop.spots[c], play.shop.entries[e].run
    seconds = int(luck.seconds[c, s])
    hands: int = spot.start_s + seconds + spot.clear_s
    if run != NONE:
        first = luck.first_share[run]
        for attempt in range(luck.failed[run, s]):
            share = np.float64(luck.shares[first + attempt, s])
            hands += floor(share * seconds) + spot.start_s
    return hands


@_inlined
def _run_alone(play: Play, s: int, e: int, c: int, end: int) -> None:
    """The machine runs until it is done, or has failed and somebody has noticed."""
    luck, state, spot, run = play.luck, play.state, play.shop.spots[c], play.shop.entries[e].run
    seconds, attempt = int(luck.seconds[c, s]), state.entries[e].attempt
    state.machines[spot.machine] = NEVER
    if run != NONE and attempt < luck.failed[run, s]:
        share = np.float64(luck.shares[luck.first_share[run] + attempt, s])
        state.entries[e].attempt = attempt + 1
        state.entries[e].held = end + floor(share * seconds) + NOTICE_S
        _await(play, e, RESTART)
    elif spot.clear_s > 0:
        state.entries[e].held = end + seconds
        _await(play, e, CLEAR)
    else:
        state.machines[spot.machine] = end + seconds
        _finish(play, s, e, spot.place, end + seconds)


@_inlined
def _do(play: Play, s: int, p: int, e: int, c: int, start: int) -> None:
    """Carry a step out and let everything follow from it."""
    state, spot, step = play.state, play.shop.spots[c], play.state.entries[e].step
    hands = _by_hand(play, s, e, c) if step == HAND else _hands(spot, step)
    hours = play.shop.hours[p, c]
    end = _add(play.shop.spans, state.seen[hours], start, hands)
    state.people[p].free = end
    state.people[p].place = spot.place
    state.entries[e].spot = c
    _take(state, e)
    if step in (START, RESTART):
        _run_alone(play, s, e, c, end)
    else:
        if spot.machine != NONE:
            state.machines[spot.machine] = end
        _finish(play, s, e, spot.place, end)
    for q in range(len(state.people)):
        if state.people[q].idle and state.people[q].free > end:
            state.people[q].free = end


@_inlined
def _reset(play: Play) -> None:
    """Everybody at home, everything free, nothing done."""
    shop, program, state = play.shop, play.program, play.state
    state.tally[0].urgent, state.tally[0].finish = 0, program.begin
    state.tally[0].needed, state.tally[0].open = program.needed, program.open
    state.machines[:] = program.begin
    for row in range(len(state.seen)):
        state.seen[row] = row
    for p in range(len(state.people)):
        state.people[p].free = program.begin
        state.people[p].place = shop.bases[p]
        state.people[p].idle = 0
    for e in range(len(shop.entries)):
        state.entries[e].waits = program.waits[e]
        state.entries[e].held = program.earliest[e]
        state.entries[e].attempt = 0
        for c in range(shop.entries[e].first_spot, shop.entries[e].end_spot):
            state.released[c] = program.earliest[e]
        if program.waits[e] == 0 and program.rank[e] != NONE:
            _await(play, e, START if shop.entries[e].alone else HAND)


@_inlined
def _next_person(people: Rows) -> int:
    """Who is free first, the first listed on a tie."""
    first = 0
    for p in range(1, len(people)):
        if people[p].free < people[first].free:
            first = p
    return first


@_inlined
def _act(play: Play, s: int, p: int) -> None:
    """Let somebody do a step, wait or go home."""
    shop, person = play.shop, play.state.people
    person[p].idle = 0
    e, c, start = _decide(play, p, person[p].free)
    if e == WAIT:
        person[p].free = start
        person[p].idle = 1
    elif e == GO_HOME:
        person[p].free += shop.ways[person[p].place, shop.bases[p]]
        person[p].place = shop.bases[p]
    else:
        _do(play, s, p, e, c, start)


@njit(nogil=True, **_OPTIONS)
def carry_out(play: Play, finishes: Ints, first: int, end: int) -> None:
    """Carry a plan out in the scenarios from first to before end.

    Args:
        play: the plan, the shop, the luck, and a state to work in.
        finishes: (scenarios,) receives when everything needed is done; `NEVER` if it never is.
        first: the first scenario to do.
        end: the first one not to do.
    """
    people, tally = play.state.people, play.state.tally
    for s in range(first, end):
        _reset(play)
        for _ in range(play.program.turns):
            p = _next_person(people)
            nobody = len(people) == 0 or people[p].free >= play.program.until
            if nobody or tally[0].open == 0:
                finishes[s] = NEVER if tally[0].needed > 0 else tally[0].finish
                break
            _act(play, s, p)
        else:
            finishes[s] = ENDLESS


def fresh_state(shop: Shop, machines: int) -> State:
    """Room for one scenario at a time."""
    entries, spots = len(shop.entries), len(shop.spots)
    return State(
        entries=np.zeros(entries, MINE),
        people=np.zeros(len(shop.bases), PERSON),
        machines=np.zeros(machines, np.int64),
        released=np.zeros(spots, np.int64),
        urgent=np.zeros(entries, np.int64),
        seen=np.zeros(len(shop.spans), np.int64),
        tally=np.zeros(1, TALLY),
    )
