"""Whether a part fits a printer as it stands, and if not, in which other pose it would."""

import numpy as np

from fabsched.estimate.placing import Placed, fits, fits_volume, measures, place
from fabsched.estimate.resting import Hull, hull_of, resting_sides
from fabsched.estimate.rotation import rotation
from fabsched.estimate.turning import AS_DRAWN, Turn, turn_onto
from fabsched.model.errors import Fault, InputError
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer


def turns_of(hull: Hull) -> tuple[Turn, ...]:
    """The turn as drawn, then those that bring down each side a part can rest on."""
    turns = (turn_onto(side) for side in resting_sides(hull))
    return tuple(dict.fromkeys((AS_DRAWN, *turns)))


def check_fit(placed: Placed, drawn: Mesh, printer: Printer, where: str) -> None:
    """See that a part fits a printer in its pose, turned about the vertical as need be.

    What is smaller than a bead in all directions cannot be printed either.

    Args:
        placed: the part in its pose.
        drawn: the part as it was drawn, from which turns are counted.
        printer: the machine.
        where: name of the part.

    Raises:
        InputError: `SIZE_ABSURD` if it is too small, `PART_FITS_TURNED` if another pose would fit, else `PART_TOO_LARGE`.
    """
    least_mm, longest_mm = printer.build.bead_mm, max(placed.size_mm)
    if longest_mm < least_mm:
        shown, most_mm = float(f"{longest_mm:.4g}"), max(printer.bed_mm)
        raise InputError(Fault.SIZE_ABSURD, where, size=shown, low=least_mm, high=most_mm)
    if fits(placed, printer):
        return
    size, bed = measures(placed.size_mm), measures(printer.bed_mm)
    turn = fitting_turn(drawn, printer, where)
    if turn is None:
        raise InputError(Fault.PART_TOO_LARGE, where, size=size, machine=printer.name, bed=bed)
    angles = ", ".join(f"{degrees:g}" for degrees in turn)
    raise InputError(
        Fault.PART_FITS_TURNED, where, size=size, machine=printer.name, bed=bed, turn=angles
    )


def fitting_turn(drawn: Mesh, printer: Printer, where: str) -> Turn | None:
    """The first pose that fits, of those on which a part can rest; None if there is none."""
    hull = hull_of(place(drawn, where))
    for turn in turns_of(hull):
        corners = hull.corners @ rotation(turn).T
        x, y, z = (float(extent) for extent in np.ptp(corners, axis=0))
        if fits_volume(corners, (x, y, z), printer):
            return turn
    return None
