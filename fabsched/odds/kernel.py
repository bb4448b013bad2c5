"""The dispatch rule, compiled: the finish of a plan in many scenarios.

Does to the second what `model.replay` does, without blocks and reasons; see there for the rule. It
stops once the finish is known. numba releases the interpreter lock, so that threads can share the
scenarios; each scenario stands by itself, so that their number changes nothing.

The cache on disk goes by the age of this file alone: after a change to `spans`, `starts`, `crews`,
`turns` or a constant used here, touch it.
"""

from math import floor

import numpy as np
from numba import njit

from fabsched.model.weekend import MAX_ROUNDS, NOTICE_S
from fabsched.model.windows import NEVER
from fabsched.odds.crews import apart, crew_offer, end_of, gather
from fabsched.odds.spans import OPTIONS, add, inlined, next_open, window_at
from fabsched.odds.starts import CLEAR, HAND, RESTART, START, first_start, held_until, likely_hands
from fabsched.odds.state import Out, Play
from fabsched.odds.tables import MASK_BITS, NONE, Ints, Rows
from fabsched.odds.turns import await_turn, take_turn

WAIT, GO_HOME = -1, -2
"""Decisions that are no step."""

ENDLESS = -1
"""Told as a finish if a scenario does not come to an end: a bug."""


@inlined
def _offer(play: Play, p: int, e: int, now: int) -> tuple[int, int, int]:
    """As `offer_of`: start (`NEVER` if there is none), way before and spot."""
    shop, state = play.shop, play.state
    first, end = shop.entries[e].first_spot, shop.entries[e].end_spot
    if state.entries[e].step < HAND:
        first = state.entries[e].spot
        end = first + 1
    best, best_way, best_spot = NEVER, 0, first
    like, like_held = NONE, NEVER
    for c in range(first, end):
        way = shop.ways[state.people[p].place, shop.spots[c].place]
        held = max(now, held_until(play, e, c, way))
        no_sooner = shop.spots[c].like == like and held >= like_held
        if held >= NEVER or no_sooner:
            continue
        like, like_held = shop.spots[c].like, held
        free = now
        if way > 0:
            i = window_at(shop.spans, state.seen, shop.up[p], now)
            free = next_open(shop.spans, i, now)
        start = first_start(play, p, e, c, max(held, free) + way, now)
        if start < best:
            best, best_way, best_spot = start, way, c
    return best, best_way, best_spot


@inlined
def _free_machines(machines: Ints, now: int) -> int:
    """Bits of machines that are free by then, as in the table of entries."""
    bits = 0
    for m in range(len(machines)):
        if machines[m] <= now:
            bits |= 1 << (m % MASK_BITS)
    return bits


@inlined
def _is_blocked(play: Play, e: int, known: int, wait: int) -> bool:
    """Whether what is not released waits for a machine without an end, or longer than for others."""
    machines = play.shop.entries[e].machines
    waits: bool = play.state.entries[e].step >= HAND and machines != 0 and machines & known == 0
    later: bool = play.state.entries[e].held >= wait
    return waits or later


@inlined
def _is_released(play: Play, p: int, e: int, now: int, free: int) -> bool:
    """Whether a step could start now as far as what it waits for goes."""
    shop, state = play.shop, play.state
    if state.entries[e].held > now:
        return False
    if state.entries[e].step < HAND:
        return True
    if shop.entries[e].machines != 0 and shop.entries[e].machines & free == 0:
        return False
    for c in range(shop.entries[e].first_spot, shop.entries[e].end_spot):
        way = shop.ways[state.people[p].place, shop.spots[c].place]
        if held_until(play, e, c, way) <= now:
            return True
    others_may_have_a_longer_way: bool = shop.entries[e].crew > 1
    return others_may_have_a_longer_way


@inlined
def _any_offer(play: Play, p: int, e: int, now: int, crews: bool) -> tuple[int, int, int, int]:
    """What somebody could do, alone or with others: start, way, spot and when to look again."""
    if crews and play.shop.entries[e].crew > 1:
        begin, way, look = crew_offer(play, p, e, now)
        return begin, way, play.shop.entries[e].first_spot, look
    begin, way, c = _offer(play, p, e, now)
    return begin, way, c, NONE


