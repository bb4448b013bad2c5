"""Work for several people at once, compiled: the rule of `model.crews`.

Inlined into `kernel`; after a change here, touch that file.
"""

from numba import njit

from fabsched.model.windows import NEVER
from fabsched.odds.spans import OPTIONS, add, inlined, next_open, window_at
from fabsched.odds.starts import first_start, held_until
from fabsched.odds.state import Play
from fabsched.odds.tables import FAR, NONE

apart = njit(**OPTIONS)
"""Compiles what is called for crews alone by itself: inlined, it would slow all else down."""


@inlined
def _is_free(play: Play, i: int, e: int, now: int) -> bool:
    """Whether somebody can be asked now: they wait, and keep free for nothing more urgent."""
    person = play.state.people[i]
    waits: bool = person.idle and (person.free > now or person.stands_back)
    asked: bool = person.keeps == NONE or play.program.rank[e] <= person.keeps
    return waits and asked


@inlined
def _is_left(play: Play, p: int, i: int, e: int) -> bool:
    """Whether somebody else may do it, and will be free again."""
    person = play.state.people[i]
    able: bool = i != p and play.shop.able[e, i]
    return able and (person.idle != 0 or person.free < NEVER)


@inlined
def _seat(play: Play, i: int, e: int, now: int) -> None:
    """When somebody could be there."""
    shop, person = play.shop, play.state.people
    c = shop.entries[e].first_spot
    way = shop.ways[person[i].place, shop.spots[c].place]
    free = now
    if way > 0:
        row = window_at(shop.spans, play.state.seen, shop.up[i], now)
        free = next_open(shop.spans, row, max(now, person[i].bound))
    person[i].way = way
    person[i].there = max(held_until(play, e, c, way), free) + way


@inlined
def _enough(play: Play, p: int, crew: int) -> int:
    """When the one who acts and enough of those who come have their first start."""
    people = play.state.people
    found = NEVER
    for i in range(len(people)):
        if people[i].comes and people[i].first < found:
            count = 0
            for j in range(len(people)):
                count += people[j].comes and people[j].first <= people[i].first
            if count >= crew - 1:
                found = people[i].first
    together: int = max(found, people[p].first)
    return together


@inlined
def _start(play: Play, p: int, e: int, now: int) -> int:
    """The first moment at which a crew can begin; `NEVER` if there is none."""
    people, c = play.state.people, play.shop.entries[e].first_spot
    start = now
    while True:
        for i in range(len(people)):
            if i == p or people[i].comes:
                there = max(start, people[i].there)
                people[i].first = first_start(play, i, e, c, there, now)
        begin: int = _enough(play, p, play.shop.entries[e].crew)
        if begin == start or begin >= NEVER:
            return begin
        start = begin


@inlined
def _alone_until(play: Play, i: int, e: int, start: int) -> int:
    """When somebody would be done with it, for all they know."""
    c = play.shop.entries[e].first_spot
    hours = play.shop.hours[i, c]
    end: int = add(play.shop.spans, play.state.seen[hours], start, play.shop.spots[c].hands_s)
    return end


@inlined
def _pick(play: Play, p: int, e: int, start: int) -> None:
    """Take those along who would be done first, then with the shortest way, then as listed."""
    people = play.state.people
    people[p].picked = 1
    for _ in range(play.shop.entries[e].crew - 1):
        best, best_end = NONE, NEVER
        for i in range(len(people)):
            if not people[i].comes or people[i].picked or people[i].first != start:
                continue
            end = _alone_until(play, i, e, start)
            same = best != NONE and end == best_end and people[i].way < people[best].way
            if best == NONE or end < best_end or same:
                best, best_end = i, end
        people[best].picked = 1


@apart
def end_of(play: Play, c: int, start: int, seconds: int) -> int:
    """When those who were picked have worked together for that long; as `Windows.add`."""
    shop, people = play.shop, play.state.people
    while seconds > 0:
        closes, i = FAR, 0
        while i < len(people):
            if people[i].picked:
                row = play.state.seen[shop.hours[i, c]]
                while shop.spans[row, 1] <= start:
                    row += 1
                if shop.spans[row, 0] >= NEVER:
                    return NEVER
                if shop.spans[row, 0] > start:
                    start, closes, i = shop.spans[row, 0], FAR, -1
                else:
                    closes = min(closes, shop.spans[row, 1])
            i += 1
        done = min(seconds, closes - start)
        seconds -= done
        start += done
    return start


@apart
def gather(play: Play, p: int, e: int, now: int, wide: bool) -> tuple[int, int]:
    """Pick a crew: its start (`NEVER` if there is none) and the longest way of any of them.

    Args:
        play: who is where, when.
        p: who acts.
        e: the task.
        now: the moment.
        wide: whether to ask everybody, as if they were free.
    """
    people, c = play.state.people, play.shop.entries[e].first_spot
    for i in range(len(people)):
        people[i].picked = 0
        people[i].comes = _is_left(play, p, i, e) and (wide or _is_free(play, i, e, now))
        if i == p or people[i].comes:
            _seat(play, i, e, now)
    start = _start(play, p, e, now)
    if start >= NEVER:
        return NEVER, 0
    _pick(play, p, e, start)
    if end_of(play, c, start, play.shop.spots[c].hands_s) >= NEVER:
        return NEVER, 0
    way = 0
    for i in range(len(people)):
        if people[i].picked:
            way = max(way, people[i].way)
    return start, way


@inlined
def _last_departure(play: Play, e: int, start: int) -> int:
    """When the first of those picked would have to set out at the latest before the hours end."""
    shop, people, c = play.shop, play.state.people, play.shop.entries[e].first_spot
    needs = 1 if shop.entries[e].splittable else max(1, shop.spots[c].hands_s)
    last = FAR
    for i in range(len(people)):
        if people[i].picked:
            row = play.state.seen[shop.hours[i, c]]
            while shop.spans[row, 1] <= start:
                row += 1
            last = min(last, shop.spans[row, 1] - needs - people[i].way)
    return last


@apart
def crew_offer(play: Play, p: int, e: int, now: int) -> tuple[int, int, int]:
    """As `model.crews.crew_offer`: start (`NEVER` if never), longest way, and when to look again.

    The last is `NONE` if all of them are free.
    """
    start, way = gather(play, p, e, now, wide=False)
    if start < NEVER and start - way <= now:
        return start, way, NONE
    begin, far = gather(play, p, e, now, wide=True)
    if begin >= start:
        return start, way, NONE
    people, look = play.state.people, _last_departure(play, e, begin) + 1
    for i in range(len(people)):
        busy = people[i].comes and not _is_free(play, i, e, now)
        if busy and not people[i].stands_back:
            look = min(look, people[i].free)
    return begin, far, look
