"""What is laid out, onto what, and where it comes to lie."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabsched.model.shapes import Points2, turned

Ring = tuple[tuple[float, float], ...]
"""A closed polygon in mm that does not repeat its first point."""
TURNS = (0.0, 90.0, 180.0, 270.0)
"""Quarter turns: plywood has a grain, and prints look different along other angles."""


def points_of(ring: Ring) -> Points2:
    """(n, 2) corners of a border."""
    return np.array(ring, dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A part to be placed.

    Attributes:
        id: its name.
        outline: its outer border.
        count: how many copies of it.
        holes: borders of its holes; other parts may lie in them.
        turns_deg: angles it may be turned by; none leaves them to whoever lays it out.

    Raises:
        ValueError: a border has fewer than three corners, or the count is below zero.
    """

    id: str
    outline: Ring
    count: int = 1
    holes: tuple[Ring, ...] = ()
    turns_deg: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot be placed."""
        for ring in (self.outline, *self.holes):
            if len(ring) < 3 or not np.isfinite(ring).all():
                raise ValueError(f"{self.id}: an outline has three finite corners or more")
        if self.count < 0:
            raise ValueError(f"{self.id}: a count is not below zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """A bed, a sheet or an offcut.

    Attributes:
        size_mm: width and height; (0, 0) is the lower left corner.
        outline: its border where it is no rectangle.
        keep_out: areas that stay free.
    """

    size_mm: tuple[float, float]
    outline: Ring = ()
    keep_out: tuple[Ring, ...] = ()


def alike(size_mm: tuple[float, float], count: int) -> tuple[Bin, ...]:
    """Rectangular bins, all alike."""
    return (Bin(size_mm=size_mm),) * count


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be laid out.

    Attributes:
        items: the parts; their ids differ.
        bins: where, in the order they are filled.
        gap_mm: least distance of two parts.
        turns: angles allowed for items that do not say so themselves, in degrees.
    """

    items: Sequence[Item]
    bins: Sequence[Bin]
    gap_mm: float
    turns: Sequence[float] = TURNS


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where one copy lies: its outline turned about (0, 0), then moved by (x, y).

    Attributes:
        id: the item.
        copy: number of the copy, from 0.
        bin: number of the bed or sheet, from 0.
        x_mm, y_mm: how far it is moved; (0, 0) is the lower left corner of the bin.
        turn_deg: how far it is turned, counter-clockwise.
    """

    id: str
    copy: int
    bin: int
    x_mm: float
    y_mm: float
    turn_deg: float

    def outline_mm(self, outline: Ring) -> Points2:
        """(n, 2) corners of an outline of the item where this copy lies."""
        points = turned(np.array(outline, dtype=np.float64), self.turn_deg)
        return np.asarray(points + np.array([self.x_mm, self.y_mm]))

    def rings_mm(self, item: Item) -> list[Points2]:
        """Border and holes of the item where this copy lies."""
        return [self.outline_mm(ring) for ring in (item.outline, *item.holes)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything lies.

    Attributes:
        placements: in the order they were made.
        unplaced: id and copy of what found no room.
    """

    placements: tuple[Placement, ...]
    unplaced: tuple[tuple[str, int], ...] = ()

    @property
    def bins(self) -> int:
        """How many bins there are up to the last one that is used."""
        return 1 + max((placement.bin for placement in self.placements), default=-1)
