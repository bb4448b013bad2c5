"""A strip packed ever shorter by our own search: cut off a little, move apart what overlaps, repeat.

Where that comes to nothing, two copies change places in one of the states that overlapped least, and it
is tried again (Imamichi, Yagiura & Nagamochi, Discrete Optimization 6(4), 2009, from memory). Most of what a
search will reach it reaches soon, and beginnings differ more than what is made of them (measured): so a
search that has stopped to gain is given up for a fresh one, and from time to time the best is taken up again.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fabsched.nest.nofit import NoFit
from fabsched.nest.raster import Floats
from fabsched.nest.separate import Lie, separated

SHORTER, MUCH_SHORTER, HARDLY_SHORTER = 0.002, 0.01, 0.0005
"""Share of a strip that is cut off at once: near the best width known, far above it, and from the best."""
NEAR = 1.03
"""What is near, as a share of that."""
PATIENCE = 40
"""Failures in a row after which a search is given up: some seconds of a small strip (measured)."""
FRESH = 3
"""How many searches begin anew before the best is taken up again."""
SPREAD = 0.25
"""Which of the failed states is taken up: the deviation of its rank, as a share of their number."""
FIRST = 1.4
"""Width of a strip to begin with, as a multiple of one that is filled without any waste."""


class Strip(NamedTuple):
    """What is packed.

    Attributes:
        fits: no-fit polygons.
        item: (copies,) item of every copy.
        high_mm: height of the strip.
        area_mm2: of all copies.
        widest_mm: how wide the strip may be.
    """

    fits: NoFit
    item: NDArray[np.int64]
    high_mm: float
    area_mm2: float
    widest_mm: float = np.inf


@dataclass(slots=True)
class _Climb:
    """One search: how everything lies in a width in which it still overlaps."""

    lie: Lie
    width_mm: float
    step: float = SHORTER
    failures: int = 0
    pool: list[tuple[float, Lie]] = field(default_factory=list)


@dataclass(slots=True)
class Climber:
    """Searches of one strip, one after another.

    Attributes:
        strip: what is packed.
        random: source of chance.
        halt: (1,) anything but 0 ends it; may be set by another thread.
        tell: takes each better width in mm with how everything lies.
        best: the best so far.
    """

    strip: Strip
    random: np.random.Generator
    halt: NDArray[np.uint8]
    tell: Callable[[float, Lie], None]
    best: tuple[float, Lie] | None = None
    state: NDArray[np.uint64] = field(init=False)

    def __post_init__(self) -> None:
        """Begin the kernels' own source of chance."""
        self.state = self.random.integers(1, 2**63, size=1, dtype=np.uint64)

    def search(self, begin: tuple[float, Lie] | None) -> None:
        """Search until it is halted.

        Args:
            begin: a width and how everything may lie in it, overlapping or not; None to begin by chance.
        """
        number = 0
        if begin:
            self._climb(_Climb(_copied(begin[1]), begin[0]))
        while not self.halt[0]:
            number += 1
            if self.best and number % (FRESH + 1) == 0:
                width, lie = self.best
                self._climb(self._cut(_Climb(_copied(lie), width, HARDLY_SHORTER)))
            else:
                self._climb(self._fresh())

    def _fresh(self) -> _Climb:
        """Everything anywhere, in a wide strip."""
        fits, item = self.strip.fits, self.strip.item
        width = FIRST * self.strip.area_mm2 / self.strip.high_mm
        width = min(self.strip.widest_mm, max(width, float(fits.sizes[:, 0].max())))
        some = np.diff(fits.poses)[item]
        pose = fits.poses[item] + (self.random.random(item.size) * some).astype(np.int64)
        room = np.maximum(0.0, [width, self.strip.high_mm] - fits.sizes[pose])
        at = self.random.random((item.size, 2)) * room
        return _Climb(Lie(pose, at, item), width)

    def _climb(self, climb: _Climb) -> None:
        """Shorten until nothing comes of it for long."""
        while climb.failures < PATIENCE and not self.halt[0]:
            room = np.array([climb.width_mm, self.strip.high_mm])
            left = separated(self.strip.fits, climb.lie, room, self.state, self.halt)
            if left == 0.0:
                self._found(climb)
                self._cut(climb)
            else:
                climb.failures += 1
                self._again(climb, left)

    def _found(self, climb: _Climb) -> None:
        """Keep a sound state."""
        right = climb.lie.at[:, 0] + self.strip.fits.sizes[climb.lie.pose, 0]
        climb.width_mm = float(right.max())
        climb.failures, climb.pool = 0, []
        if self.best is None or climb.width_mm < self.best[0]:
            self.best = climb.width_mm, _copied(climb.lie)
            self.tell(*self.best)

    def _cut(self, climb: _Climb) -> _Climb:
        """Cut a little off, and push inside what sticks out."""
        assert self.best is not None  # noqa: S101 - a sound state was found; for the type checker
        far = climb.width_mm > NEAR * self.best[0]
        climb.width_mm *= 1.0 - (MUCH_SHORTER if far else climb.step)
        self._push_in(climb)
        return climb

    def _push_in(self, climb: _Climb) -> None:
        room = np.array([climb.width_mm, self.strip.high_mm])
        most = np.maximum(0.0, room - self.strip.fits.sizes[climb.lie.pose])
        climb.lie.at[:] = np.clip(climb.lie.at, 0.0, most)

    def _again(self, climb: _Climb, left: float) -> None:
        """Take up one of the states that overlapped least, with two copies in each other's place."""
        climb.pool.append((left, _copied(climb.lie)))
        climb.pool.sort(key=lambda each: each[0])
        rank = int(abs(self.random.normal(0.0, SPREAD)) * len(climb.pool))
        climb.lie = _copied(climb.pool[min(rank, len(climb.pool) - 1)][1])
        self._swap(climb.lie.at)
        self._push_in(climb)

    def _swap(self, at: Floats) -> None:
        """Put two copies of different items in each other's place, if there are such."""
        item = self.strip.item
        one = int(self.random.integers(item.size))
        others = np.flatnonzero(item != item[one])
        if others.size:
            other = int(self.random.choice(others))
            at[[one, other]] = at[[other, one]]


def _copied(lie: Lie) -> Lie:
    return Lie(lie.pose.copy(), lie.at.copy(), lie.item)


def copies_of(counts: Sequence[int]) -> NDArray[np.int64]:
    """(copies,) item of every copy."""
    return np.repeat(np.arange(len(counts)), counts).astype(np.int64)
