"""Ways between places, over other places where no direct one is given."""

from collections.abc import Mapping, Sequence
from itertools import permutations

from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Shop
from fabsched.model.units import minutes_s

Ways = Mapping[tuple[str, str], int]
"""Seconds from one place to another."""


def ways(shop: Shop, needed: Sequence[str]) -> Ways:
    """Shortest ways between all places that are joined, both directions.

    Args:
        shop: places and the ways between them.
        needed: ids of places that must be reachable from each other.

    Raises:
        InputError: there is no way between two needed places.
    """
    found = shortest([place.id for place in shop.places], _direct(shop))
    for a, b in permutations(needed, 2):
        if (a, b) not in found:
            example = f'between = ["{a}", "{b}"]'
            raise InputError(Fault.FIELD_MISSING, "shop.toml: travel", example=example)
    return found


def shortest(places: Sequence[str], direct: Ways) -> Ways:
    """Shortest ways, over other places where that is shorter (Floyd, Communications of the ACM 5(6), 1962).

    >>> shortest("abc", {("a", "b"): 1, ("b", "c"): 1, ("a", "c"): 5})["a", "c"]
    2
    """
    found = dict(direct)
    for stop in places:
        for a, b in permutations(places, 2):
            legs = (found.get((a, stop)), found.get((stop, b)))
            if legs[0] is not None and legs[1] is not None:
                over = legs[0] + legs[1]
                found[a, b] = min(over, found.get((a, b), over))
    return found


def _direct(shop: Shop) -> dict[tuple[str, str], int]:
    """Ways as given; the shorter one where two are."""
    direct: dict[tuple[str, str], int] = {}
    for travel in shop.travels:
        a, b = travel.between
        seconds = minutes_s(travel.minutes)
        direct[a, b] = direct[b, a] = min(seconds, direct.get((a, b), seconds))
    return direct
