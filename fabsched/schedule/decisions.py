"""All that may be carried out for a project, and the swaps that decide what is."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import IntEnum
from functools import cached_property
from math import prod

from fabsched.model.project import Gate
from fabsched.model.shop import Shop
from fabsched.model.weekend import Activity, Run, Swap, Task, Turn
from fabsched.schedule.bed_sharing import Sharing
from fabsched.schedule.choices import Choices, State, item_swaps
from fabsched.schedule.items import Items
from fabsched.schedule.making import Made
from fabsched.schedule.names import Namer
from fabsched.schedule.works import tasks_of

JOINED = 40
"""Swaps that decide about items and beds at once, at most; the search can also take one after the
other."""


class Look(IntEnum):
    """What an early gate does for a later one."""

    ELSEWHERE = 0
    SKIPPED = 1
    DONE = 2


Easing = tuple[tuple[str, Look], ...]
"""What each early gate does for one later gate.

A gate of a way that is not taken is told from one that is only skipped, although both ease nothing:
else nobody could see from what is carried out which decisions have been taken.
"""


@dataclass(frozen=True, kw_only=True)
class Candidates:
    """What items become.

    Attributes:
        items: of the project.
        made: their beds and sheets.
        tasks: their tasks, by id of the work or gate.
        namer: gives the ids of gates that are eased otherwise than usual.
    """

    items: Items
    made: Made
    tasks: Mapping[str, tuple[Task, ...]]
    namer: Namer
    _eased: dict[tuple[str, Easing], str] = field(default_factory=dict)

    @classmethod
    def of(cls, items: Items, made: Made, shop: Shop, namer: Namer) -> "Candidates":
        """Tasks of a project beside its beds and sheets.

        Raises:
            InputError: nobody may do some work, or where it is done is not known.
        """
        project = items.spelled_out
        works = (*project.works, *project.gates)
        tasks = {work.id: tasks_of(work, shop, namer) for work in works}
        return cls(items=items, made=made, tasks=tasks, namer=namer)

    @cached_property
    def choices(self) -> Choices:
        """What is left open about the items."""
        return Choices(self.items)

    @cached_property
    def usual_items(self) -> frozenset[str]:
        """Items that are carried out if nothing is decided."""
        return self.choices.live(self.choices.usual)

    @property
    def usual(self) -> State:
        """Activities that are carried out if nothing is decided."""
        return self.carried_by(self.usual_items)

    def carried_by(self, live: frozenset[str]) -> State:
        """Activities that carry out a set of items, beds and sheets as usual."""
        runs = (run.id for run in self.made.usual if any(part in live for part, _ in run.cargo))
        return frozenset((*runs, *(x for item in live for x in self._tasks_of(item, live))))

    def shared(self) -> Mapping[str, State]:
        """Activities each item may have a share in."""
        found: dict[str, set[str]] = {ident: set() for ident in self.items.candidates}
        for run in self.made.usual:
            for part, _ in run.cargo:
                found[part].add(run.id)
        return {ident: frozenset(runs) for ident, runs in found.items()}

    def _tasks_of(self, item: str, live: frozenset[str]) -> tuple[str, ...]:
        if item in self.items.easing:
            return (self._gate_id(item, self._easing(item, live)),)
        return tuple(task.id for task in self.tasks.get(item, ()))

    def _easing(self, gate: str, live: frozenset[str]) -> Easing:
        return tuple((early, self._look(early, live)) for early in self.items.easing[gate])

    def _look(self, early: str, live: frozenset[str]) -> Look:
        if early in live:
            return Look.DONE
        return Look.SKIPPED if self.items.way_is_taken(early, live) else Look.ELSEWHERE

    def _gate_id(self, gate: str, easing: Easing) -> str:
        """The gate's own id if it is eased as usual, else one that tells by what."""
        if easing == self._easing(gate, self.usual_items):
            return gate
        if (gate, easing) not in self._eased:
            done = [early for early, look in easing if look is Look.DONE]
            told = f"-after-{'-'.join(done)}" if done else "-alone"
            self._eased[gate, easing] = self.namer.fresh(gate + told)
        return self._eased[gate, easing]

    def activities(self) -> Iterator[Activity]:
        """All of them; what they wait for is still told by items."""
        yield from self.made.runs()
        for ident, tasks in self.tasks.items():
            if ident not in self.items.easing:
                yield from tasks
                continue
            yield self._gate(tasks[0], ident, self._easing(ident, self.usual_items))
            for (gate, easing), name in self._eased.items():
                if gate == ident:
                    yield self._gate(tasks[0], name, easing)

    def _gate(self, task: Task, ident: str, easing: Easing) -> Task:
        """A gate with the chance that is left once others have looked before."""
        gates = {gate.id: gate for gate in self.items.project.gates}
        left = prod(gates[early].left for early, look in easing if look is Look.DONE)
        return replace(task, id=ident, chance=task.chance * left)


