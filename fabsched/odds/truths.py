"""What is not known about the world: how often things fail, and how much longer they take than said.

Each weekend that is drawn may have a truth of its own, so that a plan chosen under such a mixture
does well in all of them, and its odds can be told as a range.
"""

from dataclasses import dataclass, field
from math import exp

import numpy as np

from fabsched.odds.tables import Reals


@dataclass(frozen=True, slots=True)
class Factor:
    """A log-normal factor.

    Attributes:
        median: as often above as below; above zero.
        sigma: spread of its logarithm; 0 for a factor known without doubt.

    Raises:
        ValueError: the median is not above zero, or the spread below it.
    """

    median: float = 1.0
    sigma: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no factor."""
        if not (0 < self.median < np.inf and 0 <= self.sigma < np.inf):
            raise ValueError(
                f"wanted 0 < median and 0 <= sigma, got {self.median} and {self.sigma}"
            )

    @property
    def mean(self) -> float:
        """Mean of the log-normal, median exp(sigma^2 / 2).

        >>> round(Factor(1.05, 0.25).mean, 3)
        1.083
        """
        return self.median * exp(self.sigma**2 / 2)

    def at(self, deviates: Reals | float) -> Reals:
        """Its value at standard normal deviates, of any shape."""
        return np.asarray(self.median * np.exp(self.sigma * np.asarray(deviates)))


SHARED = ("failing", "faults", "work", "machine", "late")
"""Factors that hold for a whole weekend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Truths:
    """Factors on what the weekend is told; all but the last hold for a whole weekend.

    Attributes:
        failing: on the rate at which runs fail, at the start and per hour.
        faults: on the rate at which gates find faults.
        work: on hands' times of works and gates.
        machine: on machine times.
        late: on how much later deliveries come than promised.
        overrun: on hands' times as well, for each work by itself.
    """

    failing: Factor = field(default_factory=Factor)
    faults: Factor = field(default_factory=Factor)
    work: Factor = field(default_factory=Factor)
    machine: Factor = field(default_factory=Factor)
    late: Factor = field(default_factory=Factor)
    overrun: Factor = field(default_factory=Factor)

    @property
    def work_mean(self) -> float:
        """How much longer work takes than its three points say, on average."""
        return self.work.mean * self.overrun.mean

    @property
    def shared_doubt(self) -> bool:
        """Whether any factor that holds for a whole weekend is not known for sure."""
        return any(getattr(self, name).sigma for name in SHARED)


AS_TOLD = Truths()
"""Everything is as it is told."""

PUBLISHED = Truths(
    failing=Factor(1.0, 0.5),
    faults=Factor(1.0, 0.5),
    work=Factor(1.25, 0.25),
    machine=Factor(1.0, 0.1),
    late=Factor(1.0, 0.5),
    overrun=Factor(1.0, 0.25),
)
"""What is taken for true of makers and machines of which no log tells more.

Work: three-point estimates are overrun by a third in the mean and in three cases of four. Surveys of
software projects, the largest body of hours told beforehand and logged, find that 60 to 80 % take
more effort than estimated, and 30 to 40 % more in the mean (Molokken and Jorgensen, ISESE 2003); a
survey of Norwegian ones 76 % and 41 % (Molokken-Ostvold et al., METRICS 2004). 1.25 with 0.25 for
the maker and 0.25 for each work gives 74 % and 33 %. Longer delays are published for days rather
than hours: theses took 55.5 days for 27.4, 33.9 and 48.6 told, 1.57 of the three-point mean (Buehler,
Griffin and Ross, J. Pers. Soc. Psychol. 67(3), 1994, Table 1). Most of these days go to everything
else in life, for which this planner keeps hours of its own; so they are the upper bound here.

Failures: between 20 % of prints at home (Wittbrodt et al., Mechatronics 23, 2013; from memory) and
41.1 % in an open studio (Song and Telenko, Procedia CIRP 80, 2019), a factor of 2.4 in the rate; 0.5
lets four in five lie within a factor of 1.9 either way. Faults likewise. The 0.1 of machine times,
beside what each estimate doubts by itself, is our own assumption; so is the 0.5 of deliveries, which
lets four makers in five guess their lateness to within a factor of 1.9.
"""
