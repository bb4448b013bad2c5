"""What the maker's own log has taught: what was seen, and what follows from it."""

import math
from dataclasses import dataclass

from fabsched.model.estimates import Moves, Route
from fabsched.model.spread import Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSeen:
    """A run of a machine that has ended, well or not.

    Attributes:
        key: what tells it from all others; the same key again replaces what was known of it.
        at_s: when it ended, seconds since the epoch.
        machine: id of the machine.
        route: print or cut.
        material: id of the material.
        estimated_s: machine time as computed before anything learnt was put to it.
        ran_s: how long the machine really ran.
        failed: whether it failed; then `ran_s` is until it failed.
        timed: whether it ran to its end and both ends were told, so that `ran_s` tells of the
            machine's speed.
        moves: for prints, how the computed time hangs on speed and acceleration; None if unknown.
        raised: by what its parts multiplied how often the machine fails.
    """

    key: str
    at_s: int
    machine: str
    route: Route
    material: str
    estimated_s: float
    ran_s: float
    failed: bool = False
    timed: bool = True
    moves: Moves | None = None
    raised: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSeen:
    """Something hands have done.

    Attributes:
        key, at_s: as for runs.
        kind: kind of work.
        expected: low, likely and high seconds that were written down before.
        took_s: seconds it really took, pauses left out.
    """

    key: str
    at_s: int
    kind: str
    expected: Spread
    took_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LookSeen:
    """A check that was made.

    Attributes:
        key, at_s: as for runs.
        chance: of finding a fault, as the project says: what earlier checks left of it, and less for
            each time the same has been checked before.
        found: whether it found one.
    """

    key: str
    at_s: int
    chance: float
    found: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LateSeen:
    """Something from outside that has come.

    Attributes:
        key, at_s: as for runs.
        expected: low, likely and high seconds by which it was thought to come late.
        late_s: seconds after the promised moment; below zero if it came before.
    """

    key: str
    at_s: int
    expected: Spread
    late_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeTold:
    """A time that was foretold, and what it turned out to be.

    Attributes:
        key, at_s: as for runs.
        told: P10, P50 and P90 in seconds.
        actual_s: what it was.
    """

    key: str
    at_s: int
    told: Spread
    actual_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceTold:
    """A chance that was foretold, and whether it came true.

    Attributes:
        key, at_s: as for runs.
        chance: 0 to 1.
        came_true: whether it did.
    """

    key: str
    at_s: int
    chance: float
    came_true: bool


Seen = RunSeen | WorkSeen | LookSeen | LateSeen | TimeTold | ChanceTold
"""One thing the log has taught."""


def foretold_key(key: str) -> str:
    """Key of what was foretold of a run or work, from that of the run or work itself.

    >>> foretold_key("log/run/lid/1")
    'log/time/lid/1'
    """
    log, _, rest = key.split("/", 2)
    return f"{log}/time/{rest}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What is known of how long something takes, against what is computed or expected.

    Attributes:
        factor: by what the middle figure is multiplied.
        width: by what the spread (in the logarithm) is multiplied.
        known: how many logged ones it rests on.
        alike: how many of them were of the same material or kind.
    """

    factor: float = 1.0
    width: float = 1.0
    known: int = 0
    alike: int = 0

    def applied(self, spread: Spread) -> Spread:
        """A spread with what is known put to it; the same spread if nothing is.

        >>> Lesson(factor=2.0, width=0.5).applied(Spread(25.0, 100.0, 400.0))
        Spread(low=100.0, likely=200.0, high=400.0)
        """
        if not self.known:
            return spread
        likely = spread.likely * self.factor
        return Spread(
            _apart(spread.low, spread.likely, self.width) * likely,
            likely,
            _apart(spread.high, spread.likely, self.width) * likely,
        )


MOST_LOG = 300.0
"""Spreads are no wider than e to that, so that no figure overflows."""


def _apart(figure: float, middle: float, width: float) -> float:
    """How many times the middle a figure is once its distance in the logarithm has changed."""
    if figure <= 0.0 or middle <= 0.0:
        return 1.0 if figure == middle else 0.0
    return math.exp(min(MOST_LOG, width * (math.log(figure) - math.log(middle))))


NOTHING = Lesson()
"""Nothing is known: everything stays as it was computed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failing:
    """What is known of how often the runs of a machine fail.

    The chance of failing at the start is a beta distribution, the rate per hour of running a gamma
    distribution.

    Attributes:
        start_failed: first shape of the beta: failures at the start, those assumed included.
        start_went: second shape: starts that went well, those assumed included.
        hour_failed: shape of the gamma: failures while running, those assumed included.
        hours: its rate: hours run, those assumed included.
        known: how many logged runs it rests on.
        failures: how many of them failed.
    """

    start_failed: float
    start_went: float
    hour_failed: float
    hours: float
    known: int = 0
    failures: int = 0

    @property
    def start(self) -> float:
        """Mean chance of failing at the start."""
        return self.start_failed / (self.start_failed + self.start_went)

    @property
    def hour(self) -> float:
        """Mean rate of failing per hour of running."""
        return self.hour_failed / self.hours
