"""What is left to the planner about the items of a project, as swaps of the activities they become.

Decisions that touch each other form a group. All combinations of a group's options are drawn up, and
two of them that differ in one decision are joined by a swap. A swap is only kept if, wherever in its
group it can be taken, it leads to another of these combinations: so nothing half done is ever reached.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from fabsched.model.project import Fork, Gate
from fabsched.model.weekend import Swap, Turn
from fabsched.schedule.items import Items
from fabsched.schedule.names import Namer

MOST = 64
"""Combinations of a group that are drawn up, those nearest to the usual first; keeps it quick."""

State = frozenset[str]
"""Ids of activities that are carried out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One decision.

    Attributes:
        kind: what it decides.
        about: id of the fork, gate or item.
        names: what is shown for each option but the first, which is the usual one.
        touches: ids of the items whose fate it may change.
    """

    kind: Turn
    about: str
    names: tuple[str, ...]
    touches: frozenset[str]


Values = tuple[int, ...]
"""The option taken in each decision."""


@dataclass(frozen=True)
class Choices:
    """The decisions about a project's items.

    Attributes:
        items: of the project.
    """

    items: Items

    @cached_property
    def picks(self) -> tuple[Pick, ...]:
        """Ways of open forks, early gates, and what may be left out."""
        return (*self._routes(), *self._gates(), *self._drops())

    def live(self, values: Values) -> frozenset[str]:
        """Items that are carried out."""
        items = self.items
        kept, off = set(items.candidates), set[str]()
        for pick, value in zip(self.picks, values, strict=True):
            if pick.kind is Turn.ROUTE:
                fork = self._fork(pick.about)
                others = (way for place, way in enumerate(fork.ways) if place != value)
                kept -= {item for way in others for item in way.items}
            elif (pick.kind is Turn.GATE) == (value == 0):
                off.add(pick.about)
        while lost := {ident for ident in kept if self._is_lost(ident, kept, off)}:
            kept -= lost
            off |= lost
        return frozenset(kept)

    @property
    def usual(self) -> Values:
        """Every first option: first ways, no early gates, nothing left out."""
        return (0,) * len(self.picks)

    def _is_lost(self, ident: str, kept: set[str], off: set[str]) -> bool:
        """Left out itself, without what it waits for, or wanted only by what is left out."""
        items = self.items
        if ident in off:
            return True
        if not items.may_be_left_out(ident):
            return False
        needs = items.by_id[ident].after
        if any(need in off and not items.may_be_skipped(need) for need in needs):
            return True
        wanted = items.followers[ident] & (kept | off)
        return not items.may_be_skipped(ident) and bool(wanted) and wanted <= off

    def _fork(self, ident: str) -> Fork:
        return next(fork for fork in self.items.open_forks if fork.id == ident)

    def _routes(self) -> Iterator[Pick]:
        for fork in self.items.open_forks:
            own = {item for way in fork.ways for item in way.items}
            names = tuple(f"{fork.name}: {way.name}" for way in fork.ways[1:])
            touches = own | {x for item in own for x in self._eased(item)}
            yield Pick(
                kind=Turn.ROUTE, about=fork.id, names=names, touches=self._with_loose(touches)
            )

    def _gates(self) -> Iterator[Pick]:
        for gate in self.items.project.gates:
            if gate.id in self.items.candidates and self.items.is_early(gate.id):
                touches = self._with_loose({gate.id, *self._eased(gate.id)})
                yield Pick(kind=Turn.GATE, about=gate.id, names=(gate.name,), touches=touches)

    def _drops(self) -> Iterator[Pick]:
        for item in self.items.project.items:
            if item.id in self.items.candidates and self._may_be_dropped(item.id):
                touches = self._with_loose({item.id})
                yield Pick(kind=Turn.DROP, about=item.id, names=(item.name,), touches=touches)

    def _may_be_dropped(self, ident: str) -> bool:
        """Whether dropping it is a decision of its own: what only early gates want is not."""
        items = self.items
        followers = items.followers[ident]
        serves = bool(followers) and all(items.is_early(x) for x in followers)
        return items.may_be_left_out(ident) and not items.is_early(ident) and not serves

    def _eased(self, ident: str) -> tuple[str, ...]:
        item = self.items.by_id[ident]
        return (
            (item.eases,) if isinstance(item, Gate) and item.eases in self.items.candidates else ()
        )

    def _with_loose(self, idents: set[str]) -> frozenset[str]:
        """These, and what may go with them: loose items joined to them by needs, however far."""
        items = self.items
        seen, fresh = set(idents), list(idents)
        while fresh:
            ident = fresh.pop()
            near = {*items.by_id[ident].after, *items.followers[ident]} & items.candidates
            new = {x for x in near - seen if items.may_be_left_out(x)}
            seen |= new
            fresh += new
        return frozenset(seen)


def item_swaps(
    choices: Choices, carried_by: Callable[[frozenset[str]], State], shared: Mapping[str, State]
) -> tuple[Swap, ...]:
    """Swaps for all decisions about items.

    Args:
        choices: the decisions.
        carried_by: which activities carry out a set of items.
        shared: activities each item may have a share in, by its id; items that share one are
            decided together.
    """
    namer = Namer(())
    usual = carried_by(choices.live(choices.usual))
    return tuple(
        swap
        for group in _groups(choices.picks, shared)
        for swap in _swaps(choices, group, carried_by, usual, namer)
    )


def _groups(picks: Sequence[Pick], shared: Mapping[str, State]) -> list[list[int]]:
    """Places of decisions that touch each other's items or activities."""
    groups: list[tuple[list[int], set[str]]] = []
    for place, pick in enumerate(picks):
        touched = {x for item in pick.touches for x in shared[item]} | pick.touches
        near = [group for group in groups if group[1] & touched]
        groups = [group for group in groups if not group[1] & touched]
        places = sorted([place, *(i for group in near for i in group[0])])
        groups.append((places, touched.union(*(group[1] for group in near))))
    return [places for places, _ in groups]


