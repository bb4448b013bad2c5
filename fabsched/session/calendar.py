"""A plan as calendar events for the hands: tending, work, checks, cuts and ways."""

from collections import Counter
from collections.abc import Mapping
from types import MappingProxyType
from zoneinfo import ZoneInfo

from fabsched.files.calendar_out import Event
from fabsched.model.log import Event as Told
from fabsched.model.plan import Answer, Block
from fabsched.model.shop import Shop
from fabsched.model.state import State
from fabsched.model.weekend import Weekend
from fabsched.schedule.remedies import clear_id
from fabsched.session.clock import long
from fabsched.session.deeds import Words, hands_blocks, reason_text, words_of
from fabsched.session.reason_words import last_start_text, latest_s, no_last_start
from fabsched.session.wording import kind

FIRST_TURNS: Mapping[str, int] = MappingProxyType({})
"""Nothing was tried before."""


def turns_of(state: State) -> dict[str, int]:
    """How often each activity was begun and ended before, by id.

    What is done once more is an event of its own in a calendar: that of the last time stays where it
    was. What has run and only has to be taken off is still the same turn. Taking off what failed
    counts by machine.
    """
    turns = Counter(stint.subject for stint in state.past if stint.start_s is not None)
    lying = [s for s in state.uncleared.values() if s.outcome is Told.FINISHED]
    turns.subtract(stint.subject for stint in lying if stint.start_s is not None)
    bad = [s for s in state.past if s.meant.machine and s.outcome is not Told.FINISHED]
    turns.update(clear_id(stint.meant.machine) for stint in bad)
    return {ident: count for ident, count in turns.items() if count > 0}


def calendar_events(
    weekend: Weekend, answer: Answer, shop: Shop, turns: Mapping[str, int] = FIRST_TURNS
) -> tuple[Event, ...]:
    """An event for every block of somebody's time, in order of start.

    Args:
        weekend: what was planned.
        answer: its plan.
        shop: where.
        turns: how often each activity was done before (`turns_of`).

    Descriptions say why then, until when it may wait, and what to take care of. Where several
    people are planned, the summary names who does it.
    """
    words, zone = words_of(weekend, answer, shop), ZoneInfo(weekend.zone)
    alone, never = len(weekend.hands) == 1, no_last_start(answer.odds)
    return tuple(
        _event(
            block,
            words,
            (*when_and_why(block, zone), *([never] if never and block.activity else [])),
            turn=turns.get(block.activity, 0),
            alone=alone,
        )
        for block in hands_blocks(weekend, answer)
    )


def _event(block: Block, words: Words, notes: tuple[str, ...], *, turn: int, alone: bool) -> Event:
    deed = words.deed(block)
    return Event(
        key=f"{block.id}~{turn}" if turn else block.id,
        start_s=block.start_s,
        end_s=block.end_s,
        summary=deed if alone else f"{words.who(block)}: {deed}",
        location=words.place(block),
        description="\n".join((*notes, *words.cautions([block]))),
        category=kind(block.kind),
    )


def when_and_why(block: Block, zone: ZoneInfo) -> tuple[str, ...]:
    """Why a block starts when it does, and how late it may start."""
    reason = reason_text(block)
    if block.last_start_s is None:
        return (reason,)
    return reason, last_start_text(block, long(latest_s(block), zone))
