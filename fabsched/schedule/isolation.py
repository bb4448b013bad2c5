"""What is printed or cut on its own although it could share a bed, and what speaks for that."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from fabsched.model.plan import Plan
from fabsched.model.weekend import Run, Swap, Turn, Weekend
from fabsched.schedule.expected import fail_chance, machine_mean


class Alone(StrEnum):
    """Why runs are kept apart. The wording table's `[alone]` has a template for each."""

    RISK = "risk"
    SOONER = "sooner"


@dataclass(frozen=True, slots=True, kw_only=True)
class Isolated:
    """Runs kept apart that could share a bed, or copies that could lie on one.

    Attributes:
        swap: the decision that was taken so.
        runs: ids of the runs kept apart.
        code: what speaks for it.
        lost_s: machine seconds that failures are likely to cost on top if they shared a bed.
        saved_s: seconds of hands that sharing would save.
    """

    swap: Swap
    runs: tuple[str, ...]
    code: Alone
    lost_s: float
    saved_s: int


def isolated(weekend: Weekend, plan: Plan) -> tuple[Isolated, ...]:
    """What a plan keeps apart, the largest risk first.

    One failure scraps a whole bed, so a bed is likely to lose more than its parts one by one. Where
    that is less than the hands that sharing would save, they are apart because each alone is done
    sooner.

    Args:
        weekend: activities and swaps.
        plan: what was decided.
    """
    kept = frozenset(plan.order) - plan.dropped
    runs = {a.id: a for a in weekend.activities if isinstance(a, Run)}
    found = [
        _isolated(swap, [runs[x] for x in sorted(apart)], [runs[x] for x in sorted(joint)])
        for swap in weekend.swaps
        if swap.kind is Turn.BED
        for apart, joint in _sides(swap)
        if apart <= kept and kept.isdisjoint(joint) and (apart | joint) <= runs.keys()
    ]
    return tuple(sorted(found, key=lambda each: (-each.lost_s, each.swap.id)))


def _sides(swap: Swap) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
    """The side with more runs and the one with fewer."""
    if len(swap.out) > len(swap.into):
        yield swap.out, swap.into
    elif len(swap.out) < len(swap.into):
        yield swap.into, swap.out


def _isolated(swap: Swap, apart: list[Run], joint: list[Run]) -> Isolated:
    lost_s = sum(map(_loss_s, joint)) - sum(map(_loss_s, apart))
    saved_s = sum(map(_hands_s, apart)) - sum(map(_hands_s, joint))
    return Isolated(
        swap=swap,
        runs=tuple(run.id for run in apart),
        code=Alone.RISK if lost_s > saved_s else Alone.SOONER,
        lost_s=lost_s,
        saved_s=saved_s,
    )


def _loss_s(run: Run) -> float:
    """Machine seconds a run is likely to waste by failing."""
    mine = run.at(run.choices[0])
    seconds = machine_mean(mine.choices[0].seconds)
    return fail_chance(mine, seconds) * seconds


def _hands_s(run: Run) -> int:
    mine = run.at(run.choices[0])
    return mine.tend_s
