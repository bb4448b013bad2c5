"""Parts on one bed printed one after the other, each to its top, before the next one begins.

While a part is printed the ones before it stand at full height. Two things may hit them. The print head
reaches around the nozzle: so parts lie apart by at least that reach, since the nozzle runs along the
border of the next part. And whatever carries the head spans the bed at a fixed height above the tip of the
nozzle: so, when the next part begins at the bottom, everything that stands must be lower than that. Hence
the lower parts come first, and only the last one may be higher than the carrier passes.

That is more cautious than a machine needs whose carrier passes beside a part, since it asks nothing about
how the machine is built. The reach and the height have to be measured on the machine itself.
"""

from collections.abc import Sequence

from fabsched.model.shop import Printer
from fabsched.nest.records import Placement


def gap_of(printer: Printer, gap_mm: float) -> float:
    """Least distance of two parts on a bed.

    Args:
        printer: the machine.
        gap_mm: the distance when all parts grow together.
    """
    return max(gap_mm, printer.head_mm) if printer.one_by_one else gap_mm


def in_order(
    placements: Sequence[Placement], heights_mm: dict[str, float], printer: Printer
) -> tuple[Placement, ...]:
    """Copies in the order they are printed in: the lower ones first, from left to right.

    Copies that are higher than the carrier passes are left out, all but one.

    Args:
        placements: where they lie.
        heights_mm: by id.
        printer: the machine; if parts grow together, all stays as it is.
    """
    if not printer.one_by_one:
        return tuple(placements)
    ordered = sorted(placements, key=lambda p: (heights_mm[p.id], p.x_mm, p.y_mm))
    low = [p for p in ordered if heights_mm[p.id] <= printer.gantry_mm]
    return (*low, *ordered[len(low) : len(low) + 1])
