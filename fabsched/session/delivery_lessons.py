"""What the log of a project teaches of deliveries: how late they came against what was promised."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from fabsched.model.experience import LateSeen
from fabsched.model.log import Entry, Event, holding
from fabsched.model.project import USUAL_LATE, Part, Project, Work
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S


@dataclass(frozen=True, slots=True)
class _Promise:
    """When something was to come, and how late it was thought to be (seconds)."""

    moment_s: int
    late: Spread


def deliveries(
    entries: Sequence[Entry], project: Project, mark: str, is_own: Callable[[int], bool]
) -> Iterator[LateSeen]:
    """Everything from outside that has come and had a promised moment, each thing once.

    Promised is what the project says (`not_before`); of anything else, a component among them, what
    was told first of it: "delayed until". What is planned as sure teaches nothing: a moment of the
    project without a lateness, and what waits for nothing from outside and was put off. Where a moment
    was told and nobody said how late it may be, what a form offers is taken, as in plans. Where work
    began and nobody told of the delivery, its moment is not known.

    Args:
        entries: all entries of one log.
        project: whose log it is.
        mark: what its keys begin with.
        is_own: whether the log speaks for itself with the entry of that id.
    """
    told, put_off = _promised(project), _put_off(project)
    come: set[str] = set()
    for entry in holding(entries):
        ident = _ident(entry, project)
        if entry.kind is Event.DELAYED and entry.until_s is not None and ident not in put_off:
            told.setdefault(ident, _Promise(entry.until_s, USUAL_LATE.scaled(MINUTE_S)))
        if entry.kind is not Event.ARRIVED or ident in come or ident not in told:
            continue
        come.add(ident)
        if is_own(entry.id):
            late_s = float(entry.moment_s - told[ident].moment_s)
            key = f"{mark}late/{ident}"
            yield LateSeen(key=key, at_s=entry.moment_s, expected=told[ident].late, late_s=late_s)


def _promised(project: Project) -> dict[str, _Promise]:
    """What the project itself says of deliveries, by the id of what waits for them."""
    return {
        work.id: _Promise(int(work.not_before.timestamp()), work.late_minutes.scaled(MINUTE_S))
        for work in (*project.works, *project.gates)
        if work.not_before is not None and work.late_minutes is not None
    }


def _put_off(project: Project) -> frozenset[str]:
    """What waits for nothing from outside: told to begin later, it is put off by the maker."""
    works = (*project.works, *project.gates)
    waiting = {work.id for work in works if work.not_before is not None}
    return frozenset(each.id for each in project.items) - waiting


def _ident(entry: Entry, project: Project) -> str:
    """The component, part or work an entry is about; its subject, if it is of none of them."""
    if entry.meant.sort is not None and entry.meant.items:
        return entry.meant.items[0][0]
    name, items = entry.subject, (*project.items, *project.components)
    named: list[Part | Work] = [each for each in project.items if each.name.lower() == name.lower()]
    known = {each.id for each in items}
    return name if name in known or not named else named[0].id
