"""Decisions that what happened has taken: a bed that was printed is not shared out otherwise."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fabsched.model.weekend import Swap, Weekend


@dataclass(frozen=True, slots=True)
class Decided:
    """What is carried out, and what is still to be decided.

    Attributes:
        carried: ids of the activities carried out if no further swap is taken.
        swaps: those that can still be taken.
    """

    carried: frozenset[str]
    swaps: tuple[Swap, ...]

    @property
    def reach(self) -> frozenset[str]:
        """Ids of all activities that may still be carried out."""
        return self.carried.union(*(swap.into for swap in self.swaps))


def decided(weekend: Weekend, happened: Iterable[str]) -> Decided:
    """Take the swaps that lead to what happened; those that would lead away from it are gone.

    Args:
        weekend: what could be carried out.
        happened: ids of activities that are done or go on.
    """
    fixed = frozenset(happened)
    carried = weekend.standing
    for ident in sorted(fixed):
        carried = _with(weekend.swaps, ident, carried, fixed) or carried
    carried |= fixed
    left = (_open(swap, fixed) for swap in weekend.swaps if not swap.into & carried)
    return _within_reach(Decided(carried, tuple(swap for swap in left if swap is not None)))


def _with(
    swaps: tuple[Swap, ...],
    ident: str,
    carried: frozenset[str],
    fixed: frozenset[str],
    within: frozenset[str] = frozenset(),
) -> frozenset[str] | None:
    """What is carried out once an activity is among it; None if no swaps lead there.

    Args:
        swaps: all there are.
        ident: id of the activity.
        carried: what is carried out so far.
        fixed: what must not be swapped away.
        within: ids of the swaps being looked at, so that none is entered again.
    """
    if ident in carried:
        return carried
    for swap in swaps:
        if ident not in swap.into or swap.id in within or swap.out & fixed:
            continue
        ground: frozenset[str] | None = carried
        for need in sorted(swap.out):
            if ground is not None:
                ground = _with(swaps, need, ground, fixed, within | {swap.id})
        if ground is not None and swap.out <= ground:
            return ground - swap.out | swap.into
    return None


def _open(swap: Swap, fixed: frozenset[str]) -> Swap | None:
    """The swap as it can still be taken: what is left of it may be left out, nothing else."""
    if not swap.out & fixed:
        return swap
    rest = swap.out - fixed
    return replace(swap, out=rest) if rest and not swap.into else None


def _within_reach(found: Decided) -> Decided:
    """Without swaps whose ground can no longer be reached."""
    reach, grown = found.carried, True
    while grown:
        ready = [swap for swap in found.swaps if swap.out <= reach]
        wider = reach.union(*(swap.into for swap in ready))
        grown, reach = wider != reach, wider
    return replace(found, swaps=tuple(swap for swap in found.swaps if swap.out <= reach))


def nearest(weekend: Weekend, wanted: Iterable[str]) -> frozenset[str]:
    """What is carried out after taking every swap that leads towards some activities.

    Args:
        weekend: what could be carried out.
        wanted: ids of the activities one would like to carry out; those not known are passed over.
    """
    known = frozenset(activity.id for activity in weekend.activities)
    aim = frozenset(wanted) & known
    carried, taken = weekend.standing, True
    while taken:
        ready = [s for s in weekend.swaps if _leads(s, carried, aim)]
        taken = bool(ready)
        if ready:
            carried = carried - ready[0].out | ready[0].into
    return carried


def _leads(swap: Swap, carried: frozenset[str], aim: frozenset[str]) -> bool:
    """Whether a swap can be taken and brings in only what is wanted, and out only what is not."""
    possible = swap.out <= carried and not swap.into & carried
    return possible and swap.into <= aim and not swap.out & aim
