"""Small changes to a plan: of the order of urgency, and of what is decided."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.weekend import Swap, Turn, Weekend
from fabsched.schedule.taking import Taken, plan_of, taken_for

TWICE = 0.35
"""How often two changes are made at once."""

SWAPS = 0.25
"""How often a change is one of what is carried out rather than of the order."""

DOUBT = 10
"""An activity that was moved so many times in vain is moved half as often as at first."""

LEFT = 0.3
"""How often one of those taken is left again, however many more there are to be taken."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan as it is changed.

    Attributes:
        order: ids of all activities that are carried out, the most urgent first.
        taken: what is decided.
    """

    order: tuple[str, ...]
    taken: Taken

    def plan(self, weekend: Weekend) -> Plan:
        """The plan it stands for."""
        return plan_of(weekend, self.order, self.taken.live)


class Changer:
    """Makes changes at random; what it was good to move is moved more often.

    Of some activities the turn hardly matters: whatever waits for all the others comes last anyway.

    Args:
        weekend: what is planned.
        rng: where chance comes from.
    """

    def __init__(self, weekend: Weekend, rng: np.random.Generator) -> None:
        self._weekend, self._rng = weekend, rng
        self._kinds = sorted({swap.kind for swap in weekend.swaps})
        self._ids = [activity.id for activity in weekend.activities]
        self._moves, self._hits = dict.fromkeys(self._ids, 0), dict.fromkeys(self._ids, 0)
        self._last: list[str] = []

    def changed(self, draft: Draft) -> Draft:
        """The draft with a change, sometimes with two."""
        self._last.clear()
        for _ in range(1 + (self._rng.random() < TWICE)):
            draft = self._once(draft)
        return draft

    def _once(self, draft: Draft) -> Draft:
        if self._weekend.swaps and self._rng.random() < SWAPS:
            return self.swapped(draft)
        if len(draft.order) < 2:
            return draft
        return replace(draft, order=self._moved(draft.order))

    def _moved(self, order: tuple[str, ...]) -> tuple[str, ...]:
        """One activity moved, or two in each other's place."""
        new = list(order)
        a, b = self._any(new), int(self._rng.integers(len(new)))
        self._last.append(new[a])
        if self._rng.random() < 0.45:
            new[a], new[b] = new[b], new[a]
        else:
            new.insert(b, new.pop(a))
        return tuple(new)

    def _any(self, order: Sequence[str]) -> int:
        """Place of an activity to move."""
        chances = ((1 + self._hits[i]) / (DOUBT + self._moves[i]) for i in order)
        sums = np.cumsum(np.fromiter(chances, np.float64, len(order)))
        drawn = int(np.searchsorted(sums, self._rng.random() * sums[-1], side="right"))
        return min(drawn, len(order) - 1)

    def learn(self, good: bool) -> None:
        """Hear whether the last change was for the better."""
        for ident in self._last:
            self._moves[ident] += 1
            self._hits[ident] += good

    def swapped(self, draft: Draft) -> Draft:
        """One swap taken, or left again; nothing if what was drawn is not possible."""
        kind = self._kinds[int(self._rng.integers(len(self._kinds)))]
        swaps = self._open(draft.taken, kind)
        if not swaps:
            return draft
        return self._otherwise(draft, swaps[int(self._rng.integers(len(swaps)))]) or draft

    def neighbours(self, draft: Draft) -> list[Draft]:
        """The draft with one swap taken, or left again: all that are possible."""
        swaps = (swap for swap in self._weekend.swaps if _is_open(draft.taken, swap))
        found = (self._otherwise(draft, swap) for swap in swaps)
        return [other for other in found if other is not None]

    def _otherwise(self, draft: Draft, swap: Swap) -> Draft | None:
        """With a swap taken, or left again if it is; None if it cannot be left."""
        if swap not in draft.taken.swaps:
            return Draft(self._instead(draft.order, swap.out, swap.into), draft.taken.taking(swap))
        left = draft.taken.leaving(swap)
        return Draft(self._instead(draft.order, swap.into, swap.out), left) if left else None

    def _open(self, taken: Taken, kind: Turn) -> list[Swap]:
        """Swaps of a kind that can be taken, or sometimes only those that can be left again."""
        those = [swap for swap in taken.swaps if swap.kind is kind]
        if those and self._rng.random() < LEFT:
            return those
        return [s for s in self._weekend.swaps if s.kind is kind and _is_open(taken, s)]

    def _instead(
        self, order: tuple[str, ...], out: frozenset[str], into: frozenset[str]
    ) -> tuple[str, ...]:
        """The order with some activities where others were: each as urgent as the first of these."""
        first = next((place for place, ident in enumerate(order) if ident in out), len(order))
        before, after = ([i for i in o if i not in out] for o in (order[:first], order[first:]))
        return (*before, *(ident for ident in self._ids if ident in into), *after)


def _is_open(taken: Taken, swap: Swap) -> bool:
    return swap in taken.swaps or taken.allows(swap)


def draft_of(weekend: Weekend, plan: Plan) -> Draft:
    """A plan to be changed."""
    live = frozenset(plan.order) - plan.dropped
    return Draft(tuple(i for i in plan.order if i in live), taken_for(weekend, live))
