"""What can be measured on a solid: round holes and pegs, and flat faces."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from fabsched.model.project import Axis, FitKind, Point

if TYPE_CHECKING:  # brings in numpy, which the command line does not start with
    import numpy as np
    from numpy.typing import NDArray


class Form(StrEnum):
    """What a feature is."""

    HOLE = "hole"
    PEG = "peg"
    FACE = "face"


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """One of them, in the coordinates of the part's file.

    Attributes:
        form: what it is.
        at_mm: its middle: on the axis of what is round, in the plane of what is flat.
        axis: unit vector: along the axis of what is round, outwards from what is flat.
        low_mm: lowest corner of the box around it.
        high_mm: highest corner.
        diameter_mm: of what is round; 0 for faces.
        length_mm: along the axis; 0 for faces.
    """

    form: Form
    at_mm: Point
    axis: Point
    low_mm: Point
    high_mm: Point
    diameter_mm: float = 0.0
    length_mm: float = 0.0

    @property
    def is_round(self) -> bool:
        """Whether it has a diameter."""
        return self.form is not Form.FACE


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """The features of a solid.

    Attributes:
        features: round ones first, larger ones before smaller ones.
        owner: (m,) for each triangle the index of its feature; -1 for none.
    """

    features: tuple[Feature, ...]
    owner: "NDArray[np.int64]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """What can be measured between features, ready to be kept as a critical dimension.

    Attributes:
        kind: what has to fit there, by default.
        ends_mm: between which points.
        at_mm: middle of the box around the features.
        size_mm: its extent.
        axis: direction in which the other thing is pushed in, by default.
        is_diameter: whether it is one.
    """

    kind: FitKind
    ends_mm: tuple[Point, Point]
    at_mm: Point
    size_mm: Point
    axis: Axis
    is_diameter: bool = False
