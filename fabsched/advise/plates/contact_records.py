"""Where pieces stand on plates, and how they are joined there: the records."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray

ROUND = 48
"""Corners of a screw hole."""

Point = NDArray[np.float64]


class Join(StrEnum):
    """How a piece is joined to a plate. The wording table's `[join]` has a template for each."""

    SCREW = "screw"
    THROUGH = "through"
    TAB = "tab"
    GLUE = "glue"
    EDGE = "edge"


class Glued(StrEnum):
    """Why a contact is only glued. The wording table's `[glued]` has a template for each."""

    SMALL = "small"
    SHALLOW = "shallow"
    COVERED = "covered"
    BESIDE = "beside"


RIM_MM = 1.0
"""Width of the strip along its edge that stands for what lies beside a plate."""

STICKS = frozenset({Join.GLUE, Join.EDGE})
"""Joints that do not come apart again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Through:
    """A screw that holds two pieces, one on either side of a plate.

    Attributes:
        piece: number of the piece it passes; the contact's own piece takes its thread.
        high_mm: how far it passes that piece.
        sunk_mm: depth of the hole for its head, from the far end; 0 leaves the head outside.
        length_mm: of the screw.
    """

    piece: int
    high_mm: float
    sunk_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Contact:
    """A place where a piece stands on a plate.

    Attributes:
        plate: number of the plate.
        piece: number of the piece.
        side: +1 if the piece lies along the plate's normal, -1 if against it, 0 if beside the plate.
        join: how they are joined.
        area: the contact, in the plate's frame.
        spots: middles of the screws.
        bored: whether the piece has holes there already that do as pilot holes.
        tabs: areas of the tabs, inside the plate.
        through: what its screw passes on the other side; the piece there has a contact of its own
            without a spot.
        why: why it is only glued.
    """

    plate: int
    piece: int
    side: int
    join: Join
    area: CrossSection
    spots: tuple[Point, ...] = ()
    bored: bool = False
    tabs: tuple[CrossSection, ...] = ()
    through: Through | None = None
    why: Glued | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """A contact before it is known how it is joined.

    Attributes:
        plate, piece, side, area: as for `Contact`.
        deep: the part of it that goes on for half a pilot hole at least.
        laid: the piece as seen from the plate.
    """

    plate: int
    piece: int
    side: int
    area: CrossSection
    deep: CrossSection
    laid: Manifold


def disc(middle: Point, radius_mm: float) -> CrossSection:
    """A round area; its polygon has the area of the circle.

    >>> round(disc(np.zeros(2), 1.0).area(), 6)
    3.141593
    """
    turn = 2.0 * math.pi / ROUND
    reach = radius_mm * math.sqrt(turn / math.sin(turn))
    return CrossSection.circle(reach, ROUND).translate((float(middle[0]), float(middle[1])))
