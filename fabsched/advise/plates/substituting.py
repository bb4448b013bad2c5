"""A project with a part made another way: instead of it, or beside it as a fork.

What waited for the part waits for the fitting as well; what makes the part again makes its pieces
again.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol, TypeVar

from fabsched.files.names import free_name
from fabsched.model.estimates import Route
from fabsched.model.project import Fork, Gate, Part, Project, Way, Work

ItemT = TypeVar("ItemT", Part, Work, Gate)

WHOLE = "whole"
"""Id of the way that prints the part whole."""
PLATES = "plates"
"""Id of the way that cuts plates."""


class Replacement(Protocol):
    """What takes the place of a part."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """Plates and pieces."""

    @property
    def works(self) -> tuple[Work, ...]:
        """Cleaning and fitting; the last of them finishes the part."""

    @property
    def items(self) -> tuple[str, ...]:
        """Ids of all parts and works."""


def fresh_ids(project: Project) -> Callable[[str], str]:
    """Gives ids no item of a project has, each once.

    The wanted one if it is free, else with a number behind it.
    """
    taken = {item.id for item in project.items}

    def fresh(wanted: str) -> str:
        name = free_name(wanted, taken, "_")
        taken.add(name)
        return name

    return fresh


def instead(project: Project, part: Part, made: Replacement) -> Project:
    """The project with a part replaced by what takes its place."""
    with_both = _with(printed_whole(project, part), part, made)
    left = tuple(each for each in with_both.parts if each.id != part.id)
    return replace(
        with_both,
        parts=tuple(_freed(each, part.id) for each in left),
        works=tuple(_freed(each, part.id) for each in with_both.works),
        gates=tuple(_freed_gate(each, part.id) for each in with_both.gates),
    )


def printed_whole(project: Project, part: Part) -> Project:
    """The project without other ways to make a part, should it have been compared before."""
    others = {
        ident
        for fork in project.forks
        if _holds(fork, part.id)
        for way in fork.ways
        for ident in way.items
        if ident != part.id
    }
    freed = project
    for ident in others:
        freed = replace(
            freed,
            parts=tuple(_freed(each, ident) for each in freed.parts if each.id != ident),
            works=tuple(_freed(each, ident) for each in freed.works if each.id != ident),
            gates=tuple(_freed_gate(each, ident) for each in freed.gates if each.id != ident),
        )
    forks = tuple(fork for fork in project.forks if not _holds(fork, part.id))
    return replace(freed, forks=forks)


def beside(
    project: Project, part: Part, made: Replacement, names: tuple[str, str], chosen: str
) -> Project:
    """The project with both ways to make a part, as a fork.

    Args:
        project: the project.
        part: the part.
        made: what takes its place.
        names: shown for printing it whole and for cutting plates.
        chosen: `WHOLE`, `PLATES`, or empty to leave it to the planner.
    """
    ways = (
        Way(id=WHOLE, name=names[0], items=(part.id,)),
        Way(id=PLATES, name=names[1], items=made.items),
    )
    before = printed_whole(project, part)
    fork = Fork(id=part.id, name=part.name, ways=ways, chosen=chosen)
    forks = tuple(each for each in before.forks if each.id != fork.id)
    return replace(_with(before, part, made), forks=(*forks, fork))


def _with(project: Project, part: Part, made: Replacement) -> Project:
    """All items, with everything that names the part naming what takes its place too."""
    last = made.works[-1].id
    again = (*(p.id for p in made.parts if p.route is Route.PRINT), last)
    return replace(
        project,
        parts=(*(_waiting(each, part.id, last) for each in project.parts), *made.parts),
        works=(*(_waiting(each, part.id, last) for each in project.works), *made.works),
        gates=tuple(_gate(each, part.id, last, again) for each in project.gates),
    )


def _waiting(item: ItemT, ident: str, last: str) -> ItemT:
    return replace(item, after=_added(item.after, ident, (last,)))


def _gate(gate: Gate, ident: str, last: str, again: Sequence[str]) -> Gate:
    return replace(_waiting(gate, ident, last), redo=_added(gate.redo, ident, again))


def _added(ids: tuple[str, ...], ident: str, more: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*ids, *more))) if ident in ids else ids


def _freed(item: ItemT, ident: str) -> ItemT:
    return replace(item, after=tuple(each for each in item.after if each != ident))


def _freed_gate(gate: Gate, ident: str) -> Gate:
    return replace(_freed(gate, ident), redo=tuple(each for each in gate.redo if each != ident))


def _holds(fork: Fork, ident: str) -> bool:
    return any(ident in way.items for way in fork.ways)
