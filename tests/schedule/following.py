"""Logs of weekends in which everything went as planned, up to some moment."""

from collections.abc import Iterator
from dataclasses import replace

from fabsched.model.log import Entry, Event
from fabsched.model.plan import Block, Course, Kind
from fabsched.model.weekend import Run, Weekend
from fabsched.schedule.happened import meant_by


def told(weekend: Weekend, course: Course, until_s: int) -> tuple[Entry, ...]:
    """What a careful maker has told the log by then."""
    entries = [e for e in _all(weekend, course) if e.moment_s <= until_s]
    entries.sort(key=lambda entry: entry.moment_s)
    return tuple(replace(entry, id=i) for i, entry in enumerate(entries, start=1))


def _all(weekend: Weekend, course: Course) -> Iterator[Entry]:
    for activity in weekend.activities:
        blocks = [
            b for b in course.blocks if b.activity == activity.id and b.kind is not Kind.TRAVEL
        ]
        machine = [block for block in blocks if block.kind is Kind.RUN]
        if isinstance(activity, Run) and not activity.attended and machine:
            yield entry(weekend, machine[0], Event.STARTED, machine[0].start_s)
            yield entry(weekend, machine[0], Event.FINISHED, machine[0].end_s)
            yield entry(weekend, machine[0], Event.CLEARED, course.done_s[activity.id])
        elif blocks:
            hands = next((block for block in blocks if block.kind is not Kind.RUN), blocks[0])
            yield entry(weekend, hands, Event.STARTED, hands.start_s)
            yield entry(weekend, hands, Event.FINISHED, course.done_s[activity.id])


def entry(weekend: Weekend, block: Block, kind: Event, moment_s: int) -> Entry:
    """What is told of a block."""
    activity = weekend.activity(block.activity)
    by_hand = block.resource in {h.id for h in weekend.hands}
    people = (block.resource, *block.others) if by_hand else ()
    meant = meant_by(activity, weekend, machine=block.resource, people=people)
    return Entry(kind=kind, moment_s=moment_s, noted_s=moment_s, subject=activity.id, meant=meant)
