"""How the items of a project hang together: what is optional, who waits for whom, in which way.

An item is a part, a work or a gate. An early gate is one that need not be and eases a later one;
whether it is worth its time is decided later. What nobody needs, and nothing needed waits for, may
be left out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

from fabsched.model.project import Fork, Gate, Part, Project, Way, Work

Item = Part | Work

ItemT = TypeVar("ItemT", Part, Work, Gate)


@dataclass(frozen=True)
class Items:
    """A project's items and what they are to each other.

    Attributes:
        project: whose.
    """

    project: Project

    @cached_property
    def by_id(self) -> Mapping[str, Item]:
        """All items."""
        return {item.id: item for item in self.project.items}

    @cached_property
    def candidates(self) -> frozenset[str]:
        """Ids of what may be carried out: all but the ways that were not chosen."""
        out = {
            item
            for fork in self.project.forks
            if fork.chosen
            for way in fork.ways
            if way.id != fork.chosen
            for item in way.items
        }
        return frozenset(self.by_id) - out

    @cached_property
    def open_forks(self) -> tuple[Fork, ...]:
        """Those that are left to the planner."""
        return tuple(fork for fork in self.project.forks if not fork.chosen)

    @cached_property
    def followers(self) -> Mapping[str, frozenset[str]]:
        """Candidates that name an item as what they wait for, by its id."""
        found: dict[str, set[str]] = {ident: set() for ident in self.by_id}
        for ident in self.candidates:
            for need in self.by_id[ident].after:
                found[need].add(ident)
        return {ident: frozenset(waiting) for ident, waiting in found.items()}

    @cached_property
    def asked(self) -> frozenset[str]:
        """Ids of what is needed, and of what something asked for waits for.

        A gate that may be skipped asks for nothing.
        """
        asked: set[str] = set()
        fresh = [ident for ident in self.candidates if self.by_id[ident].needed]
        while fresh:
            ident = fresh.pop()
            if ident not in asked:
                asked.add(ident)
                fresh += [] if self.may_be_skipped(ident) else self.by_id[ident].after
        return frozenset(asked) & self.candidates

    def may_be_skipped(self, ident: str) -> bool:
        """Whether it is a gate that need not be."""
        item = self.by_id[ident]
        return isinstance(item, Gate) and not item.needed

    def is_early(self, ident: str) -> bool:
        """Whether it is a gate that may be skipped and eases a later one."""
        item = self.by_id[ident]
        return (
            isinstance(item, Gate) and self.may_be_skipped(ident) and item.eases in self.candidates
        )

    def may_be_left_out(self, ident: str) -> bool:
        """Whether nobody needs it, and nothing needed waits for it but gates that may be skipped."""
        return self.may_be_skipped(ident) or ident not in self.asked

    @cached_property
    def easing(self) -> Mapping[str, tuple[str, ...]]:
        """Gates that ease a gate, in the project's order, by its id; those that ease none are out."""
        found: dict[str, list[str]] = {}
        for gate in self.project.gates:
            if gate.id in self.candidates and gate.eases in self.candidates:
                found.setdefault(gate.eases, []).append(gate.id)
        return {ident: tuple(gates) for ident, gates in found.items()}

    @cached_property
    def way_of(self) -> Mapping[str, tuple[str, ...]]:
        """Ids of the fork and the way an item is in; what is in none is missing."""
        return ways_of(self.project)

    def way_is_taken(self, ident: str, live: frozenset[str]) -> bool:
        """Whether the way an item is in is carried out; so is what is in none."""
        if ident not in self.way_of:
            return True
        own = self.way_of[ident]
        return any(self.way_of.get(x) == own for x in live if not self.may_be_left_out(x))

    def ends(self, way: Way) -> tuple[str, ...]:
        """Items of a way that nothing else in it waits for."""
        inner = {need for ident in way.items for need in self.by_id[ident].after}
        return tuple(ident for ident in way.items if ident not in inner)

    @cached_property
    def spelled_out(self) -> Project:
        """The project with candidates alone, and all they wait for and do again named in them."""
        return replace(
            self.project,
            parts=tuple(self._spelt(part) for part in self.project.parts if self._may_be(part)),
            works=tuple(self._spelt(work) for work in self.project.works if self._may_be(work)),
            gates=tuple(
                replace(self._spelt(gate), redo=self.does_again(gate))
                for gate in self.project.gates
                if self._may_be(gate)
            ),
            forks=self.open_forks,
        )

    def _may_be(self, item: Item) -> bool:
        return item.id in self.candidates

    def _spelt(self, item: ItemT) -> ItemT:
        return replace(item, after=self.waits_for(item))

    def waits_for(self, item: Item) -> tuple[str, ...]:
        """What an item waits for, each once, whatever will be carried out.

        Beside what it names these are what a gate waits for that may be skipped, and, where it waits
        for one way of a fork, the ends of the other ways.
        """
        names = self._with_skipped(item.after)
        for fork in self.project.forks:
            if self._speaks_of(fork, item, names):
                ends = (end for way in _unnamed(fork, names) for end in self.ends(way))
                names += tuple(end for end in ends if item.id not in self._behind(end))
        return tuple(name for name in dict.fromkeys(names) if name in self.candidates)

    def does_again(self, gate: Gate) -> tuple[str, ...]:
        """What is done again after a fault: what it names, and all parts and work of other ways.

        Only ways of which nothing is named are added.
        """
        names = gate.redo
        for fork in self.project.forks:
            if self._speaks_of(fork, gate, names):
                others = (ident for way in _unnamed(fork, names) for ident in way.items)
                names += tuple(x for x in others if not isinstance(self.by_id[x], Gate))
        return tuple(name for name in dict.fromkeys(names) if name in self.candidates)

    def _with_skipped(self, names: Iterable[str]) -> tuple[str, ...]:
        found: dict[str, None] = {}
        fresh = [*names][::-1]
        while fresh:
            name = fresh.pop()
            if name not in found:
                found[name] = None
                fresh += self.by_id[name].after[::-1] if self.may_be_skipped(name) else ()
        return tuple(found)

    def _speaks_of(self, fork: Fork, item: Item, names: Iterable[str]) -> bool:
        """Whether an item that is not in a fork itself names something of it."""
        own = self.way_of.get(item.id, ("",))[0]
        theirs = {self.way_of.get(name, ("",))[0] for name in names}
        return own != fork.id and fork.id in theirs

    def _behind(self, ident: str) -> frozenset[str]:
        """Everything an item waits for as the project names it, directly or through others."""
        seen: set[str] = set()
        fresh = [ident]
        while fresh:
            new = set(self.by_id[fresh.pop()].after) - seen
            seen |= new
            fresh += new
        return frozenset(seen)


def ways_of(project: Project) -> Mapping[str, tuple[str, ...]]:
    """Ids of the fork and the way each item is in, by its id; what is in none is missing."""
    return {
        item: (fork.id, way.id) for fork in project.forks for way in fork.ways for item in way.items
    }


def _unnamed(fork: Fork, names: Iterable[str]) -> list[Way]:
    """Ways of a fork of which nothing is named."""
    named = set(names)
    return [way for way in fork.ways if not named & {*way.items}]
