"""From chosen numbers to plates: those that are there, and those the part is changed for.

Plates are numbered in the order in which they are found, what can be adopted is numbered on from them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.advise.plates.adopting import Change, adopted
from fabsched.advise.plates.contact_records import disc
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import area_of
from fabsched.advise.plates.placing import deepest
from fabsched.advise.plates.slabs import Found, NearMiss, Slab
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh

SAME_WAY = 1.0 - 1e-6
"""Cosine from which normals are those of one slab."""

Place = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Chosen:
    """A part ready to be taken apart.

    Attributes:
        mesh: the part, changed for what is adopted.
        slabs: the plates to cut, the largest first.
        numbers: of each.
        changes: what adopting changed, each with the number of its plate.
    """

    mesh: Mesh
    slabs: tuple[Slab, ...]
    numbers: tuple[int, ...]
    changes: tuple[tuple[int, Change], ...] = ()


@dataclass(slots=True)
class _Mark:
    """A place inside a slab by which it is known again."""

    number: int
    at: Place
    normal: Place

    def lies_in(self, slab: Slab) -> bool:
        """Whether it is this slab."""
        if abs(float(slab.frame.axes[2] @ self.normal)) < SAME_WAY:
            return False
        x, y, z = slab.frame.into(self.at[None, :])[0]
        if not slab.low_mm < z < slab.high_mm:
            return False
        return not (area_of(slab.rings) ^ disc(np.array([x, y]), 1e-3)).is_empty()


def chosen(
    mesh: Mesh, found: Found, pick: Sequence[int], sheets_mm: Sequence[float], where: str
) -> Chosen:
    """The plates of some numbers, the part changed where one of them has to be adopted.

    Args:
        mesh: the part.
        found: its plates, and what comes close.
        pick: numbers.
        sheets_mm: thicknesses that can be had.
        where: name of the part, for errors.

    Raises:
        InputError: changing the part for one plate loses another, or its surface is not closed.
    """
    count = len(found.slabs)
    if all(number < count for number in pick):
        slabs = tuple(found.slabs[number] for number in sorted(pick))
        return Chosen(mesh=mesh, slabs=slabs, numbers=tuple(sorted(pick)))
    marks = [_mark(number, _slab_of(found, number)) for number in pick]
    changes: list[tuple[int, Change]] = []
    now = found
    for mark in (mark for mark in marks if mark.number >= count):
        sheet_mm = found.adoptable[mark.number - count].slab.sheet_mm
        miss = next((m for m in now.adoptable if _is(m, mark, sheet_mm)), None)
        if miss is not None:
            new = adopted(mesh, miss, where=where)
            mesh, now = new.mesh, find_plates(new.mesh, sheets_mm)
            changes += [(mark.number, change) for change in new.changes]
            for each in marks:
                each.at = new.moved(each.at)
    return _known_again(mesh, now, marks, changes, where)


def _is(miss: NearMiss, mark: _Mark, sheet_mm: float) -> bool:
    return miss.slab.sheet_mm == sheet_mm and mark.lies_in(miss.slab)


def _slab_of(found: Found, number: int) -> Slab:
    count = len(found.slabs)
    return found.slabs[number] if number < count else found.adoptable[number - count].slab


def _mark(number: int, slab: Slab) -> _Mark:
    x, y = deepest(area_of(slab.rings))
    inside = np.array([[x, y, 0.5 * (slab.low_mm + slab.high_mm)]])
    return _Mark(number, slab.frame.back(inside)[0], slab.frame.axes[2])


def _known_again(
    mesh: Mesh,
    now: Found,
    marks: Sequence[_Mark],
    changes: Sequence[tuple[int, Change]],
    where: str,
) -> Chosen:
    """The plates the marks lie in, in the part as it is now.

    Raises:
        InputError: one of them is no plate any more, or two are one.
    """
    known: dict[int, int] = {}
    for mark in marks:
        place = next((n for n, slab in enumerate(now.slabs) if mark.lies_in(slab)), None)
        if place is None or place in known:
            raise InputError(Fault.PLATE_LOST, where, number=mark.number + 1)
        known[place] = mark.number
    places = sorted(known)
    return Chosen(
        mesh=mesh,
        slabs=tuple(now.slabs[place] for place in places),
        numbers=tuple(known[place] for place in places),
        changes=tuple(changes),
    )
