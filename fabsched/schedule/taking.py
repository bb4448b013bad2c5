"""Taking swaps: which activities are carried out.

A set of taken swaps is kept in the order in which they are taken one after the other, so that
whatever is carried out was reached from `Weekend.standing` by swaps alone.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product

from fabsched.model.plan import Plan
from fabsched.model.weekend import Swap, Turn, Weekend


@dataclass(frozen=True, slots=True)
class Taken:
    """What is decided.

    Attributes:
        swaps: those taken, in a row in which each can be taken.
        live: ids of the activities that are carried out then.
    """

    swaps: tuple[Swap, ...]
    live: frozenset[str]

    @property
    def _ground(self) -> frozenset[str]:
        """What was carried out before the first was taken."""
        live = self.live
        for swap in reversed(self.swaps):
            live = live - swap.into | swap.out
        return live

    def allows(self, swap: Swap) -> bool:
        """Whether a swap can be taken now."""
        return swap.out <= self.live and not swap.into & self.live

    def taking(self, swap: Swap) -> "Taken":
        """With one more swap taken.

        Raises:
            ValueError: it cannot be taken.
        """
        if not self.allows(swap):
            raise ValueError(f"swap {swap.id} cannot be taken")
        return Taken((*self.swaps, swap), self.live - swap.out | swap.into)

    def leaving(self, swap: Swap) -> "Taken | None":
        """Without one of the swaps taken; None if another one was only possible after it."""
        taken = Taken((), self._ground)
        for other in self.swaps:
            if other is swap:
                continue
            if not taken.allows(other):
                return None
            taken = taken.taking(other)
        return taken

    def as_many(self, swaps: Iterable[Swap]) -> "Taken":
        """With every swap taken that can be, one after the other as listed."""
        taken = self
        for swap in swaps:
            if taken.allows(swap):
                taken = taken.taking(swap)
        return taken


def taken_for(weekend: Weekend, live: frozenset[str]) -> Taken:
    """Swaps that lead to what is carried out.

    Where none do, that itself is where further swaps start from.
    """
    for taken in (_forwards(weekend, live), _backwards(weekend, live)):
        if taken.live == live:
            return taken
    return Taken((), live)


def _forwards(weekend: Weekend, live: frozenset[str]) -> Taken:
    """Swaps taken that bring in nothing but what is carried out."""
    taken, grown = nothing_taken(weekend), True
    while grown:
        leads = (s for s in weekend.swaps if s.into <= live and not s.out & live)
        swap = next((s for s in leads if taken.allows(s)), None)
        grown = swap is not None
        taken = taken.taking(swap) if swap else taken
    return taken


def _backwards(weekend: Weekend, live: frozenset[str]) -> Taken:
    """Swaps taken back one after the other, for those that lead on from another."""
    ground, found = live, list[Swap]()
    while back := [s for s in weekend.swaps if s not in found and _leads_to(s, ground)]:
        found.append(back[0])
        ground = ground - back[0].into | back[0].out
    return nothing_taken(weekend).as_many(reversed(found))


def _leads_to(swap: Swap, live: frozenset[str]) -> bool:
    return bool(swap.into) and swap.into <= live and not swap.out & live


def nothing_taken(weekend: Weekend) -> Taken:
    """What is carried out anyway."""
    return Taken((), weekend.standing)


_ORDER = (Turn.ROUTE, Turn.GATE, Turn.BED)
"""How something is made decides whether it has a coupon and what it shares a bed with."""


def whole_kinds(weekend: Weekend) -> Iterator[Taken]:
    """Kinds of swaps taken as far as possible or not at all: every combination, each outcome once."""
    seen: set[frozenset[str]] = set()
    for chosen in product((False, True), repeat=len(_ORDER)):
        kinds = [kind for kind, take in zip(_ORDER, chosen, strict=True) if take]
        wanted = [swap for kind in kinds for swap in weekend.swaps if swap.kind is kind]
        taken = nothing_taken(weekend).as_many(wanted)
        if taken.live not in seen:
            seen.add(taken.live)
            yield taken


def plan_of(weekend: Weekend, order: Iterable[str], live: frozenset[str]) -> Plan:
    """A plan for what is carried out."""
    dropped = frozenset(activity.id for activity in weekend.activities) - live
    return Plan(order=tuple(ident for ident in order if ident in live), dropped=dropped)
