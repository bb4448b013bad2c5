"""Why a step starts when it does: whatever held it back longest."""

from collections.abc import Sequence
from dataclasses import dataclass

from fabsched.model.plan import Reason, Why
from fabsched.model.steps import Hours, Offer, Where
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Hands, Weekend
from fabsched.model.windows import NEVER, Windows


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
    if offer.depart_s > ready_s and _unhindered_s(hours, hands, offer, ready_s) == offer.start_s:
        return _hours(weekend, hours, hands, offer, ready_s)
    if free_s > offer.hold.moment_s:
        return _busy(since, offer)
    return offer.hold.reason


def _busy(since: Since, offer: Offer) -> Reason:
    """What somebody was at until then, or until they set out."""
    code = Why.HANDS_THEN_WAY if offer.way_s else Why.HANDS
    return Reason(code, {"who": since.where.hands.name, "what": since.busy_with})


def reason_of_crew(
    weekend: Weekend, windows: Windows, since: Sequence[Since], offer: Offer
) -> Reason:
    """Why several people begin a task when they do.

    Args:
        weekend: for names.
        windows: when all of them may do it.
        since: what each of them did before.
        offer: the task as it is done.

    Returns:
        What the task waited for, or who of them came free last, whichever was later; else the hours
        that kept them waiting.
    """
    last = max(since, key=lambda each: each.where.moment_s)
    free_s, held_s = last.where.moment_s, offer.hold.moment_s
    if offer.depart_s > max(free_s, held_s):
        return _hours_of_crew(weekend, windows, since, offer)
    if free_s > held_s:
        return Reason(Why.HANDS, {"who": last.where.hands.name, "what": last.busy_with})
    return offer.hold.reason


def _hours_of_crew(
    weekend: Weekend, windows: Windows, since: Sequence[Since], offer: Offer
) -> Reason:
    """Whether something had to open, or was open for all before but not for long enough."""
    before_s = offer.start_s - 1
    asleep = [s.where.hands for s in since if not s.where.hands.windows.is_open(before_s)]
    site = next(site for site in weekend.sites if site.id == offer.spot.place)
    if windows.is_open(before_s):
        return _fits(offer)
    return Reason(Why.OPENS, {"what": site.name}) if not asleep else _up(asleep[0])


def _unhindered_s(hours: Hours, hands: Hands, offer: Offer, ready_s: int) -> int:
    """When the step starts if only the hours are in the way: one waits until one can set out."""
    out_s = ready_s
    while True:
        up_s = hands.windows.next_open(out_s) if offer.way_s else out_s
        start_s = hours.first_start(hands, offer.duty, offer.spot, up_s + offer.way_s)
        if start_s - offer.way_s <= up_s or start_s >= NEVER:
            return start_s
        out_s = start_s - offer.way_s


def _hours(weekend: Weekend, hours: Hours, hands: Hands, offer: Offer, ready_s: int) -> Reason:
    """Whether something had to open, or was open before but not for long enough."""
    if offer.way_s and not hands.windows.is_open(offer.depart_s - 1):
        return _up(hands)
    opens_s = hours.of(hands, offer.duty, offer.spot).next_open(ready_s + offer.way_s)
    if opens_s == offer.start_s:
        return _opened(weekend, hands, offer)
    return _fits(offer)


def _fits(offer: Offer) -> Reason:
    seconds = offer.spot.hands_s + offer.spot.alone_s
    return Reason(Why.FITS, {"minutes": round(seconds / MINUTE_S)})


def _opened(weekend: Weekend, hands: Hands, offer: Offer) -> Reason:
    """What was in the way until the start: the place, the person or the machine."""
    before_s = offer.start_s - 1
    site = next(site for site in weekend.sites if site.id == offer.spot.place)
    if not site.windows.is_open(before_s):
        return Reason(Why.OPENS, {"what": site.name})
    if not hands.windows.is_open(before_s):
        return _up(hands)
    return Reason(Why.MAY_RUN, {"machine": weekend.station(offer.spot.machine).name})


def _up(hands: Hands) -> Reason:
    return Reason(Why.UP, {"who": hands.name})
