"""Changes that would make a weekend fit, as plain records: light, and ready to be pickled."""

from dataclasses import dataclass
from enum import StrEnum


class Lever(StrEnum):
    """What could be changed. The wording table's `[fit]` has a line for each."""

    DROP = "drop"
    DROP_NEEDED = "drop-needed"
    WAY = "way"
    START = "start"
    HOURS = "hours"
    AWAKE = "awake"
    HANDS = "hands"
    DEADLINE = "deadline"
    MACHINE = "machine"
    ARRIVAL = "arrival"
    COMPONENT = "component"
    DELIVERY = "delivery"
    COPIES = "copies"
    SET = "set"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """What holds an activity up.

    Attributes:
        activity: its id.
        free_s: when it could start if all of that were there.
        comes: (id, moment) of each component or delivery it waits for.
    """

    activity: str
    free_s: int
    comes: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One change, and what becomes of the weekend with it.

    Attributes:
        code: what is changed.
        subject: id of the item, way, place or machine it is about; empty for start and deadline.
        name: the same as shown.
        size_s: how much is asked for, in seconds; 0 where there is no more and less.
        from_s, until_s: the moments it is about; 0 where there are none. A start and a deadline have
            one, the first and the last.
        on_time: chance of being in time with it.
        gain: by how much that is more than now.
        error: standard error of the gain.
        enough: whether that is as sure as wanted.
        parts: for a set, the changes that are made together.
        copies: (how many are made instead, how many are wanted) of a part; zeros for all else.
        holds: what is held up by the component or delivery that comes sooner, and by what else.
    """

    code: Lever
    subject: str = ""
    name: str = ""
    size_s: int = 0
    from_s: int = 0
    until_s: int = 0
    on_time: float = 0.0
    gain: float = 0.0
    error: float = 0.0
    enough: bool = False
    parts: "tuple[Fit, ...]" = ()
    copies: tuple[int, int] = (0, 0)
    holds: tuple[Hold, ...] = ()

    @property
    def size(self) -> int:
        """How much is asked for, to set sizes of the same change against one another."""
        return self.size_s + self.copies[1] - self.copies[0]

    @property
    def each(self) -> "tuple[Fit, ...]":
        """The changes of a set; a change that is none is the only one."""
        return self.parts or (self,)


OF_LOG = frozenset({Lever.COMPONENT, Lever.DELIVERY})
"""Changes of what the log tells: something comes sooner than was told, or than it would if ordered."""


class Barrier(StrEnum):
    """Why no order would do. The wording table's `[barrier]` has a line for each."""

    ALONE = "alone"
    CHAIN = "chain"
    MACHINE = "machine"
    HANDS = "hands"
    ABLE = "able"


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something that takes longer than there is time, however it is ordered.

    Attributes:
        code: what kind.
        name: what it is about: the longest step, the steps of a chain, a machine, the people,
            work with those who alone can do it.
        takes_s: how long it likely takes, nothing going wrong.
        left_s: how much time there is for it.
    """

    code: Barrier
    name: str
    takes_s: int
    left_s: int
