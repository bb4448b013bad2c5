"""Where the names of bodies stand in a picture: on them where there is room, else beside them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.files.exploded_look import Look

COARSE = 4
"""Pixels looked at together."""
ON = 0.75
"""Half the room a name needs, in heights of its letters, for each of them a quarter more."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """The place of a name.

    Attributes:
        at_mm: (2,) its middle.
        points_mm: (2,) the place on the body it means; None where it stands there.
    """

    at_mm: NDArray[np.float64]
    points_mm: NDArray[np.float64] | None


def labels_of(look: Look, names: list[str], letter_mm: float) -> list[Label | None]:
    """Places for the names of all bodies; None for a body that is hidden by others.

    Args:
        look: what is seen.
        names: of the bodies.
        letter_mm: height of letters.
    """
    body = look.body[COARSE // 2 :: COARSE, COARSE // 2 :: COARSE]
    step_mm = COARSE * look.mm_px
    empty = np.pad(body < 0, 1)[1:-1, 1:-1]
    found: list[Label | None] = []
    for number, name in enumerate(names):
        half = letter_mm * (ON + 0.25 * (len(name) - 1)) / step_mm
        label, taken = _placed(look, body == number, empty, half)
        found.append(label)
        if taken is not None:
            empty &= ~_around(empty.shape, taken, 2.0 * half)
    return found


def _placed(
    look: Look, mask: Mask, empty: Mask, half: float
) -> tuple[Label | None, tuple[int, int] | None]:
    """The place of one name, and what of the empty part it takes."""
    if not mask.any():
        return None, None
    deep = depths(mask)
    row, column = _peak(deep)
    anchor = look.at(row * COARSE + COARSE // 2, column * COARSE + COARSE // 2)
    if deep[row, column] > half:
        return Label(anchor, None), None
    room = depths(empty) > half
    if not room.any():
        return Label(anchor, None), None
    rows, columns = np.nonzero(room)
    nearest = int(((rows - row) ** 2 + (columns - column) ** 2).argmin())
    taken = int(rows[nearest]), int(columns[nearest])
    at = look.at(taken[0] * COARSE + COARSE // 2, taken[1] * COARSE + COARSE // 2)
    return Label(at, anchor), taken


def depths(mask: Mask) -> NDArray[np.int64]:
    """How many steps, along rows, columns or both, each place of a mask is from what is outside it.

    >>> depths(np.array([[True, True, True], [True, True, True], [True, True, False]])).tolist()
    [[1, 1, 1], [1, 1, 1], [1, 1, 0]]
    """
    found = np.zeros(mask.shape, np.int64)
    left = mask
    while left.any():
        found += left
        wide = np.pad(left, 1)
        down = wide[:-2] & wide[1:-1] & wide[2:]
        left = down[:, :-2] & down[:, 1:-1] & down[:, 2:]
    return found


def _peak(deep: NDArray[np.int64]) -> tuple[int, int]:
    """The middle one of the deepest places."""
    rows, columns = np.nonzero(deep == deep.max())
    away = (rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2
    best = int(away.argmin())
    return int(rows[best]), int(columns[best])


def _around(shape: tuple[int, ...], place: tuple[int, int], reach: float) -> Mask:
    rows, columns = np.ogrid[: shape[0], : shape[1]]
    return np.asarray((np.abs(rows - place[0]) < reach) & (np.abs(columns - place[1]) < reach))
