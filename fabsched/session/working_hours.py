"""How long somebody really worked between two moments."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from fabsched.files.opening_hours import expand
from fabsched.model.shop import Shop


def open_seconds(shop: Shop, zone: ZoneInfo) -> Callable[[str, int, int], int]:
    """Seconds a person of a shop is up and free between two moments, by the person's id.

    Whoever works outside their hours works all the same: where none of the time is within them, or
    the person is not known, the clock counts.
    """
    hours = {person.id: person.hours for person in shop.people}

    def seconds(person: str, start_s: int, end_s: int) -> int:
        if person not in hours or end_s <= start_s:
            return max(0, end_s - start_s)
        where = f"shop.toml: '{person}': hours"
        within = expand(hours[person], zone, start_s, end_s, where).open_s(start_s, end_s)
        return within or end_s - start_s

    return seconds
