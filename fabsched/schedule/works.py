"""Work and gates into tasks for hands."""

import math

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Gate, Work
from fabsched.model.references import where_of
from fabsched.model.shop import Person, Shop
from fabsched.model.units import HOUR_S, MINUTE_S, whole_s
from fabsched.model.weekend import Task
from fabsched.schedule.beds import numbered, some_time
from fabsched.schedule.names import Namer

PIECE_S = HOUR_S
"""Longest piece of a splittable work, so that a machine can be tended in between (our own choice)."""


def tasks_of(work: Work, shop: Shop, namer: Namer) -> tuple[Task, ...]:
    """A work or gate as one task, or as a row of pieces no longer than an hour.

    Only splittable work is cut up; a gate stays whole, since it finds its fault at one moment.

    Raises:
        InputError: nobody may do it, or fewer than it takes, or where it is done is not known or not said.
    """
    people = able(work, shop)
    count = _pieces(work)
    ids = namer.row(work.id, count, "~")
    minutes = (work.minutes.low, work.minutes.likely, work.minutes.high)
    seconds = some_time(figure * MINUTE_S / count for figure in minutes)
    gate = work if isinstance(work, Gate) else None
    return tuple(
        Task(
            id=ident,
            name=numbered(work.name, i, count),
            place=_place(work, people, shop),
            people=tuple(person.id for person in people),
            seconds=seconds,
            splittable=work.splittable,
            of=work.id,
            share=1 / count,
            undoable=work.undoable,
            chance=gate.chance if gate else 0.0,
            redo=gate.redo if gate else (),
            shows=gate.shows if gate else 0.0,
            after=work.after if i == 0 else (ids[i - 1],),
            earliest_s=math.ceil(work.not_before.timestamp()) if work.not_before else 0,
            needed=work.needed,
            late=work.late_minutes.scaled(MINUTE_S) if work.late_minutes and i == 0 else None,
            crew=work.people_needed,
        )
        for i, ident in enumerate(ids)
    )


def able(work: Work, shop: Shop) -> tuple[Person, ...]:
    """Who may do it.

    Raises:
        InputError: nobody, or fewer people than it takes at once.
    """
    asked = tuple(dict.fromkeys(filter(None, (work.skill, *work.skills))))
    people = tuple(p for p in shop.people if {*asked} <= {*p.skills})
    if not people:
        field = "skill" if asked == (work.skill,) else "skills"
        raise InputError(Fault.NOBODY_CAN, where_of(work, field), skill=", ".join(asked))
    if len(people) < work.people_needed:
        raise InputError(
            Fault.TOO_FEW_CAN,
            where_of(work, "people_needed"),
            needed=work.people_needed,
            count=len(people),
            who=", ".join(person.name for person in people),
        )
    return people


def _pieces(work: Work) -> int:
    whole = isinstance(work, Gate) or not work.splittable
    return 1 if whole else max(1, math.ceil(whole_s(work.minutes.likely * MINUTE_S) / PIECE_S))


def _place(work: Work, people: tuple[Person, ...], shop: Shop) -> str:
    """Where it is done: as named, else the base everybody who may do it shares."""
    bases = {person.base for person in people}
    known = [place.id for place in shop.places]
    if work.place and work.place not in known:
        facts = {"name": work.place, "known": ", ".join(known)}
        raise InputError(Fault.NAME_UNKNOWN, where_of(work, "place"), **facts)
    if not work.place and len(bases) > 1:
        example = f'place = "{min(bases)}"'
        raise InputError(Fault.FIELD_MISSING, where_of(work, "place"), example=example)
    return work.place or bases.pop()