def _swaps(
    choices: Choices,
    group: Sequence[int],
    carried_by: Callable[[frozenset[str]], State],
    usual: State,
    namer: Namer,
) -> Iterator[Swap]:
    """The sound swaps of one group, each once."""
    states = {values: carried_by(choices.live(values)) for values in _combinations(choices, group)}
    for one, other in _sound(states, usual):
        place = next(i for i in group if one[i] != other[i])
        out, into = states[one] - states[other], states[other] - states[one]
        yield _named(choices.picks[place], other[place], out, into, namer)


def _sound(states: Mapping[Values, State], usual: State) -> list[tuple[Values, Values]]:
    """Pairs of combinations joined by a sound swap.

    What cannot be reached by sound swaps is no combination, so that further swaps may be sound.
    """
    pairs = list(_differing(states, usual))
    known = set(states.values())
    while True:
        sound = [
            (one, other)
            for one, other in pairs
            if _is_sound(states[one] - states[other], states[other] - states[one], known)
        ]
        reached = _reached({(states[one], states[other]) for one, other in sound}, states)
        if reached == known:
            return sound
        known = reached


def _reached(steps: set[tuple[State, State]], states: Mapping[Values, State]) -> set[State]:
    """What can be reached from the first state, steps taken either way round."""
    seen = {next(iter(states.values()))}
    while new := {b if a in seen else a for a, b in steps if (a in seen) != (b in seen)}:
        seen |= new
    return seen


def _differing(states: Mapping[Values, State], usual: State) -> Iterator[tuple[Values, Values]]:
    """Pairs that differ in one decision, each difference once; nothing usual is put in."""
    seen: set[tuple[State, State]] = set()
    for one, other in _neighbours(states):
        out, into = states[one] - states[other], states[other] - states[one]
        if (out or into) and not into & usual and not {(out, into), (into, out)} & seen:
            seen.add((out, into))
            yield one, other


def _combinations(choices: Choices, group: Sequence[int]) -> Iterable[Values]:
    """Up to `MOST` combinations of a group's options, few changes first; all else is as usual."""
    options = [range(len(choices.picks[i].names) + 1) for i in group]
    total = 1
    for option in options:
        total *= len(option)
    chosen: Iterable[Values] = product(*options) if total <= MOST else _near(options)
    for values in chosen:
        full = list(choices.usual)
        for i, value in zip(group, values, strict=True):
            full[i] = value
        yield tuple(full)


def _near(options: Sequence[range]) -> Iterator[Values]:
    """The usual combination, then one change, then two, as many as there may be."""
    first = (0,) * len(options)
    seen, fresh = {first: None}, [first]
    while fresh and len(seen) < MOST:
        values = fresh.pop(0)
        for place, option in enumerate(options):
            for value in option:
                near = (*values[:place], value, *values[place + 1 :])
                if near not in seen:
                    seen[near] = None
                    fresh.append(near)
    yield from list(seen)[:MOST]


def _neighbours(states: Mapping[Values, State]) -> Iterator[tuple[Values, Values]]:
    """Pairs that differ in one decision, each both ways round, the one nearer to the usual first."""
    for one in states:
        for other in states:
            if one < other and sum(a != b for a, b in zip(one, other, strict=True)) == 1:
                yield one, other
                yield other, one


def _is_sound(out: State, into: State, known: set[State]) -> bool:
    """Whether it leads from one known state to another wherever it can be taken, back included."""
    for state in known:
        if out <= state and not into & state and (state - out) | into not in known:
            return False
        if into <= state and not out & state and (state - into) | out not in known:
            return False
    return True


def _named(pick: Pick, value: int, out: State, into: State, namer: Namer) -> Swap:
    name = pick.names[max(value, 1) - 1]
    stem = f"{pick.kind.value}-{pick.about}"
    ident = namer.fresh(f"{stem}-{value}" if len(pick.names) > 1 else stem)
    return Swap(id=ident, kind=pick.kind, name=name, out=out, into=into)
