"""Ways that were not chosen, laid out as if they had been. Heavy: imported when a request runs."""

from collections.abc import Iterator
from dataclasses import replace

from fabsched.model.errors import InputError
from fabsched.model.project import Fork, Project
from fabsched.model.state import state_of
from fabsched.model.weekend import Weekend
from fabsched.schedule.fallbacks import Fallback
from fabsched.session.inputs import PlanInput
from fabsched.session.planning import laid_out_now
from fabsched.session.replanning import left_of


def fallback_ways(given: PlanInput) -> Iterator[Fallback]:
    """Every way of a fork that was not chosen, where another was; what cannot be carried out is none.

    Args:
        given: what was planned, and the moment it was planned for.
    """
    for fork in given.project.forks:
        for way in fork.ways if fork.chosen else ():
            weekend = None if way.id == fork.chosen else _laid_out(given, fork, way.id)
            if weekend is not None:
                name = f"{fork.name}: {way.name}"
                yield Fallback(id=f"instead-{fork.id}-{way.id}", name=name, weekend=weekend)


def _laid_out(given: PlanInput, fork: Fork, way: str) -> Weekend | None:
    other = replace(given, project=_choosing(given.project, fork, way))
    begun = state_of(given.entries).has_begun
    try:
        return left_of(other).weekend if begun else laid_out_now(other)
    except InputError:
        return None


def _choosing(project: Project, fork: Fork, way: str) -> Project:
    forks = (replace(each, chosen=way) if each == fork else each for each in project.forks)
    return replace(project, forks=tuple(forks))
