"""By when something has to be bought, and that it is on its way, in words."""

from zoneinfo import ZoneInfo

from fabsched.advise.ready import Lack
from fabsched.session.clock import long
from fabsched.session.wording import phrase


def by_text(lack: Lack, zone: ZoneInfo, now_s: int) -> str:
    """The latest moment to order or fetch it, that it has passed, or when it comes.

    Args:
        lack: what is not in hand.
        zone: where moments are shown.
        now_s: the present moment.
    """
    if lack.expected_s is not None:
        return phrase("buy-expected", by=long(lack.expected_s, zone, now_s))
    return phrase("buy-late") if lack.is_too_late(now_s) else long(lack.by_s, zone, now_s)
