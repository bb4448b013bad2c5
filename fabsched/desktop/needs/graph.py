"""Where things stand in a picture of what waits for what. No Qt here."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabsched.desktop.needs.layers import (
    Joint,
    beside_of,
    chain,
    columns_of,
    filled,
    heights,
    put_in_order,
)
from fabsched.model.project import Project


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something stands.

    Attributes:
        column: from 0 on; everything it waits for stands further left.
        row: from 0 on, within the column.
        top: how far down it begins, in rows.
    """

    column: int
    row: int
    top: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Graph:
    """The picture in numbers.

    Attributes:
        spots: by id.
        joints: what is joined.
        ways: where each line goes past the columns between its ends, in rows from the top.
    """

    spots: Mapping[str, Spot]
    joints: tuple[Joint, ...]
    ways: Mapping[Joint, tuple[float, ...]] = field(default_factory=dict)

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return 1 + max((spot.column for spot in self.spots.values()), default=-1)

    @property
    def rows(self) -> float:
        """How many rows high it is."""
        boxes = [spot.top + 1 for spot in self.spots.values()]
        return max((*boxes, *(middle for way in self.ways.values() for middle in way)), default=0.0)

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
            (ident not in joined if columns else False, abs(spot.top - here.top - rows), ident)
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
    column = columns_of(idents, joints)
    chains = {joint: chain(joint, column) for joint in joints}
    columns, beside = filled(column, chains.values()), beside_of(chains.values())
    put_in_order(columns, beside)
    middles = heights(columns, beside)
    return Graph(
        spots={
            knot: Spot(column[knot], row, middles[knot] - 0.5)
            for knots in columns
            for row, knot in enumerate(k for k in knots if isinstance(k, str))
        },
        joints=joints,
        ways={
            joint: tuple(middles[knot] for knot in knots[1:-1]) for joint, knots in chains.items()
        },
    )
