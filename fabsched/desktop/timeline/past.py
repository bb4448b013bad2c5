"""What has happened, as blocks of the timeline. No Qt here."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from fabsched.model.log import Event, Sort
from fabsched.model.plan import Block, Kind, Reason, Why
from fabsched.model.state import State, Stint
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Weekend
from fabsched.session.wording import event

SHORT_S = MINUTE_S
"""How long something is shown whose beginning nobody has told (our own choice)."""

KINDS: Mapping[Sort | None, Kind] = {
    Sort.RUN: Kind.RUN,
    Sort.ATTENDED: Kind.RUN,
    Sort.WORK: Kind.WORK,
    Sort.GATE: Kind.GATE,
}


@dataclass(frozen=True, slots=True)
class Past:
    """A stretch that lies behind.

    Attributes:
        block: where and when.
        outcome: what ended it; None while it goes on.
        ending: moment of the entry that ended it, or began it while it goes on.
    """

    block: Block
    outcome: Event | None
    ending: int

    @property
    def in_vain(self) -> bool:
        """Whether it has to be done again."""
        return self.outcome in {Event.FAILED, Event.CANCELLED, Event.FOUND}


def past_of(state: State, weekend: Weekend) -> tuple[Past, ...]:
    """Everything that was told, in order of its beginning.

    Args:
        state: where the weekend stands.
        weekend: what is left of it; what goes on is cut off where it begins.
    """
    found = [
        past
        for number, stint in enumerate((*state.past, *state.going.values()))
        for past in _pasts(stint, f"past.{number}", weekend)
    ]
    return tuple(sorted(found, key=lambda past: (past.block.start_s, past.block.id)))


def _pasts(stint: Stint, ident: str, weekend: Weekend) -> Iterator[Past]:
    """A stint on every lane it lies on: its machine's, and its people's where hands were with it."""
    meant = stint.meant
    people = [hands.id for hands in weekend.hands]
    by_hand = people and (meant.sort is not Sort.RUN or not meant.machine)
    end_s = weekend.begin_s if stint.end_s is None else stint.end_s
    start_s = end_s - SHORT_S if stint.start_s is None else stint.start_s
    if start_s >= end_s:
        return
    block = Block(
        id=ident,
        activity=stint.subject,
        kind=KINDS.get(meant.sort, Kind.WORK),
        what=meant.name,
        resource=meant.machine,
        place=meant.place,
        start_s=start_s,
        end_s=end_s,
        attended=meant.sort is Sort.ATTENDED,
        reason=Reason(Why.TOLD, {"how": event(stint.outcome or Event.STARTED, what=meant.name)}),
    )
    ending = (stint.end_s if stint.outcome else stint.start_s) or 0
    if meant.machine:
        yield Past(block, stint.outcome, ending)
    if by_hand:
        kind = Kind.TEND if meant.machine else block.kind
        for person in [who for who in meant.people if who in people] or people[:1]:
            mark = f"+{person}" if person in meant.helpers else ""
            others = tuple(who for who in meant.people if who != person)
            hands = replace(
                block, id=f"{ident}.hands{mark}", kind=kind, resource=person, others=others
            )
            yield Past(hands, stint.outcome, ending)
