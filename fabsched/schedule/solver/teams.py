"""Teams: people between whom nothing makes a difference are counted, not told apart.

Of people with the same hours at one place, any who are free will do. Told apart they would give
the solver every schedule many times over, once for each way of exchanging them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabsched.model.weekend import Activity, Hands, Run, Task, Weekend
from fabsched.model.windows import Windows


@dataclass(frozen=True, slots=True)
class Team:
    """People who are up at the same hours, begin at one place and may do the same.

    Attributes:
        people: at least one; as listed.
    """

    people: tuple[Hands, ...]

    @property
    def id(self) -> str:
        """Id of the first of them."""
        return self.people[0].id

    @property
    def windows(self) -> Windows:
        """When they are up and free."""
        return self.people[0].windows

    @property
    def at(self) -> str:
        """Where they are at the beginning."""
        return _at(self.people[0])

    @property
    def size(self) -> int:
        """How many they are."""
        return len(self.people)


def teams_of(weekend: Weekend, activities: Sequence[Activity]) -> tuple[Team, ...]:
    """All people of a weekend, as few teams as can be.

    Whoever might have a way to go stays alone: who is where makes a difference then.

    Args:
        weekend: for its people and the places of machines.
        activities: what is to be done.
    """
    tasks = [activity for activity in activities if isinstance(activity, Task)]
    stands = {place for run in activities for place in _stands(weekend, run)}
    teams: dict[object, list[Hands]] = {}
    for person in weekend.hands:
        able = frozenset(task.id for task in tasks if person.id in task.people)
        places = stands | {task.place for task in tasks if task.id in able}
        alike = (person.windows, person.away, _at(person), able)
        teams.setdefault(alike if len(places) <= 1 else person.id, []).append(person)
    return tuple(Team(tuple(people)) for people in teams.values())


def _stands(weekend: Weekend, activity: Activity) -> Iterator[str]:
    """Where the machines are that could be tended for it."""
    if isinstance(activity, Run):
        for choice in activity.choices:
            yield weekend.station(choice.machine).place


def _at(person: Hands) -> str:
    return person.at or person.base
