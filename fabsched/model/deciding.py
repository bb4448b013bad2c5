"""What somebody who is free does next."""

from collections.abc import Sequence

from fabsched.model.steps import Offer, Where
from fabsched.model.windows import NEVER


def decide(where: Where, home_s: int, offers: Sequence[Offer]) -> Offer | int | None:
    """The most urgent step that can start now, or how long to wait, or None to go home.

    Args:
        where: the person, the place they are at and the moment.
        home_s: the way from there to where they are based.
        offers: what they could do, the most urgent first.

    Returns:
        A step that starts now (or is travelled to now), the moment until which they wait
        (`NEVER` if there is nothing to wait for), or None if they go home.
    """
    if where.place == where.hands.base:
        return _now(where, offers) or min((offer.depart_s for offer in offers), default=NEVER)
    here = [offer for offer in offers if offer.spot.place == where.place]
    return _now(where, here) or _worth_waiting(where, home_s, here) or _now(where, offers)


def _now(where: Where, offers: Sequence[Offer]) -> Offer | None:
    return next((offer for offer in offers if offer.depart_s <= where.moment_s), None)


def _worth_waiting(where: Where, home_s: int, here: Sequence[Offer]) -> int | None:
    """When the next step here starts, if going home and coming back would take as long."""
    start_s = min((offer.start_s for offer in here), default=NEVER)
    return start_s if start_s - where.moment_s <= 2 * home_s else None
