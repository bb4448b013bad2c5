"""Days on which things are delivered: when to order what is needed, and when what is ordered comes.

Deliveries are counted from Monday to Friday, and nothing is fetched on a Sunday (both our own choice:
some come on a Saturday, and some shops are open on a Sunday, but that is not to be relied on).
Holidays are not known. The hour by the clock stays the same.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

SATURDAY, SUNDAY = 5, 6
"""Days as `datetime.weekday` counts them."""
WEEKEND = (SATURDAY, SUNDAY)
BACK, ON = timedelta(days=-1), timedelta(days=1)


def order_by(needed_s: int, delivery_days: int, zone: ZoneInfo) -> int:
    """Latest moment to order what is needed at a moment, or to fetch it where a shop nearby has it.

    >>> zone = ZoneInfo("Europe/Berlin")
    >>> monday_s = int(datetime(2027, 3, 8, 9, tzinfo=zone).timestamp())
    >>> datetime.fromtimestamp(order_by(monday_s, 1, zone), zone).strftime("%a %H:%M")
    'Fri 09:00'

    Args:
        needed_s: when it has to be there.
        delivery_days: working days from ordering to having it; 0 for what is fetched.
        zone: whose days count.
    """
    free = WEEKEND if delivery_days else (SUNDAY,)
    return _counted(needed_s, delivery_days, zone, BACK, free)


def comes_at(ordered_s: int, delivery_days: int, zone: ZoneInfo) -> int:
    """When what is ordered at a moment comes, if it comes in time.

    >>> zone = ZoneInfo("Europe/Berlin")
    >>> sunday_s = int(datetime(2027, 3, 7, 15, tzinfo=zone).timestamp())
    >>> datetime.fromtimestamp(comes_at(sunday_s, 1, zone), zone).strftime("%a %H:%M")
    'Tue 15:00'

    Args:
        ordered_s: on a Saturday or Sunday it counts as ordered on the Monday after.
        delivery_days: working days from ordering to having it.
        zone: whose days count.
    """
    return _counted(ordered_s, delivery_days, zone, ON, WEEKEND)


def _counted(from_s: int, days: int, zone: ZoneInfo, step: timedelta, free: Sequence[int]) -> int:
    """The moment so many days further that are not free, from the next one that is not."""
    moment = _to_work(datetime.fromtimestamp(from_s, zone), step, free)
    for _ in range(days):
        moment = _to_work(moment + step, step, free)
    return int(moment.timestamp())


def _to_work(moment: datetime, step: timedelta, free: Sequence[int]) -> datetime:
    """The same hour on that day, or on the next one in that direction that is not free."""
    while moment.weekday() in free:
        moment += step
    return moment
