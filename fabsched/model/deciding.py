"""What somebody who is free does next."""

from collections.abc import Sequence
from dataclasses import dataclass

from fabsched.model.steps import Duty, Offer, Where
from fabsched.model.windows import NEVER


@dataclass(frozen=True, slots=True)
class Wait:
    """Somebody does nothing for a while.

    Attributes:
        until_s: when they look again; `NEVER` if there is nothing to wait for.
        keeps: what they keep free for, if that needs others who are still busy.
    """

    until_s: int
    keeps: Duty | None = None


def decide(where: Where, home_s: int, offers: Sequence[Offer]) -> Offer | Wait | None:
    """The most urgent step that can start now, or how long to wait, or None to go home.

    Args:
        where: the person, the place they are at and the moment.
        home_s: the way from there to where they are based.
        offers: what they could do, the most urgent first.

    Returns:
        A step that starts now (or is travelled to now), a wait, or None if they go home.
    """
    if where.place == where.hands.base:
        return _now(where, offers) or Wait(_soonest_s(offers))
    here = [offer for offer in offers if offer.spot.place == where.place]
    if where.bound_s > where.moment_s:
        return _here(where, here)
    elsewhere = next((offer for offer in offers if _is_due(where, offer)), None)
    return (
        _now(where, here)
        or _worth_waiting(where, home_s, here)
        or (elsewhere if elsewhere and elsewhere.look_s is None else None)
    )


def _here(where: Where, here: Sequence[Offer]) -> Offer | Wait:
    """What somebody does who may not leave yet; they look again when they may."""
    found = _now(where, here) or Wait(_soonest_s(here))
    if isinstance(found, Wait):
        return Wait(min(found.until_s, where.bound_s), found.keeps)
    return found


def _is_due(where: Where, offer: Offer) -> bool:
    return offer.depart_s <= where.moment_s


def _soonest_s(offers: Sequence[Offer]) -> int:
    return min((offer.depart_s for offer in offers), default=NEVER)


def _now(where: Where, offers: Sequence[Offer]) -> Offer | Wait | None:
    """The first that can start now; a wait, if that one needs others who are still busy."""
    for place, offer in enumerate(offers):
        if _is_due(where, offer):
            if offer.look_s is None:
                return offer
            return Wait(min(offer.look_s, _soonest_s(offers[:place])), offer.duty)
    return None


def _worth_waiting(where: Where, home_s: int, here: Sequence[Offer]) -> Wait | None:
    """Until the next step here is due, if going home and coming back would take as long."""
    due_s = _soonest_s(here)
    return Wait(due_s) if due_s - where.moment_s <= 2 * home_s else None
