"""Work for several people at once: who does it together, and from when.

The rule. A task for a crew starts when that many of those who may do it are free, have come to its
place, and are inside their hours and those of the place. All of them are held until it ends; what may
be split stops while one of them has a pause, and goes on together. Whoever acts takes the others along
with whom it can start first: those who would be done with it first, then those with the shortest way,
then as they are listed. Nobody knows when somebody busy will be free, so only those who are free count.

While somebody who could do it is still busy, and it could start now if all of them were free, those
who are free keep themselves free: they begin nothing less urgent, and follow nobody to anything less
urgent. Else they would never be free together as long as there is other work. So a crew is gathered by
the last of them to become free. That comes to an end: everybody keeps free for the most urgent crew in
one common order, so that no two crews wait for each other, and only while somebody works, who will be
done. Where the hours are in the way (somebody sleeps, the place is closed), nobody keeps free. How
urgent a crew is, is the plan's to say: what stands before it in the order is done before it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabsched.model.steps import Duty, Hold, Hours, Offer, Seat, Spot, Where, hold_of, set_out_s
from fabsched.model.weekend import Task, Weekend
from fabsched.model.windows import NEVER, Windows


@dataclass(frozen=True, slots=True)
class Other:
    """Somebody who could be taken along.

    Attributes:
        where: who, the place they are at, and the moment.
        free: whether they can be asked now.
        look_s: when they will next look for something to do; `NEVER` if that is not known.
    """

    where: Where
    free: bool
    look_s: int


def crew_offer(
    weekend: Weekend,
    hours: Hours,
    first: Where,
    others: Sequence[Other],
    duty: Duty,
    machines: Mapping[str, Hold],
) -> Offer | None:
    """What somebody could do together with others, and when; None if never.

    Args:
        weekend: for the ways.
        hours: for the windows.
        first: who acts.
        others: who else may do it, as listed, without those who will not be free any more.
        duty: the step of a task for several people.
        machines: as for `offer_of`.

    Returns:
        With those who are free, if they can set out now, or as soon as with all; else with all, as
        if they were free, and with the moment at which to look again (`Offer.look_s`).
    """
    table = _Table(weekend, hours, duty, machines)
    ready = table.offer(first, [other.where for other in others if other.free])
    if ready and ready.depart_s <= first.moment_s:
        return ready
    wider = table.offer(first, [other.where for other in others])
    if wider is None or (ready and ready.start_s <= wider.start_s):
        return ready
    looks_s = [other.look_s for other in others if not other.free]
    return replace(wider, look_s=min(table.last_depart_s(wider) + 1, *looks_s))


@dataclass(frozen=True, slots=True)
class _Table:
    """One task for several people."""

    weekend: Weekend
    hours: Hours
    duty: Duty
    machines: Mapping[str, Hold]

    @property
    def _spot(self) -> Spot:
        return self.duty.spots[0]

    def offer(self, first: Where, others: Sequence[Where]) -> Offer | None:
        """The earliest start of the first with enough of the others; None if there is none."""
        seats = [self._seat(where) for where in (first, *others)]
        start_s = self._start_s(seats)
        if start_s >= NEVER:
            return None
        able = [s for s in seats[1:] if self._first_s(s, start_s) == start_s]
        able.sort(key=lambda seat: (self._done_s(seat, start_s), seat.way_s))
        crew = (seats[0], *able[: self._size - 1])
        if self._together(crew).add(start_s, self._spot.hands_s) >= NEVER:
            return None
        way_s = max(seat.way_s for seat in crew)
        hold = max((seat.hold for seat in crew), key=lambda hold: hold.moment_s)
        return Offer(
            duty=self.duty, spot=self._spot, start_s=start_s, way_s=way_s, hold=hold, crew=crew
        )

    @property
    def _size(self) -> int:
        return self.duty.crew

    def _seat(self, where: Where) -> Seat:
        way_s = self.weekend.way_s(where.place, self._spot.place)
        hold = hold_of(self.weekend, self.duty, self._spot, way_s, self.machines)
        out_s = set_out_s(where, hold.moment_s, way_s) if hold else NEVER
        return Seat(where.hands, way_s, out_s, hold or Hold(NEVER, self.duty.holds[0].reason))

    def _start_s(self, seats: Sequence[Seat]) -> int:
        """The first moment at which the first of them and enough of the others can begin.

        Before the moment at which enough of them could have begun there is none, so that one may
        look on from there.
        """
        if len(seats) < self._size:
            return NEVER
        start_s = 0
        while True:
            firsts = [self._first_s(seat, start_s) for seat in seats]
            next_s = max(firsts[0], sorted(firsts[1:])[self._size - 2])
            if next_s in (start_s, NEVER):
                return next_s
            start_s = next_s

    def _first_s(self, seat: Seat, moment_s: int) -> int:
        there_s = max(moment_s, seat.out_s + seat.way_s)
        return self.hours.first_start(seat.hands, self.duty, self._spot, there_s)

    def _done_s(self, seat: Seat, start_s: int) -> int:
        return self._windows(seat).add(start_s, self._spot.hands_s)

    def _windows(self, seat: Seat) -> Windows:
        return self.hours.of(seat.hands, self.duty, self._spot)

    def _together(self, crew: Sequence[Seat]) -> Windows:
        return self.hours.together([seat.hands for seat in crew], self.duty, self._spot)

    def last_depart_s(self, offer: Offer) -> int:
        """When the first of a crew would have to set out at the latest before the hours end."""
        activity = self.duty.entry.activity
        split = isinstance(activity, Task) and activity.splittable
        needs_s = 1 if split else max(1, self._spot.hands_s)
        return min(
            self._windows(seat).closes(offer.start_s) - needs_s - seat.way_s for seat in offer.crew
        )


def own_offer(offer: Offer, seat: Seat) -> Offer:
    """What one of a crew does, with their own way.

    They set out as late as will do; if they have a pause then, as early as they can.
    """
    late_s = offer.start_s - seat.way_s
    up = not seat.way_s or seat.hands.windows.is_open(late_s)
    return replace(offer, way_s=seat.way_s, out_s=late_s if up else seat.out_s)
