"""What one plan does otherwise than another, change by change."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from fabsched.model.log import InHand, Meant
from fabsched.model.plan import Answer, Block, Kind, Plan
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Run, Weekend
from fabsched.schedule.happened import meant_by
from fabsched.schedule.orders import longest_rising

NOTABLE_S = 15 * MINUTE_S
"""A start that moves by less is not told (our own choice)."""


class Otherwise(StrEnum):
    """What changed. The wording table's `[change]` has a template for each."""

    SOONER = "sooner"
    LATER = "later"
    ADDED = "added"
    LEFT_OUT = "left-out"
    STARTS_SOONER = "starts-sooner"
    STARTS_LATER = "starts-later"
    DEADLINE = "deadline-moved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that changed.

    Attributes:
        kind: what.
        subject: id of the activity; empty for the deadline.
        name: name shown.
        other: name of what it now goes before or after; empty if it is first or last.
        was_s, now_s: start, or deadline, before and now; None where it was not or is not known.
    """

    kind: Otherwise
    subject: str = ""
    name: str = ""
    other: str = ""
    was_s: int | None = None
    now_s: int | None = None


def in_hand(answer: Answer, weekend: Weekend) -> InHand:
    """A plan as the log keeps it."""
    starts: dict[str, int] = {}
    for block in answer.course.blocks:
        if block.activity:
            starts.setdefault(block.activity, block.start_s)
    return InHand(
        plan=answer.plan,
        starts_s=tuple(starts.items()),
        on_time=answer.odds.on_time,
        deadline_s=weekend.deadline_s,
        meant=meanings(weekend, answer.course.blocks),
    )


def meanings(weekend: Weekend, blocks: Iterable[Block] = ()) -> tuple[tuple[str, Meant], ...]:
    """What every activity means, what was done before included.

    Args:
        weekend: what the activities belong to.
        blocks: of a course, for the machine and people of each.
    """
    people = {hands.id for hands in weekend.hands}
    machines = {b.activity: b.resource for b in blocks if b.kind is Kind.RUN}
    busy = {b.activity: (b.resource, *b.others) for b in blocks if b.resource in people}
    return tuple(
        (a.id, meant_by(a, weekend, machines.get(a.id, ""), busy.get(a.id, ())))
        for a in (*weekend.activities, *weekend.settled)
    )


def changes(
    weekend: Weekend, old: InHand, kept: Plan, answer: Answer, by_hand: Iterable[str] = ()
) -> tuple[Change, ...]:
    """Everything a plan does otherwise: what was decided, then urgency, then clock.

    Args:
        weekend: what is left of it.
        old: the plan that was in hand.
        kept: the same as it would go on, see `replan.carried_over`.
        answer: the plan now.
        by_hand: ids of what hands are at: that does not start any more.
    """
    names = {activity.id: activity.name for activity in weekend.activities}
    begun = {a.id for a in weekend.activities if isinstance(a, Run) and a.going} | {*by_hand}
    new = in_hand(answer, weekend)
    moved = tuple(_moved(new.plan, kept, names))
    told = frozenset(change.subject for change in moved)
    return (
        *_deadline(old, new),
        *_carried(new.plan, kept, names),
        *moved,
        *(change for change in _starts(old, new, names) if change.subject not in told | begun),
    )


def _deadline(old: InHand, new: InHand) -> Iterator[Change]:
    if old.deadline_s and old.deadline_s != new.deadline_s:
        yield Change(kind=Otherwise.DEADLINE, was_s=old.deadline_s, now_s=new.deadline_s)


def _carried(new: Plan, old: Plan, names: Mapping[str, str]) -> Iterator[Change]:
    """What is carried out that was not, and left out that was carried out."""
    now, before = _live(new), _live(old)
    for ident in new.order:
        if ident in now - before:
            yield Change(kind=Otherwise.ADDED, subject=ident, name=names[ident])
    for ident in old.order:
        if ident in before & new.dropped:
            yield Change(kind=Otherwise.LEFT_OUT, subject=ident, name=names[ident])


def _live(plan: Plan) -> frozenset[str]:
    return frozenset(plan.order) - plan.dropped


def _moved(new: Plan, old: Plan, names: Mapping[str, str]) -> Iterator[Change]:
    """The fewest activities whose moving turns one order into the other."""
    rank = {ident: place for place, ident in enumerate(old.order)}
    order = [ident for ident in new.order if ident in rank]
    stay = longest_rising([rank[ident] for ident in order])
    anchors = [rank[order[place]] for place in stay]
    for place, ident in enumerate(order):
        if place in stay:
            continue
        before = bisect_left(anchors, rank[ident])
        now = sum(other < place for other in stay)
        if now < before:
            yield Change(
                kind=Otherwise.SOONER,
                subject=ident,
                name=names[ident],
                other=names[order[stay[now]]],
            )
        else:
            other = names[order[stay[now - 1]]] if now else ""
            yield Change(kind=Otherwise.LATER, subject=ident, name=names[ident], other=other)


def _starts(old: InHand, new: InHand, names: Mapping[str, str]) -> Iterator[Change]:
    """What starts at a notably different time although its turn has not changed."""
    was = dict(old.starts_s)
    for ident, now_s in _known(new.starts_s, was):
        kind = Otherwise.STARTS_LATER if now_s > was[ident] else Otherwise.STARTS_SOONER
        if abs(now_s - was[ident]) >= NOTABLE_S and ident in names:
            yield Change(kind=kind, subject=ident, name=names[ident], was_s=was[ident], now_s=now_s)


def _known(
    starts_s: Iterable[tuple[str, int]], was: Mapping[str, int]
) -> Iterator[tuple[str, int]]:
    return ((ident, start_s) for ident, start_s in starts_s if ident in was)
