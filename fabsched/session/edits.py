"""Changes to a project, as pure functions from one project to the next."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Protocol, TypeVar

from fabsched.model.project import Component, Fork, Gate, Part, Pin, Project, Work

Edit = Callable[[Project], Project]
"""What turns one project into the next."""

TAKE_ADVICE = "take-advice"
"""What carrying a piece of advice out is called, a key of the wording table's `[edit]`."""

Item = Part | Work
"""A part, a work or a gate."""


class _WithId(Protocol):
    """What is known by an id."""

    @property
    def id(self) -> str:
        """Its id."""


ItemT = TypeVar("ItemT", Part, Work, Gate)
KnownT = TypeVar("KnownT", bound=_WithId)


def put(project: Project, item: Item) -> Project:
    """The project with one item put in: in the place of that id, else at the end of its kind."""
    if isinstance(item, Part):
        return replace(project, parts=with_one(project.parts, item))
    if isinstance(item, Gate):
        return replace(project, gates=with_one(project.gates, item))
    return replace(project, works=with_one(project.works, item))


def put_all(items: Iterable[Item]) -> Edit:
    """The edit that puts several items in."""
    settled = tuple(items)

    def edit(project: Project) -> Project:
        for item in settled:
            project = put(project, item)
        return project

    return edit


def without(ids: Iterable[str]) -> Edit:
    """The edit that takes items out, and every mention of them.

    A way that is left with nothing goes too, and so does a fork that is left with one way, and an
    early look that is left with nothing to look at: no coupon, no trying it.
    """
    named = frozenset(ids)

    def edit(project: Project) -> Project:
        gone = named | _blind(project, named)
        return replace(
            project,
            parts=tuple(_freed_part(part, gone) for part in project.parts if part.id not in gone),
            works=tuple(_freed(work, gone) for work in project.works if work.id not in gone),
            gates=tuple(_freed_gate(gate, gone) for gate in project.gates if gate.id not in gone),
            forks=tuple(fork for each in project.forks if (fork := _freed_fork(each, gone))),
            components=tuple(_unneeded(each, gone) for each in project.components),
        )

    return edit


def with_pin(pin: Pin) -> Edit:
    """The edit that lets something start at a moment."""

    def edit(project: Project) -> Project:
        others = tuple(known for known in project.pins if known.id != pin.id)
        return replace(project, pins=(*others, pin))

    return edit


def without_pin(ident: str) -> Edit:
    """The edit that lets something start whenever it is best."""

    def edit(project: Project) -> Project:
        return replace(project, pins=tuple(pin for pin in project.pins if pin.id != ident))

    return edit


def with_deadline(deadline: datetime) -> Edit:
    """The edit that sets the deadline, shown in the project's zone.

    Args:
        deadline: zone-aware; a naive time is taken in the project's zone.
    """

    def edit(project: Project) -> Project:
        aware = deadline if deadline.tzinfo else deadline.replace(tzinfo=project.zone)
        return replace(project, deadline=aware.astimezone(project.zone))

    return edit


def with_one(those: tuple[KnownT, ...], this: KnownT) -> tuple[KnownT, ...]:
    """Those with one put in: in the place of that id, else at the end."""
    settled = [this if known.id == this.id else known for known in those]
    if this not in settled:
        settled.append(this)
    return tuple(settled)


def _freed(item: ItemT, gone: frozenset[str]) -> ItemT:
    return replace(item, after=_left(item.after, gone))


def _blind(project: Project, gone: frozenset[str]) -> frozenset[str]:
    """Ids of early looks that wait for nothing but what is gone."""
    looks = (gate for gate in project.gates if gate.eases and gate.after)
    return frozenset(gate.id for gate in looks if gone.issuperset(gate.after))


def _freed_part(part: Part, gone: frozenset[str]) -> Part:
    fits = tuple(replace(fit, gate="") if fit.gate in gone else fit for fit in part.fits)
    return replace(_freed(part, gone), fits=fits)


def _unneeded(component: Component, gone: frozenset[str]) -> Component:
    return replace(component, needed_by=_left(component.needed_by, gone))


def _freed_gate(gate: Gate, gone: frozenset[str]) -> Gate:
    eases = "" if gate.eases in gone else gate.eases
    return replace(_freed(gate, gone), redo=_left(gate.redo, gone), eases=eases)


def _freed_fork(fork: Fork, gone: frozenset[str]) -> Fork | None:
    ways = [replace(way, items=_left(way.items, gone)) for way in fork.ways]
    left = tuple(way for way in ways if way.items)
    chosen = fork.chosen if fork.chosen in {way.id for way in left} else ""
    return replace(fork, ways=left, chosen=chosen) if len(left) > 1 else None


def _left(ids: tuple[str, ...], gone: frozenset[str]) -> tuple[str, ...]:
    return tuple(ident for ident in ids if ident not in gone)
