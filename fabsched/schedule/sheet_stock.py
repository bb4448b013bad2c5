"""Which sheets there are for a pile: the usual ones, offcuts, and the bed itself where there are none."""

import math
from dataclasses import replace

from fabsched.model.shop import Sheet
from fabsched.nest.records import Bin
from fabsched.schedule.nesting import area_mm2
from fabsched.schedule.piles import Cutting, Pile


def bed_of(cutting: Cutting, pile: Pile) -> Bin:
    """A sheet as large as what every laser of a pile takes, with all that stays free on any."""
    lasers = cutting.lasers(pile)
    return Bin(
        size_mm=(min(x.bed_mm[0] for x in lasers), min(x.bed_mm[1] for x in lasers)),
        keep_out=tuple(ring for laser in lasers for ring in laser.keep_out),
    )


def usual_sheet(cutting: Cutting, pile: Pile) -> tuple[Bin, str]:
    """The largest rectangular sheet of that kind, as far as it lies on the bed, and its id.

    The bed itself if there is none.
    """
    bed = bed_of(cutting, pile)
    kinds = [sheet for sheet in in_stock(cutting, pile) if not sheet.outline]
    if not kinds:
        return bed, ""
    largest = max(kinds, key=stock_mm2)
    x, y = (min(pair) for pair in zip(largest.size_mm, bed.size_mm, strict=True))
    return replace(bed, size_mm=(x, y)), largest.id


def in_stock(cutting: Cutting, pile: Pile) -> list[Sheet]:
    """Sheets of the kind a pile needs."""
    return [
        sheet
        for sheet in cutting.shop.sheets
        if sheet.material == pile.material and _as_thick(sheet.thickness_mm, pile.thickness_mm)
    ]


def _as_thick(sheet_mm: float, part_mm: float | None) -> bool:
    return part_mm is None or math.isclose(sheet_mm, part_mm, abs_tol=1e-6)


def stock_mm2(sheet: Sheet) -> float:
    """Area of a sheet in stock."""
    return area_mm2(sheet.outline) if sheet.outline else math.prod(sheet.size_mm)


def on_bed(stock: Sheet, bed: Bin) -> Bin | None:
    """A sheet as far as it lies on the bed; None for an offcut that is larger."""
    if not stock.outline:
        x, y = (min(pair) for pair in zip(stock.size_mm, bed.size_mm, strict=True))
        return replace(bed, size_mm=(x, y))
    lies = all(side <= most for side, most in zip(stock.size_mm, bed.size_mm, strict=True))
    return replace(bed, size_mm=stock.size_mm, outline=stock.outline) if lies else None
