"""How much work goes into a plan."""

from dataclasses import dataclass, replace

import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """Bounds on the work, counted so that they mean the same on every machine.

    Attributes:
        solver: deterministic time of the solver for each objective; 0 leaves it out.
        race: scenarios on which plans are compared.
        search: entries carried out while searching, over all tries and scenarios; 0 leaves it out.
        each: the same for each three of activities, so that small weekends take less; where there
            are more than `FEW`, for each two and those few.
        most_tries: re-planning looks at no more ways back to the plan in hand than this.
        odds: fresh scenarios for the odds that are shown.
        ranges: whether these are told as a range as well, which takes about as long again.
        last_starts: scenarios for each delay tried; 0 leaves last starts out.
    """

    solver: float = 0.2
    race: int = 4000
    search: int = 190_000_000
    each: int = 18_800
    most_tries: int = 600
    odds: int = 20_000
    ranges: bool = True
    last_starts: int = 400

    def work(self, activities: int) -> int:
        """Entries to carry out while searching a weekend of so many activities.

        >>> [Effort().work(n) // 1_000_000 for n in (15, 40, 100, 500)]
        [63, 190, 47, 1]
        """
        most = self.search * min(1.0, MIDDLING / max(1, activities)) ** 2
        return min(int(most), self.each * activities**2 * min(activities, FEW))

    def told(self, activities: int) -> "Effort":
        """What to tell of the plan of a weekend of so many activities: of a large one, less.

        >>> large = Effort().told(500)
        >>> large.odds, large.last_starts
        (3200, 0)
        """
        if activities <= LARGE:
            return self
        few = int(self.odds * (LARGE / activities) ** 2)
        return replace(self, odds=few, last_starts=0)

    def scenarios(self, activities: int) -> int:
        """How many scenarios to compare plans on: fewer where each takes long.

        >>> [Effort().scenarios(n) for n in (40, 100, 500)]
        [4000, 2000, 400]
        """
        return min(self.race, max(LEAST_RACE, self.race * MIDDLING // max(1, activities)))


FEW = 16
"""Up to so many activities the work grows with their cube, beyond with their square: a try takes longer
the more there are, and the ways to change a plan are as many as pairs."""

MIDDLING = 50
"""Beyond so many activities each entry takes longer, about with their square, since there are more
people and each has more to choose from; so fewer are carried out."""

LARGE = 200
"""Up to so many activities as much is told of a plan as the effort says."""

LEAST_RACE = 100
"""Plans are compared on no fewer."""


QUICK = Effort(solver=0.0, race=1000, search=13_000_000, each=500, odds=4000, last_starts=0)
"""A second for a weekend of forty activities."""

USUAL = Effort()
"""Four seconds for a weekend of fifteen activities, ten for one of forty, on two idle cores."""

THOROUGH = Effort(race=8000, search=560_000_000, each=56_000)
"""Three times as long."""

THREADS = 2
"""Threads that share scenarios or searches; changes no result."""


@dataclass(frozen=True, slots=True)
class Seeds:
    """Sources of chance that have nothing to do with each other."""

    race: int
    solver: int
    search: int
    odds: int
    last_starts: int

    @classmethod
    def of(cls, seed: int) -> "Seeds":
        """All of them from one number not below zero."""
        words = np.random.SeedSequence(seed).generate_state(5)
        return cls(*(int(word) >> 1 for word in words))
