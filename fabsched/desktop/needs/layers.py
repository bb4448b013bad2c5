"""Lays things out in columns, lines led between them. No Qt here.

Everything stands in a column after all it waits for. A line that goes past a column has a place of
its own there, so that it is never led behind something it has nothing to do with. Columns are put
in order by a few sweeps of means (the method of Sugiyama, Tagawa and Toda, IEEE Transactions on
Systems, Man and Cybernetics 11(2), 1981, from memory), and stretched until lines are as level as
that order allows: each column by a regression that keeps it, solved by pooling neighbours that get
in each other's way (Ayer, Brunk, Ewing, Reid and Silverman, Annals of Mathematical Statistics
26(4), 1955, from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

SWEEPS = 8
"""How often the columns are put in order, and stretched, there and back (our own choice)."""
WAY_ROWS = 0.45
"""Height of a line that goes past a column, in rows (our own choice)."""


@dataclass(frozen=True, slots=True)
class Joint:
    """One thing waits for another.

    Attributes:
        first: id of what is done first.
        then: id of what waits for it.
    """

    first: str
    then: str


@dataclass(frozen=True, slots=True)
class Pass:
    """A line that goes past a column.

    Attributes:
        joint: the line.
        column: the column.
    """

    joint: Joint
    column: int


Knot = str | Pass
"""What has a place in a column: a thing by its id, or a line going past."""


def columns_of(idents: Sequence[str], joints: Iterable[Joint]) -> dict[str, int]:
    """Column of everything: as far left as what it waits for allows.

    What waits for nothing stands right before the first thing that waits for it.
    """
    before: dict[str, list[str]] = {ident: [] for ident in idents}
    after: dict[str, list[str]] = {ident: [] for ident in idents}
    for joint in joints:
        before[joint.then].append(joint.first)
        after[joint.first].append(joint.then)
    depth: dict[str, int] = {}

    def depth_of(ident: str) -> int:
        if ident not in depth:
            depth[ident] = 0  # a circle, which a sound project has none of, comes to an end
            depth[ident] = 1 + max((depth_of(first) for first in before[ident]), default=-1)
        return depth[ident]

    found = {ident: depth_of(ident) for ident in idents}
    late = {i: min(found[then] for then in after[i]) - 1 for i in idents if after[i]}
    return {i: late[i] if i in late and not before[i] else at for i, at in found.items()}


def chain(joint: Joint, column: Mapping[str, int]) -> tuple[Knot, ...]:
    """A line with all it goes past, from its first thing to the one that waits."""
    between = range(column[joint.first] + 1, column[joint.then])
    return (joint.first, *(Pass(joint, at) for at in between), joint.then)


def filled(column: Mapping[str, int], chains: Iterable[Sequence[Knot]]) -> list[list[Knot]]:
    """What stands in each column, in no particular order."""
    found: list[list[Knot]] = [[] for _ in range(1 + max(column.values(), default=-1))]
    for ident, at in column.items():
        found[at].append(ident)
    for knots in chains:
        for knot in knots:
            if isinstance(knot, Pass):
                found[knot.column].append(knot)
    return found


def beside_of(chains: Iterable[Sequence[Knot]]) -> dict[Knot, list[Knot]]:
    """What each knot is joined to in the columns next to its own."""
    found: dict[Knot, list[Knot]] = {}
    for knots in chains:
        for left, right in pairwise(knots):
            found.setdefault(left, []).append(right)
            found.setdefault(right, []).append(left)
    return found


def put_in_order(columns: Sequence[list[Knot]], beside: Mapping[Knot, Sequence[Knot]]) -> None:
    """Sort every column by the mean place of what its knots are joined to."""
    place: dict[Knot, float] = {}

    def number(column: Sequence[Knot]) -> None:
        place.update((knot, at / len(column)) for at, knot in enumerate(column))

    for column in columns:
        number(column)
    for sweep in range(SWEEPS):
        for column in columns if sweep % 2 == 0 else reversed(columns):
            column.sort(key=lambda knot: _mean(beside.get(knot, ()), place, place[knot]))
            number(column)


def heights(
    columns: Sequence[Sequence[Knot]], beside: Mapping[Knot, Sequence[Knot]]
) -> dict[Knot, float]:
    """Where the middle of every knot lies, in rows from the top; nothing overlaps."""
    middles: dict[Knot, float] = {}
    for column in columns:
        middles.update(zip(column, _offsets(column), strict=True))
    for sweep in range(SWEEPS):
        for column in columns if sweep % 2 == 0 else reversed(columns):
            wanted = [_mean(beside.get(knot, ()), middles, middles[knot]) for knot in column]
            middles.update(zip(column, _apart(wanted, _offsets(column)), strict=True))
    top = min((middle - _rows(knot) / 2 for knot, middle in middles.items()), default=0.0)
    return {knot: middle - top for knot, middle in middles.items()}


def _mean(knots: Sequence[Knot], at: Mapping[Knot, float], otherwise: float) -> float:
    return sum(at[knot] for knot in knots) / len(knots) if knots else otherwise


def _rows(knot: Knot) -> float:
    return WAY_ROWS if isinstance(knot, Pass) else 1.0


def _offsets(column: Sequence[Knot]) -> list[float]:
    """Middles of the knots of a column that lie side by side from 0 on."""
    sizes = [_rows(knot) for knot in column]
    ends = accumulate(sizes)
    return [end - size / 2 for end, size in zip(ends, sizes, strict=True)]


def _apart(wanted: Sequence[float], offsets: Sequence[float]) -> list[float]:
    """Middles as near to what is wanted as can be, in the same order and never nearer than offsets."""
    pools: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while pools and pools[-1][0] >= mean:
            other, more = pools.pop()
            mean, count = (mean * count + other * more) / (count + more), count + more
        pools.append((mean, count))
    level = [mean for mean, count in pools for _ in range(count)]
    return [at + offset for at, offset in zip(level, offsets, strict=True)]
