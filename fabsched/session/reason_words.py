"""The reasons of a plan in sentences."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from fabsched.model.plan import Block, Kind, Odds, Why
from fabsched.model.reasons import BY_HOURS
from fabsched.session.clock import duration, up
from fabsched.session.wording import alone, decided, figure, phrase, why

if TYPE_CHECKING:  # these bring in numpy
    from fabsched.schedule.chains import Gain
    from fabsched.schedule.isolation import Isolated
    from fabsched.schedule.settled import Settled

MOST_WAITING = 3
"""So many that wait for a block are named."""

HOURS = BY_HOURS | {Why.UP, Why.UP_THEN_WAY}
"""Reasons that are hours of a place, a person or a machine."""

Names = Mapping[str, str]
"""What activities are called, by id."""


def waiting(blocks: Iterable[Block], activity: str) -> tuple[str, ...]:
    """Names of what waits for an activity, in order of their beginning, each once."""
    return tuple(
        dict.fromkeys(
            block.what for block in blocks if activity in block.needs and block.activity != activity
        )
    )


def then_text(blocks: Iterable[Block], block: Block) -> str:
    """What waits for a block; empty if nothing does."""
    names = (
        () if block.kind is Kind.TRAVEL or not block.activity else waiting(blocks, block.activity)
    )
    if not names:
        return ""
    shown = ", ".join(names[:MOST_WAITING])
    if len(names) > MOST_WAITING:
        return phrase("then-more", what=shown, count=len(names) - MOST_WAITING)
    return phrase("then", what=shown)


def latest_s(block: Block) -> int:
    """How late a block may start, as it is told: never before the whole minute told for its start.

    Args:
        block: one with a last start.
    """
    return max(block.last_start_s or 0, up(block.start_s))


def last_start_text(block: Block, moment: str) -> str:
    """How late a block may start, and what that keeps or costs.

    Args:
        block: one with a last start.
        moment: that, in words.
    """
    if block.last_cost is None:
        return phrase("last-start", moment=moment)
    return phrase("last-start-cost", moment=moment, points=_points(block.last_cost))


def _points(share: float) -> str:
    """Points of a chance, to a tenth where there is one.

    >>> _points(0.02), _points(0.0123)
    ('2', '1.2')
    """
    return figure(round(100 * share, 1))


def no_last_start(odds: Odds) -> str:
    """That nothing can start too late, where no weekend is done in time anyhow; empty elsewhere."""
    return "" if odds.on_time else phrase("last-none")


def last_note(blocks: Iterable[Block]) -> str:
    """What "at the latest" means where it cannot keep the odds that are wanted; empty if usual."""
    costs = {block.last_cost for block in blocks if block.last_cost is not None}
    return phrase("last-cost-note", points=_points(max(costs))) if costs else ""


def chain_text(blocks: Sequence[Block], chain: Sequence[str]) -> str:
    """The chain that decides the finish, from its beginning; empty if there is none.

    Where a link waited for hours they are told, since what stands before it had time to spare then.
    """
    by_id = {block.id: block for block in blocks}
    steps: list[str] = []
    for ident in reversed(chain):
        block = by_id[ident]
        name = _link(block)
        if not steps or steps[-1] != name:
            steps.append(name)
    return " \u2192 ".join(steps)


def _link(block: Block) -> str:
    if block.kind is Kind.TRAVEL:
        return phrase("do-travel", what=block.what)
    return f"{block.what} ({why(block.reason)})" if block.reason.code in HOURS else block.what


def gain_lines(gains: "Sequence[Gain]", names: Names) -> Iterator[str]:
    """What would move the finish, in the order of `chains.gains`; what would not is left out."""
    for gain in gains:
        if gain.sooner_s > 0:
            quicker, sooner = duration(gain.quicker_s), duration(gain.sooner_s)
            what = names.get(gain.activity, gain.activity)
            yield phrase("gain", what=what, quicker=quicker, sooner=sooner)


def apart_lines(found: "Sequence[Isolated]", names: Names) -> Iterator[str]:
    """What is made on its own, and why."""
    for each in found:
        what = ", ".join(dict.fromkeys(names.get(run, run) for run in each.runs))
        facts = {"lost": duration(max(0.0, each.lost_s)), "saved": duration(max(0, each.saved_s))}
        yield phrase("apart", what=what, why=alone(each.code, what=each.swap.name, **facts))


def settled_text(each: "Settled", names: Names) -> str:
    """One decision."""
    swap = each.swap
    code = str(swap.kind) if each.taken else f"{swap.kind}-not"
    into, out = (
        ", ".join(dict.fromkeys(names.get(ident, ident) for ident in sorted(idents)))
        for idents in (swap.into, swap.out)
    )
    return decided(code, what=swap.name, into=into, out=out)
