"""A plan as calendar events for the hands: tending, work, checks, cuts and ways."""

from zoneinfo import ZoneInfo

from fabsched.files.calendar_out import Event
from fabsched.model.plan import Answer, Block
from fabsched.model.shop import Shop
from fabsched.model.weekend import Weekend
from fabsched.session.clock import long
from fabsched.session.deeds import Words, hands_blocks, reason_text, words_of
from fabsched.session.wording import kind, phrase


def calendar_events(weekend: Weekend, answer: Answer, shop: Shop) -> tuple[Event, ...]:
    """An event for every block of somebody's time, in order of start.

    Descriptions say why then, until when it may wait, and what to take care of. Where several
    people are planned, the summary names who does it.
    """
    words, zone = words_of(weekend, answer, shop), ZoneInfo(weekend.zone)
    alone = len(weekend.hands) == 1
    return tuple(_event(block, words, zone, alone=alone) for block in hands_blocks(weekend, answer))


def _event(block: Block, words: Words, zone: ZoneInfo, *, alone: bool) -> Event:
    deed = words.deed(block)
    return Event(
        key=block.id,
        start_s=block.start_s,
        end_s=block.end_s,
        summary=deed if alone else f"{words.who(block)}: {deed}",
        location=words.place(block),
        description="\n".join((*when_and_why(block, zone), *words.cautions([block]))),
        category=kind(block.kind),
    )


def when_and_why(block: Block, zone: ZoneInfo) -> tuple[str, ...]:
    """Why a block starts when it does, and how late it may start."""
    reason = reason_text(block)
    if block.last_start_s is None:
        return (reason,)
    return reason, phrase("last-start", moment=long(block.last_start_s, zone))
