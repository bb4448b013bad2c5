"""What somebody does next, compiled: as `model.deciding` has it.

Inlined into `kernel`; after a change here, touch that file.
"""

from fabsched.model.windows import NEVER
from fabsched.odds.crews import apart, crew_offer
from fabsched.odds.spans import inlined, next_open, window_at
from fabsched.odds.starts import HAND, first_start, held_until
from fabsched.odds.state import Play
from fabsched.odds.tables import MASK_BITS, NONE, Ints

WAIT, GO_HOME = -1, -2
"""Decisions that are no step."""


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
            free = next_open(shop.spans, i, max(now, state.people[p].bound))
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
def _waits_until(play: Play, p: int, now: int, keeps: int, wait: int) -> int:
    """Until when somebody waits where they are; `NONE` if they leave it."""
    here, base, bound = play.state.people[p].place, play.shop.bases[p], play.state.people[p].bound
    if here == base:
        return wait
    if bound > now:
        found: int = min(wait, bound)
        return found
    return wait if keeps != NONE or wait - now <= 2 * play.shop.ways[here, base] else NONE


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
    until = _waits_until(play, p, now, keeps, wait)
    if until != NONE:
        return WAIT, keeps, until
    return elsewhere, spot, start


@apart
def decide_with_others(play: Play, p: int, now: int) -> tuple[int, int, int]:
    """As `_decide`, where something takes several people; by itself, since it would slow that down."""
    decided: tuple[int, int, int] = _decide(play, p, now, crews=True)
    return decided


@inlined
def decide_like_others(play: Play, p: int, now: int) -> tuple[int, int, int]:
    """As `_decide` for one alone: who is like the last one who chose to wait, here and now, waits as well.

    Where there are many people, most of them look again at each step and find nothing.
    """
    tally, here, alike = play.state.tally, play.state.people[p].place, play.shop.alike[p]
    may_leave = play.state.people[p].bound <= now
    same = tally[0].looker == alike and tally[0].looked == now and tally[0].there == here
    if same and may_leave:
        return WAIT, NONE, tally[0].wait
    e, c, start = _decide(play, p, now, crews=False)
    if e == WAIT and may_leave:
        tally[0].looker, tally[0].looked, tally[0].there = alike, now, here
        tally[0].wait = start
    return e, c, start
