"""The list of joints: which piece goes where, with which screw."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabsched.advise.plates.contact_records import Join
from fabsched.advise.plates.joinery import SCREW_LENGTHS_MM
from fabsched.advise.plates.splitting import Joint, Plate, Split
from fabsched.model.shapes import Points2


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One screw, tab or glued contact.

    Attributes:
        plate: number of the plate, from 1.
        piece: number of the piece, from 1.
        join: how they are joined.
        at_mm: where, from the lower left corner of the plate's drawing.
        screw: designation with length ("M3 x 10"), empty for other joints.
        passes: number of the piece the screw passes, from 1; None if it passes none.
        why: why it is only glued, a key of the wording table's `[glued]`; empty for other joints.
    """

    plate: int
    piece: int
    join: Join
    at_mm: tuple[float, float]
    screw: str = ""
    passes: int | None = None
    why: str = ""


def joint_rows(split: Split) -> tuple[Row, ...]:
    """All joints, plate by plate."""
    rows = [row for joint in split.joints for row in _rows(joint, split)]
    return tuple(sorted(rows, key=lambda row: (row.plate, row.piece)))


def screws_of(split: Split, copies: int = 1) -> tuple[tuple[str, int], ...]:
    """Screws with their lengths, each with how many it takes.

    Args:
        split: the part taken apart.
        copies: how many of the part are made.
    """
    counts = Counter(row.screw for row in joint_rows(split) if row.screw)
    return tuple((screw, copies * count) for screw, count in sorted(counts.items()))


def screw_length_mm(split: Split, plate: Plate) -> float:
    """The longest usual screw that does not reach the end of its pilot hole."""
    reach = plate.slab.sheet_mm + split.joinery.deep_mm
    return max(length for length in SCREW_LENGTHS_MM if length <= max(reach, SCREW_LENGTHS_MM[0]))


def _rows(joint: Joint, split: Split) -> Sequence[Row]:
    plate = split.plates[joint.plate]
    low = np.concatenate(plate.rings).min(axis=0)
    length = screw_length_mm(split, plate)
    if joint.through:
        length = joint.through.length_mm
    screw = f"{split.joinery.screw} x {length:g}" if joint.spots else ""
    middles = {
        Join.SCREW: joint.spots,
        Join.THROUGH: joint.spots,
        Join.TAB: tuple(_middle(tab) for tab in joint.tabs),
        Join.GLUE: (_middle(joint.rings),),
        Join.EDGE: (_middle(joint.rings),),
    }[joint.join]
    return [
        Row(
            plate=joint.plate + 1,
            piece=joint.piece + 1,
            join=joint.join,
            at_mm=(float(spot[0] - low[0]), float(spot[1] - low[1])),
            screw=screw,
            passes=joint.through.piece + 1 if joint.through else None,
            why=joint.why or "",
        )
        for spot in middles
    ]


def _middle(rings: Sequence[Points2]) -> Points2:
    points = np.concatenate(list(rings))
    return np.asarray(0.5 * (points.min(axis=0) + points.max(axis=0)))
