"""Ways to do a step for hands, and who can do together what takes several at once."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce
from itertools import combinations
from operator import and_

from fabsched.model.windows import NEVER, Windows
from fabsched.schedule.solver.teams import Team

MOST_HOURS = 6
"""Among people of so many different hours the mixtures are told apart, 2^6 - 1 at most."""


class NoRoom(Exception):  # noqa: N818 - says what there is not
    """Something fits into no window before the horizon."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to do a step.

    Attributes:
        team: who does it: one of them, or as many as are needed.
        place: where.
        machines: ids of the stations it is done at, all alike to the hands; empty for tasks.
        seconds: how long hands take.
        windows: when it may be done.
        splittable: whether it may lie over pauses.
        watch_s: how much of it a machine that was started runs meanwhile.
    """

    team: Team
    place: str
    machines: tuple[str, ...]
    seconds: int
    windows: Windows
    splittable: bool = False
    watch_s: int = 0

    @property
    def possible(self) -> bool:
        """Whether it fits anywhere."""
        return self.fits(self.windows)

    def fits(self, windows: Windows) -> bool:
        """Whether it could be done in these hours."""
        fit = windows.add if self.splittable else windows.first_fit
        return bool(windows.spans) and fit(0, self.seconds) < NEVER


Step = tuple[Mode, ...]
"""Something for hands, with all ways to do it; empty if it needs none."""


@dataclass(frozen=True, slots=True)
class Crew:
    """A mixture of people who can do something together.

    Attributes:
        hours: of the people it is made of; at least one of each takes part.
        windows: when all of them may.
    """

    hours: frozenset[Windows]
    windows: Windows


def possible(modes: Iterable[Mode]) -> Step:
    """Those that fit anywhere.

    Raises:
        NoRoom: none does.
    """
    step = tuple(mode for mode in modes if mode.possible)
    if not step:
        raise NoRoom
    return step


def crews_of(step: Step, size: int) -> tuple[Crew, ...]:
    """The mixtures of people that can do a task for several, by their hours.

    Args:
        step: the task.
        size: how many it takes at once.

    Returns:
        Nothing for one person, and nothing if there are more mixtures than are told apart.

    Raises:
        NoRoom: they are too few, or never up together for long enough.
    """
    if sum(mode.team.size for mode in step) < size:
        raise NoRoom
    if size == 1:
        return ()
    hours = tuple(dict.fromkeys(mode.windows for mode in step))
    if len(hours) > MOST_HOURS:
        return ()
    found = tuple(_crews(step, size, hours))
    if not found:
        raise NoRoom
    return found


def _crews(step: Step, size: int, hours: tuple[Windows, ...]) -> Iterator[Crew]:
    """Every mixture that is large enough, small enough, and has time."""
    for kinds in range(1, min(size, len(hours)) + 1):
        for mixture in combinations(hours, kinds):
            able = sum(mode.team.size for mode in step if mode.windows in mixture)
            together = reduce(and_, mixture)
            if able >= size and step[0].fits(together):
                yield Crew(frozenset(mixture), together)
