"""Where things stand in a picture of what waits for what. No Qt here.

Everything stands in a column after all it waits for; within its column it stands near what it is
joined to, by a few sweeps of means (the method of Sugiyama, Tagawa and Toda, IEEE Transactions on
Systems, Man and Cybernetics 11(2), 1981, from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fabsched.model.project import Project

SWEEPS = 6
"""How often the columns are put in order, there and back (our own choice)."""


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
class Spot:
    """Where something stands.

    Attributes:
        column: from 0 on; everything it waits for stands further left.
        row: from 0 on, within the column.
    """

    column: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Graph:
    """The picture in numbers.

    Attributes:
        spots: by id.
        joints: what is joined.
    """

    spots: Mapping[str, Spot]
    joints: tuple[Joint, ...]

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return 1 + max((spot.column for spot in self.spots.values()), default=-1)

    @property
    def rows(self) -> int:
        """How many rows the longest column has."""
        return 1 + max((spot.row for spot in self.spots.values()), default=-1)

    def next(self, ident: str, columns: int, rows: int) -> str | None:
        """What stands beside something: so many columns to the right, or rows below.

        Across columns what it is joined to is preferred, then what stands nearest.
        """
        here = self.spots.get(ident)
        if here is None:
            return next(iter(self.spots), None)
        joined = {
            j.then if columns > 0 else j.first for j in self.joints if ident in (j.first, j.then)
        }
        column = here.column + columns
        near = [
            (ident not in joined if columns else False, abs(spot.row - here.row - rows), ident)
            for ident, spot in self.spots.items()
            if spot.column == column and (columns or (spot.row - here.row) * rows > 0)
        ]
        return min(near, default=(False, 0, None), key=lambda entry: entry[:2])[2]


def graph_of(project: Project) -> Graph:
    """Lay out the parts, work and gates of a project that is sound."""
    idents = [item.id for item in project.items]
    known = set(idents)
    joints = tuple(
        Joint(first, item.id) for item in project.items for first in item.after if first in known
    )
    columns = _columns(idents, joints)
    return Graph(spots=_rows(columns, joints), joints=joints)


def _columns(idents: Sequence[str], joints: Iterable[Joint]) -> list[list[str]]:
    """Ids by column: as far left as what they wait for allows."""
    before: dict[str, list[str]] = {ident: [] for ident in idents}
    for joint in joints:
        before[joint.then].append(joint.first)
    depth: dict[str, int] = {}

    def depth_of(ident: str) -> int:
        if ident not in depth:
            depth[ident] = 0  # a circle, which a sound project has none of, comes to an end
            depth[ident] = 1 + max((depth_of(first) for first in before[ident]), default=-1)
        return depth[ident]

    found: list[list[str]] = [[] for _ in range(1 + max(map(depth_of, idents), default=-1))]
    for ident in idents:
        found[depth_of(ident)].append(ident)
    return found


def _rows(columns: list[list[str]], joints: tuple[Joint, ...]) -> dict[str, Spot]:
    """Spots of everything, ids of each column sorted by the mean row of what they are joined to."""
    beside: dict[str, list[str]] = {ident: [] for column in columns for ident in column}
    for joint in joints:
        beside[joint.first].append(joint.then)
        beside[joint.then].append(joint.first)
    row = {ident: place for column in columns for place, ident in enumerate(column)}

    def mean(ident: str) -> float:
        rows = [row[other] for other in beside[ident]]
        return sum(rows) / len(rows) if rows else float(row[ident])

    for sweep in range(SWEEPS):
        for column in columns if sweep % 2 == 0 else reversed(columns):
            column.sort(key=mean)
            row.update((ident, place) for place, ident in enumerate(column))
    return {
        ident: Spot(place, row[ident]) for place, column in enumerate(columns) for ident in column
    }
