"""Blocks of the timeline, written while a plan is carried out."""

from collections import Counter
from dataclasses import replace

from fabsched.model.network import Entry
from fabsched.model.plan import Block, Kind, Reason, Why
from fabsched.model.reasons import reason_of_way
from fabsched.model.steps import Deed, Duty, Offer, Spot
from fabsched.model.weekend import Hands, Weekend
from fabsched.model.windows import Windows


class Writer:
    """Collects blocks."""

    def __init__(self, weekend: Weekend) -> None:
        self._weekend = weekend
        self._sites = {site.id: site.name for site in weekend.sites}
        self._trips: Counter[str] = Counter()
        self._blocks: list[Block] = []

    def sorted(self) -> tuple[Block, ...]:
        """Everything written, in order of start."""
        return tuple(sorted(self._blocks, key=lambda b: (b.start_s, b.end_s, b.id)))

    def name_of(self, place: str) -> str:
        """The name of a place."""
        return self._sites[place]

    def way_there(self, hands: Hands, offer: Offer, why: Reason) -> None:
        """Somebody travels to where a step is done, if they are not there.

        Args:
            hands: who.
            offer: the step.
            why: why it is begun when it is.
        """
        if offer.way_s:
            activity = offer.duty.entry.activity
            reason = reason_of_way(why, activity.name, together=bool(offer.crew))
            span = (offer.depart_s, offer.depart_s + offer.way_s)
            self._travel(hands, offer.spot.place, span, reason, activity.id)

    def way_back(self, hands: Hands, start_s: int, end_s: int) -> None:
        """Somebody goes back to where they are based."""
        reason = Reason(Why.GOES_BACK, {"what": self._sites[hands.base]})
        self._travel(hands, hands.base, (start_s, end_s), reason)

    def _travel(
        self, hands: Hands, place: str, span: tuple[int, int], reason: Reason, activity: str = ""
    ) -> None:
        self._trips[hands.id] += 1
        self._blocks.append(
            Block(
                id=f"{hands.id}.travel.{self._trips[hands.id]}",
                activity=activity,
                kind=Kind.TRAVEL,
                what=self._sites[place],
                resource=hands.id,
                place=place,
                start_s=span[0],
                end_s=span[1],
                reason=reason,
            )
        )

    def task(self, deed: Deed, windows: Windows) -> None:
        """Somebody works on a task; pauses cut it into pieces."""
        entry = deed.offer.duty.entry
        ident = entry.id + deed.mark
        self._pieces(deed, windows, ident, Kind.GATE if entry.looks else Kind.WORK)

    def attended(self, deed: Deed, windows: Windows) -> None:
        """Somebody stays with a run all along: a block of the machine, and theirs."""
        entry = deed.offer.duty.entry
        span = (deed.offer.start_s, _stretches(deed, windows)[-1][1])
        machine = self._block(deed, entry.id, Kind.RUN, span)
        self._blocks.append(replace(machine, resource=deed.offer.spot.machine, attended=True))
        self._pieces(deed, windows, f"{entry.id}.hands", Kind.TEND)

    def tend(self, deed: Deed, what: str) -> None:
        """Somebody starts, clears or restarts a run; nothing is written if it takes no time."""
        if deed.end_s > deed.offer.start_s:
            ident = f"{deed.offer.duty.entry.id}.{what}"
            span = (deed.offer.start_s, deed.end_s)
            self._blocks.append(self._block(deed, ident, Kind.TEND, span))

    def alone(self, deed: Deed, end_s: int, attempt: int) -> None:
        """A machine runs on after hands have started it; failed attempts are counted from 1.

        Args:
            deed: the start or restart.
            end_s: when the machine stops.
            attempt: number of the attempt if it fails, else 0.
        """
        ident = deed.offer.duty.entry.id + (f"@{attempt}" if attempt else "")
        begin_s = deed.end_s - deed.offer.spot.watch_s
        block = self._block(deed, ident, Kind.RUN, (begin_s, end_s))
        by_hand = deed.end_s > deed.offer.start_s
        reason = Reason(Why.BEGUN, {"who": deed.hands.name}) if by_hand else deed.reason
        self._blocks.append(replace(block, resource=deed.offer.spot.machine, reason=reason))

    def going_on(self, entry: Entry, spot: Spot, span: tuple[int, int], attempt: int) -> None:
        """A machine runs on that was started before; nothing is written if it only waits.

        Args:
            entry: what it makes.
            spot: where.
            span: from the beginning until the machine stops.
            attempt: number of the attempt if it fails, else 0.
        """
        if span[0] == span[1]:
            return
        name = entry.activity.name
        self._blocks.append(
            Block(
                id=entry.id + (f"@{attempt}" if attempt else ""),
                activity=entry.activity.id,
                kind=Kind.RUN,
                what=name,
                resource=spot.machine,
                place=spot.place,
                start_s=span[0],
                end_s=span[1],
                reason=Reason(Why.GOES_ON, {"what": name}),
            )
        )

    def watching(self, entry: Entry, spot: Spot, hands: Hands, span: tuple[int, int]) -> None:
        """Somebody stays beside a run that was started before, until its first layers hold."""
        name = entry.activity.name
        self._blocks.append(
            Block(
                id=f"{entry.id}.watch",
                activity=entry.activity.id,
                kind=Kind.TEND,
                what=name,
                resource=hands.id,
                place=spot.place,
                start_s=span[0],
                end_s=span[1],
                needs=(entry.activity.id,),
                reason=Reason(Why.GOES_ON, {"what": name}),
            )
        )

    def _pieces(self, deed: Deed, windows: Windows, ident: str, kind: Kind) -> None:
        for number, span in enumerate(_stretches(deed, windows), start=1):
            name = ident if number == 1 else f"{ident}#{number}"
            block = self._block(deed, name, kind, span)
            resumed = Reason(Why.RESUMED, {"what": block.what})
            self._blocks.append(block if number == 1 else replace(block, reason=resumed))

    def _block(self, deed: Deed, ident: str, kind: Kind, span: tuple[int, int]) -> Block:
        duty = deed.offer.duty
        return Block(
            id=ident,
            activity=duty.entry.activity.id,
            kind=kind,
            what=duty.entry.activity.name,
            resource=deed.hands.id,
            place=deed.offer.spot.place,
            start_s=span[0],
            end_s=span[1],
            needs=_needs(duty),
            reason=deed.reason,
            others=deed.others,
        )


def _stretches(deed: Deed, windows: Windows) -> tuple[tuple[int, int], ...]:
    """When hands really work: all open time of a deed, never empty."""
    whole = (deed.offer.start_s, deed.end_s)
    return windows.pieces(*whole) or (whole,)


def _needs(duty: Duty) -> tuple[str, ...]:
    """Ids of the activities a step waits for; tending waits for its own run."""
    if not duty.step.takes_machine:
        return (duty.entry.activity.id,)
    return duty.entry.waits_for
