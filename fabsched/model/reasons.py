"""Why a step starts when it does: whatever held it back longest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fabsched.model.plan import Doing, Reason, Why
from fabsched.model.steps import Hours, Offer, Seat, Step, Where
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Hands, Weekend
from fabsched.model.windows import NEVER, Windows

_AT = {
    Step.START: Doing.START,
    Step.RESTART: Doing.RESTART,
    Step.CLEAR: Doing.CLEAR,
}
_ON_THE_WAY = {
    Why.HANDS: Why.HANDS_THEN_WAY,
    Why.CREW: Why.CREW_THEN_WAY,
    Why.MACHINE: Why.MACHINE_THEN_WAY,
    Why.UP: Why.UP_THEN_WAY,
    Why.FIRST: Why.FIRST_THEN_WAY,
    Why.EARLIEST: Why.EARLIEST_THEN_WAY,
    Why.EXPECTED: Why.EXPECTED_THEN_WAY,
    Why.BEGINS: Why.BEGINS_THEN_WAY,
    Why.PINNED: Why.PINNED_THEN_WAY,
    Why.PUT_OFF: Why.PUT_OFF_THEN_WAY,
    Why.TO_ORDER: Why.TO_ORDER_THEN_WAY,
}
"""What is told instead where a way lies between what a step waited for and its start."""
_BEFORE_THE_WAY = {late: early for early, late in _ON_THE_WAY.items()}
BY_HOURS = frozenset(
    {
        Why.OPENS,
        Why.MAY_RUN,
        Why.FITS,
        Why.FITS_WHO,
        Why.FITS_PLACE,
        Why.FITS_MACHINE,
        Why.FITS_STAY,
        Why.FITS_CREW,
    }
)
"""Hours of places, people and machines; one sets out for these so that one is there in time."""

FORESEEN = frozenset({Why.EARLIEST, Why.PINNED, Why.PUT_OFF})
"""Hours of something itself; likewise, where they are known for sure."""


@dataclass(frozen=True, slots=True)
class Since:
    """What somebody did last.

    Attributes:
        where: who, and where and when they got free.
        busy_with: name of what they did, or of the place they went back to; empty if nothing yet.
        doing: what of it.
    """

    where: Where
    busy_with: str
    doing: Doing = Doing.WORK


def doing_of(offer: Offer) -> Doing:
    """What hands are at in a step: working, staying with a machine, or tending one."""
    stays = bool(offer.spot.machine) and offer.duty.step is Step.HAND
    return Doing.STAY if stays else _AT.get(offer.duty.step, Doing.WORK)


def reason_of(weekend: Weekend, hours: Hours, since: Since, offer: Offer) -> Reason:
    """Why hands begin a step when they do.

    Args:
        weekend: for names.
        hours: for windows.
        since: what the person did before; they may have waited since.
        offer: the step as it is done.

    Returns:
        What the step waited for, if it came free last; else the person, if they came free last;
        else the hours that kept both waiting, or that they waited for what another then took up.
    """
    hands, free_s = since.where.hands, since.where.moment_s
    ready_s = max(offer.hold.moment_s, free_s)
    if offer.depart_s > ready_s and _unhindered_s(hours, hands, offer, ready_s) == offer.start_s:
        return _hours(weekend, hours, hands, offer, ready_s)
    if offer.depart_s > ready_s:
        return Reason(Why.KEPT_FREE, {"who": hands.name})
    if free_s > offer.hold.moment_s:
        return _then_way(_busy(Why.HANDS, since), offer.way_s)
    return _then_way(offer.hold.reason, 0 if offer.hold.foreseen else offer.way_s)


def _busy(code: Why, since: Since) -> Reason:
    """What somebody was at until then."""
    return Reason(code, {"who": since.where.hands.name, "what": since.busy_with}, since.doing)


def _then_way(reason: Reason, way_s: int) -> Reason:
    """The same, where a way has to be gone before the start."""
    return replace(reason, code=_ON_THE_WAY.get(reason.code, reason.code)) if way_s else reason


def reason_of_way(why: Reason, what: str, *, together: bool) -> Reason:
    """Why somebody sets out when they do.

    Args:
        why: why that begins which they are needed for.
        what: its name.
        together: whether several do it; each sets out as late as will do.
    """
    if together or why.code in (BY_HOURS | FORESEEN):
        return Reason(Why.IN_TIME, {"what": what})
    cause = replace(why, code=_BEFORE_THE_WAY.get(why.code, why.code))
    return Reason(Why.NEEDED_THERE, {"what": what}, cause=cause)


def reason_of_crew(
    weekend: Weekend, windows: Windows, crew: Sequence[tuple[Since, Seat]], offer: Offer
) -> Reason:
    """Why several people begin a task when they do.

    Args:
        weekend: for names.
        windows: when all of them may do it.
        crew: what each of them did before, and how they come.
        offer: the task as it is done.

    Returns:
        What the task waited for, or which of them was there last and what they were at, whichever
        was later; who was free last, if others set out only then; else the hours that kept them
        waiting.
    """
    last, seat = max(crew, key=lambda each: _there_s(*each))
    if offer.start_s > _there_s(last, seat):
        return _called(crew, offer) or _hours_of_crew(weekend, windows, crew, offer)
    if last.where.moment_s > seat.hold.moment_s:
        return _then_way(_busy(Why.CREW, last), seat.way_s)
    return _then_way(seat.hold.reason, 0 if seat.hold.foreseen else seat.way_s)


def _called(crew: Sequence[tuple[Since, Seat]], offer: Offer) -> Reason | None:
    """Who was free last, if another set out at that very moment; before, nobody knew when."""
    last, _ = max(crew, key=lambda each: each[0].where.moment_s)
    called_s = last.where.moment_s
    comes = [
        s.where.hands for s, seat in crew if seat.way_s and called_s + seat.way_s == offer.start_s
    ]
    if not comes or not last.busy_with:
        return None
    busy = _busy(Why.CREW_THEN_COMES, last)
    return replace(busy, facts={**busy.facts, "other": comes[0].name})


def _there_s(since: Since, seat: Seat) -> int:
    """When somebody can be there, whatever their hours."""
    return max(since.where.moment_s, seat.hold.moment_s) + seat.way_s


def _hours_of_crew(
    weekend: Weekend, windows: Windows, crew: Sequence[tuple[Since, Seat]], offer: Offer
) -> Reason:
    """Whether something had to open, or was open for all before but not for long enough."""
    before_s = offer.start_s - 1
    asleep = [
        (s.where.hands, seat)
        for s, seat in crew
        if not s.where.hands.windows.is_open(before_s - seat.way_s)
    ]
    if asleep:
        hands, seat = asleep[0]
        return _then_way(_up(hands), seat.way_s)
    site = next(site for site in weekend.sites if site.id == offer.spot.place)
    if not windows.is_open(before_s) and not site.windows.is_open(before_s):
        return Reason(Why.OPENS, {"what": site.name})
    return Reason(Why.FITS_CREW, {"minutes": round(offer.spot.hands_s / MINUTE_S)})


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
        return _then_way(_up(hands), offer.way_s)
    opens_s = hours.of(hands, offer.duty, offer.spot).next_open(ready_s + offer.way_s)
    if opens_s == offer.start_s:
        return _opened(weekend, hands, offer)
    return _fits(weekend, hours, hands, offer, ready_s + offer.way_s)


def _fits(weekend: Weekend, hours: Hours, hands: Hands, offer: Offer, ready_s: int) -> Reason:
    """Whose hours are too short before, if those of one alone would bring the same start."""
    spot = offer.spot
    if hands.windows.first_fit(ready_s, spot.hands_s) == offer.start_s:
        return Reason(Why.FITS_WHO, {"who": hands.name, **_minutes(spot.hands_s)})
    site = next(site for site in weekend.sites if site.id == spot.place)
    if site.windows.first_fit(ready_s, spot.hands_s) == offer.start_s:
        return Reason(Why.FITS_PLACE, {"what": site.name, **_minutes(spot.hands_s)})
    if offer.duty.step in {Step.START, Step.RESTART}:
        before_s = spot.hands_s - spot.watch_s
        station, ends_s = weekend.station(spot.machine), offer.start_s + before_s
        if station.windows.first_fit(ready_s + before_s, spot.alone_s) == ends_s:
            return Reason(Why.FITS_MACHINE, {"machine": station.name, **_minutes(spot.alone_s)})
        if hours.may_run(hands, spot).first_fit(ready_s + before_s, spot.alone_s) == ends_s:
            return Reason(
                Why.FITS_STAY,
                {"who": hands.name, "what": site.name, **_minutes(spot.alone_s)},
            )
    return Reason(Why.FITS, _minutes(spot.hands_s + spot.alone_s))


def _minutes(seconds: int) -> dict[str, int]:
    return {"minutes": round(seconds / MINUTE_S)}


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