def decisions(
    candidates: Candidates, may_be: Callable[[Activity], bool]
) -> tuple[tuple[Activity, ...], tuple[Swap, ...]]:
    """All activities that can be reached, and the swaps.

    Args:
        candidates: what items become.
        may_be: whether there is a time for an activity at all; where there is none, it is no way
            to do something unless it is the usual one.
    """
    usual = candidates.usual
    swaps = item_swaps(candidates.choices, candidates.carried_by, candidates.shared())
    named = usual.union(*(swap.into for swap in swaps)) - _coming_and_going(swaps)
    beds = tuple(_bed_swaps(candidates.made.instead, named))
    swaps = (*swaps, *beds, *_joined(swaps, beds))
    activities = _spelt_out(candidates, tuple(candidates.activities()))
    out = {a.id for a in activities if a.id not in usual and not may_be(a)}
    swaps = tuple(swap for swap in swaps if not out & (swap.out | swap.into))
    return _reached(activities, usual, swaps), swaps


def _coming_and_going(swaps: Iterable[Swap]) -> State:
    """What is left out in favour of nothing.

    Once it is carried out by another run nobody could tell that it is not left out: so it stays in
    its own.
    """
    bare = (swap.out | swap.into for swap in swaps if not (swap.out and swap.into))
    return frozenset[str]().union(*bare)


def _bed_swaps(instead: Iterable[Sharing], named: State) -> Iterator[Swap]:
    namer = Namer(())
    for sharing in instead:
        if named.issuperset(sharing.out):
            apart = len(sharing.into) > 1
            stem = f"apart-{sharing.out[0]}" if apart else sharing.into[0].id
            yield Swap(
                id=namer.fresh(f"{Turn.BED.value}-{stem}"),
                kind=Turn.BED,
                name=sharing.name,
                out=frozenset(sharing.out),
                into=frozenset(run.id for run in sharing.into),
            )


def _joined(swaps: Sequence[Swap], beds: Sequence[Swap]) -> Iterator[Swap]:
    """Swaps whose new runs share a bed with others at once."""
    pairs = ((swap, bed) for swap in swaps for bed in beds if swap.into & bed.out)
    for _, (swap, bed) in zip(range(JOINED), pairs, strict=False):
        yield Swap(
            id=f"{swap.id}+{bed.id}",
            kind=swap.kind,
            name=swap.name,
            out=swap.out | (bed.out - swap.into),
            into=(swap.into - bed.out) | bed.into,
        )


def _spelt_out(candidates: Candidates, activities: Sequence[Activity]) -> tuple[Activity, ...]:
    """Replace the names of items by the activities that carry them out, any of them."""
    made_by: dict[str, list[str]] = {}
    ends: dict[str, list[str]] = {}
    for activity in activities:
        if isinstance(activity, Run):
            for part, _ in activity.cargo:
                made_by.setdefault(part, []).append(activity.id)
    ends.update(made_by)
    for activity in activities:
        if isinstance(activity, Task):
            made_by.setdefault(activity.of, []).append(activity.id)
    for ident, tasks in candidates.tasks.items():
        whole = isinstance(candidates.items.by_id[ident], Gate)
        ends[ident] = made_by[ident] if whole else [tasks[-1].id]
    return tuple(
        replace(activity, after=_each(activity.after, ends))
        if isinstance(activity, Run)
        else replace(
            activity, after=_each(activity.after, ends), redo=_each(activity.redo, made_by)
        )
        for activity in activities
    )


def _each(names: Iterable[str], meaning: Mapping[str, list[str]]) -> tuple[str, ...]:
    """Activities behind names, each once; what is an activity already stays."""
    return tuple(dict.fromkeys(ident for name in names for ident in meaning.get(name, [name])))


def _reached(
    activities: Iterable[Activity], usual: State, swaps: Iterable[Swap]
) -> tuple[Activity, ...]:
    """What is carried out as usual or by some swap; nothing else is named any more."""
    reached = usual.union(*(swap.into for swap in swaps))
    return tuple(_naming_only(a, reached) for a in activities if a.id in reached)


def _naming_only(activity: Activity, reached: State) -> Activity:
    after = tuple(need for need in activity.after if need in reached)
    if isinstance(activity, Run):
        return replace(activity, after=after)
    redo = tuple(ident for ident in activity.redo if ident in reached)
    return replace(activity, after=after, redo=redo)
