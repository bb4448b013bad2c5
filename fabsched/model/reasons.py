"""Why a step starts when it does: whatever held it back longest."""

from dataclasses import dataclass

from fabsched.model.plan import Reason, Why
from fabsched.model.steps import Hours, Offer, Where
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Hands, Weekend


@dataclass(frozen=True, slots=True)
class Since:
    """What somebody did last.

    Attributes:
        where: who, and where and when they got free.
        busy_with: name of what they did; empty if nothing yet.
    """

    where: Where
    busy_with: str


def reason_of(weekend: Weekend, hours: Hours, since: Since, offer: Offer) -> Reason:
    """Why hands begin a step when they do.

    Args:
        weekend: for names.
        hours: for windows.
        since: what the person did before; they may have waited since.
        offer: the step as it is done.

    Returns:
        What the step waited for, if it came free last; else the person, if they came free last;
        else the hours that kept both waiting.
    """
    hands, free_s = since.where.hands, since.where.moment_s
    ready_s = max(offer.hold.moment_s, free_s)
    arrive_s = ready_s + offer.way_s
    if offer.depart_s > ready_s and _earliest_s(hours, hands, offer, arrive_s) == offer.start_s:
        return _hours(weekend, hours, hands, offer, arrive_s)
    if free_s > offer.hold.moment_s:
        return Reason(Why.HANDS, {"who": hands.name, "what": since.busy_with})
    return offer.hold.reason


def _earliest_s(hours: Hours, hands: Hands, offer: Offer, arrive_s: int) -> int:
    """When the hours allow it, had the person set out at once or as soon as they are up."""
    up_s = arrive_s
    if offer.way_s:
        up_s = hands.windows.next_open(arrive_s - offer.way_s) + offer.way_s
    return hours.first_start(hands, offer.duty, offer.spot, up_s)


def _hours(weekend: Weekend, hours: Hours, hands: Hands, offer: Offer, arrive_s: int) -> Reason:
    """Whether something had to open, or was open before but not for long enough."""
    up_s = hands.windows.next_open(arrive_s - offer.way_s)
    if offer.way_s and offer.depart_s == up_s:
        return Reason(Why.OPENS, {"what": hands.name})
    if hours.of(hands, offer.duty, offer.spot).next_open(arrive_s) == offer.start_s:
        return Reason(Why.OPENS, {"what": _opener(weekend, hands, offer)})
    seconds = offer.spot.hands_s + offer.spot.alone_s
    return Reason(Why.FITS, {"minutes": round(seconds / MINUTE_S)})


def _opener(weekend: Weekend, hands: Hands, offer: Offer) -> str:
    """Name of what was closed until the start: the place, the machine or the person."""
    before_s = offer.start_s - 1
    site = next(site for site in weekend.sites if site.id == offer.spot.place)
    if not site.windows.is_open(before_s):
        return site.name
    if not hands.windows.is_open(before_s):
        return hands.name
    return weekend.station(offer.spot.machine).name
