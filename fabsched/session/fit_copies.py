"""Fewer copies of a part, where nothing else would make a weekend fit. Heavy: imported when a request runs."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from fabsched.advise.fits import Fit, Lever
from fabsched.advise.levers import Changed
from fabsched.model.errors import InputError
from fabsched.model.project import Part
from fabsched.model.state import state_of
from fabsched.model.weekend import Run, Weekend
from fabsched.session.fit_records import FitInput
from fabsched.session.inputs import PlanInput
from fabsched.session.planning import laid_out_now
from fabsched.session.replanning import left_of

SHARES = (0.75, 0.5, 0.25)
"""Beside one fewer, such shares of the copies are looked at (our own choice)."""


def fewer(given: FitInput) -> Iterator[Changed]:
    """The weekend with fewer copies of each part that is needed, never fewer than are made already."""
    project, made = given.given.project, _made(given.weekend)
    for part in project.parts:
        for copies in _counts(part, made[part.id]) if part.needed else ():
            parts = tuple(replace(p, copies=copies) if p is part else p for p in project.parts)
            try:
                weekend = _laid_out(replace(given.given, project=replace(project, parts=parts)))
            except InputError:  # such a change is none
                continue
            fit = Fit(
                code=Lever.COPIES,
                subject=part.id,
                name=part.name,
                copies=(copies, part.copies),
            )
            yield Changed(fit=fit, weekend=weekend)


def _counts(part: Part, made: int) -> list[int]:
    """How many could be made instead, the most first."""
    some = {part.copies - 1, *(ceil(share * part.copies) for share in SHARES)}
    return sorted((each for each in some if max(1, made) <= each < part.copies), reverse=True)


def _made(weekend: Weekend) -> Counter[str]:
    """Copies of each part that are made, or are being made."""
    going = (a for a in weekend.activities if isinstance(a, Run) and a.going)
    runs = (*(a for a in weekend.settled if isinstance(a, Run)), *going)
    made = Counter[str]()
    for run in runs:
        made.update(dict(run.cargo))
    return made


def _laid_out(given: PlanInput) -> Weekend:
    """What planning sees once the project is so."""
    return left_of(given).weekend if state_of(given.entries).has_begun else laid_out_now(given)
