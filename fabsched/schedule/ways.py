"""Ways between places, over other places where no direct one is given."""

from collections.abc import Mapping, Sequence
from itertools import permutations

from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Shop
from fabsched.model.units import minutes_s

Ways = Mapping[tuple[str, str], int]
"""Seconds from one place to another."""


def ways(shop: Shop, needed: Sequence[str]) -> Ways:
    """Shortest ways between all places that are joined, both directions (Floyd 1962).

    Args:
        shop: places and the ways between them.
        needed: ids of places that must be reachable from each other.

    Raises:
        InputError: there is no way between two needed places.
    """
    shortest = _direct(shop)
    stops = [place.id for place in shop.places]
    for stop in stops:
        for a, b in permutations(stops, 2):
            legs = (shortest.get((a, stop)), shortest.get((stop, b)))
            if legs[0] is not None and legs[1] is not None:
                over = legs[0] + legs[1]
                shortest[a, b] = min(over, shortest.get((a, b), over))
    for a, b in permutations(needed, 2):
        if (a, b) not in shortest:
            example = f'between = ["{a}", "{b}"]'
            raise InputError(Fault.FIELD_MISSING, "shop.toml: travel", example=example)
    return shortest


def _direct(shop: Shop) -> dict[tuple[str, str], int]:
    """Ways as given; the shorter one where two are."""
    direct: dict[tuple[str, str], int] = {}
    for travel in shop.travels:
        a, b = travel.between
        seconds = minutes_s(travel.minutes)
        direct[a, b] = direct[b, a] = min(seconds, direct.get((a, b), seconds))
    return direct