@inlined
def _decide(play: Play, p: int, now: int, crews: bool) -> tuple[int, int, int]:
    """As `decide`: entry, spot and start; or `WAIT`, what is kept free for and until when; or `GO_HOME`.

    What is not released cannot start now; it is looked at last, to know how long to wait. What is
    less urgent than something that is kept free for is not looked at.
    """
    shop, state = play.shop, play.state
    here, base = state.people[p].place, shop.bases[p]
    elsewhere, spot, start, wait = GO_HOME, 0, NEVER, NEVER
    free = _free_machines(state.machines, now)
    known = _free_machines(state.machines, NEVER - 1)
    end, keeps = state.tally[0].urgent, NONE
    for released in (True, False):
        for k in range(end):
            e = state.urgent[k]
            if not shop.able[e, p] or _is_released(play, p, e, now, free) != released:
                continue
            if not released and _is_blocked(play, e, known, wait):
                continue
            begin, way, c, look = _any_offer(play, p, e, now, crews)
            counts, due = here == base or shop.spots[c].place == here, begin - way <= now
            if counts and due and look == NONE:
                return e, c, begin
            if crews and counts and due:
                end, keeps, wait = k, play.program.rank[e], min(wait, look)
                break
            if counts:
                wait = min(wait, begin - way)
            elif due and start == NEVER:
                elsewhere, spot, start = e if look == NONE else GO_HOME, c, begin
    if here == base or keeps != NONE or wait - now <= 2 * shop.ways[here, base]:
        return WAIT, keeps, wait
    return elsewhere, spot, start


@apart
def _decide_with_others(play: Play, p: int, now: int) -> tuple[int, int, int]:
    """As `_decide`, where something takes several people; by itself, since it would slow that down."""
    decided: tuple[int, int, int] = _decide(play, p, now, crews=True)
    return decided


@inlined
def _decide_like_others(play: Play, p: int, now: int) -> tuple[int, int, int]:
    """As `_decide` for one alone: who is like the last one who chose to wait, here and now, waits as well.

    Where there are many people, most of them look again at each step and find nothing.
    """
    tally, here, alike = play.state.tally, play.state.people[p].place, play.shop.alike[p]
    same = tally[0].looker == alike and tally[0].looked == now and tally[0].there == here
    if same:
        return WAIT, NONE, tally[0].wait
    e, c, start = _decide(play, p, now, crews=False)
    if e == WAIT:
        tally[0].looker, tally[0].looked, tally[0].there = alike, now, here
        tally[0].wait = start
    return e, c, start


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
def _run_alone(play: Play, s: int, e: int, c: int, end: int, seconds: int) -> None:
    """The machine runs until it is done, or has failed and somebody has noticed."""
    luck, state, spot = play.luck, play.state, play.shop.spots[c]
    run = spot.fails
    attempt = state.entries[e].attempt
    state.machines[spot.machine] = NEVER
    if run != NONE and attempt < luck.failed[run, s]:
        share = np.float64(luck.shares[luck.first_share[run] + attempt, s])
        state.entries[e].attempt = attempt + 1
        state.entries[e].held = end + floor(share * seconds) + NOTICE_S
        await_turn(play, e, RESTART)
    elif spot.clear_s > 0:
        state.entries[e].held = end + seconds
        await_turn(play, e, CLEAR)
    else:
        state.machines[spot.machine] = end + seconds
        _finish(play, s, e, spot.place, end + seconds)


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
        _run_alone(play, s, e, c, end, int(play.luck.seconds[c, s]))
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
    if entry.due != NONE:
        earliest = max(earliest, play.luck.due[entry.due, s])
    mine[e].waits = play.program.waits[e]
    mine[e].held = earliest
    mine[e].attempt = 0
    mine[e].done = NEVER
    for c in range(entry.first_spot, entry.end_spot):
        play.state.released[c] = earliest


@inlined
def _go_on(play: Play, s: int, e: int) -> None:
    """A run that was started before goes on from the beginning, or waits to be cleared."""
    entry = play.shop.entries[e]
    play.state.entries[e].spot = entry.going_spot
    left = int(play.luck.left[entry.going, s])
    _run_alone(play, s, e, entry.going_spot, play.program.begin, left)


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
        e, c, start = _decide_with_others(play, p, person[p].free)
    else:
        e, c, start = _decide_like_others(play, p, person[p].free)
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
