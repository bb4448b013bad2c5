"""What was foretold against what happened, as plain records."""

from dataclasses import dataclass
from enum import StrEnum


class Timed(StrEnum):
    """Whose time was foretold. `judged-…` in the wording table's `[say]` is its line."""

    PRINT = "print"
    CUT = "cut"
    WORK = "work"


class Verdict(StrEnum):
    """What a comparison comes to. `verdict-…` in the wording table's `[say]` is its line."""

    FEW = "few"
    RIGHT = "right"
    SLOW = "slow"
    QUICK = "quick"
    NARROW = "narrow"
    WIDE = "wide"


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Times of one sort, foretold as P10, P50 and P90.

    Attributes:
        sort: whose.
        points: (share told, share seen), ascending, one for each time; along the diagonal if what was
            told is right.
        inside: how many came to lie between P10 and P90; eight of ten should.
        longer: how many took longer than P50; half should.
        verdict: what that comes to.
    """

    sort: Timed
    points: tuple[tuple[float, float], ...]
    inside: int
    longer: int
    verdict: Verdict

    @property
    def count(self) -> int:
        """How many times it rests on."""
        return len(self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """Chances of being done in time, foretold before projects began.

    Attributes:
        told: their mean.
        came_true: how many projects were done in time.
        count: how many there were.
        brier: mean squared distance of the chances from 1 or 0.
        expected: what that comes to on average if the chances are right.
        reference: what always telling the share that came true comes to.
        rows: (mean told, share that came true, count) by tenths of the chances.
        few: whether these are too few to judge by.
    """

    told: float
    came_true: int
    count: int
    brier: float
    expected: float
    reference: float
    rows: tuple[tuple[float, float, int], ...]
    few: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """How right what was foretold has been so far.

    Attributes:
        times: by sort; those of which none was foretold are missing.
        chances: of projects; None if none has ended.
        cuts_left_out: how many cuts came to an end and still tell nothing of the laser's speed.
    """

    times: tuple[Times, ...] = ()
    chances: Chances | None = None
    cuts_left_out: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How long work takes.

    Attributes:
        kind: of work; empty for kinds of which none is logged.
        factor: by what it takes longer than the middle of what was written down.
        count: how many works that rests on, all kinds counted where the kind is empty.
    """

    kind: str
    factor: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """How long a machine takes for one material.

    Attributes:
        machine: its id.
        material: id of the material; empty if none is named.
        factor: by what it takes longer than is computed.
        count: how many runs of that material it rests on; those of others count for less.
    """

    machine: str
    material: str
    factor: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Failures:
    """How often the runs of a machine fail.

    Attributes:
        machine: its id.
        material: id of the material of these runs; empty for all runs.
        runs, failures: how many have ended, and how many of them failed.
        start: chance of failing at the start, what was believed before included.
        hour: rate of failing per hour, likewise.
    """

    machine: str
    runs: int
    failures: int
    start: float
    hour: float
    material: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """How often checks find a fault.

    Attributes:
        looks, found: how many were made, and how many of them found one.
        expected: how many should have, as the project says.
        factor: on the rate of faults that is reckoned with.
    """

    looks: int
    found: int
    expected: float
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lateness:
    """How late deliveries come.

    Attributes:
        count: how many have come.
        late: how many of them after the promised moment.
        factor: by what they are later than was thought, as is reckoned with.
    """

    count: int
    late: int
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """What the log has taught, in few figures.

    Attributes:
        works: all work first, then each kind; empty where none is logged.
        timings: of machines of the shop, for each material whose runs were timed.
        machines: failures of those of the shop with logged runs; where these were of several materials,
            those of each follow.
        faults: of checks; None where none is logged.
        deliveries: None where none is logged.
    """

    works: tuple[Pace, ...] = ()
    timings: tuple[Timing, ...] = ()
    machines: tuple[Failures, ...] = ()
    faults: Faults | None = None
    deliveries: Lateness | None = None
