"""Early looks for a fault, such as trying a coupon: what they take, and what becomes of them without it."""

from collections.abc import Iterable
from dataclasses import replace

from fabsched.model.weekend import Activity, Task, Weekend


def looks_at(weekend: Weekend, ids: Iterable[str]) -> tuple[Task, ...]:
    """Gates nobody needs that wait for something: what they would look at."""
    looked_at = frozenset(ids)
    return tuple(
        each
        for each in weekend.activities
        if isinstance(each, Task) and each.chance and not each.needed
        if looked_at.intersection(each.after)
    )


def is_for_a_look(weekend: Weekend, ident: str) -> bool:
    """Whether something is made for an early look alone, as a coupon is.

    What waits for the look may wait for it by name as well.
    """
    looks = {look.id for look in looks_at(weekend, [ident])}
    waiting = (each for each in weekend.activities if ident in each.after and each.id not in looks)
    later = all(looks.intersection(each.after) for each in waiting)
    return bool(looks) and not weekend.activity(ident).needed and later


def looked_at_already(weekend: Weekend, done: Iterable[str]) -> frozenset[str]:
    """What was made for early looks alone, all of which are over: nobody makes it any more.

    A coupon that failed the try is one as soon as another of its copies is found to fit.

    Args:
        weekend: what could be carried out.
        done: ids of what is done.
    """
    over = frozenset(done)
    return frozenset(
        each.id
        for each in weekend.activities
        if each.id not in over
        and is_for_a_look(weekend, each.id)
        and over.issuperset(look.id for look in looks_at(weekend, [each.id]))
    )


def found_later(weekend: Weekend, look: Task) -> Weekend:
    """The weekend in which an early look is not to be: its faults are left to a later gate.

    That is the gate that has what waits for the look made again. Two chances of a fault, taken as
    independent, add up to 1 - (1 - a)(1 - b).
    """
    shows = look.shows or look.chance
    held = {each.id for each in weekend.activities if look.id in each.after}

    def raised(each: Activity) -> Activity:
        if not isinstance(each, Task) or not held.intersection(each.redo):
            return each
        return replace(each, chance=1.0 - (1.0 - each.chance) * (1.0 - shows))

    return replace(weekend, activities=tuple(map(raised, weekend.activities)))
