"""What lies where on beds and sheets: the planner's view of the nest floor."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType

from fabsched.model.estimates import Estimate
from fabsched.model.project import Part
from fabsched.model.shop import Printer
from fabsched.nest.one_by_one import gap_of, in_order
from fabsched.nest.place import fits, layout_faults, nest
from fabsched.nest.poses import MITRE
from fabsched.nest.records import TURNS, Bin, Item, Layout, Placement, Ring

RESOLUTION_MM = 1.0
"""Side of a pixel; finer ones seldom let another part in."""

EFFORT = 5_000_000
"""Of the search for a layout of sheets: some hundredths of a second."""

BED_GAP_MM = 5.0
"""Room between two parts on a bed, so that the nozzle clears both (common practice)."""

Size = tuple[float, float]
"""x and y in mm."""

Known = Mapping[str, Estimate]
"""Estimates by part, of one machine."""


def outline_of(estimate: Estimate) -> Ring:
    """What a part covers: its silhouette, or its footprint where there is none."""
    x, y = estimate.footprint_mm
    return estimate.silhouette_mm or ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))


def covered_mm2(estimate: Estimate) -> float:
    """Area of a part seen from above, its openings left out."""
    return area_mm2(outline_of(estimate)) - sum(map(area_mm2, estimate.openings_mm))


def item_of(part: Part, estimate: Estimate, copies: int) -> Item:
    """A part as it is laid out."""
    return Item(
        id=part.id,
        outline=outline_of(estimate),
        count=copies,
        holes=estimate.openings_mm,
        turns_deg=part.lay_deg,
    )


def bed_of(printer: Printer) -> Bin:
    """The bed of a printer."""
    x_mm, y_mm, _ = printer.bed_mm
    return Bin(size_mm=(x_mm, y_mm), keep_out=printer.keep_out)


def together_on_bed(
    load: Sequence[tuple[Part, int]], known: Known, printer: Printer
) -> tuple[Placement, ...]:
    """Where copies of several parts lie on one bed, the group of them in its middle.

    Args:
        load: parts, and how many copies of each; those that find no room are left out.
        known: their estimates on this printer.
        printer: the machine. Where it prints part by part, they are in the order it prints them.
    """
    items = [_on_bed(item_of(part, known[part.id], copies), printer) for part, copies in load]
    bed, gap_mm = bed_of(printer), gap_of(printer, BED_GAP_MM)
    layout = nest(items, [bed], gap_mm, resolution_mm=RESOLUTION_MM)
    rows = in_rows(load, known, printer) if layout.unplaced else None
    placements = _centred(rows or layout.placements, items, bed, gap_mm)
    return in_order(placements, _heights_mm(known), printer)


def _on_bed(item: Item, printer: Printer) -> Item:
    """A part as it lies on a bed.

    Printed part by part, nothing stands in the opening of another one: the head would have to go
    down into it, or the carrier over what stands around.
    """
    return replace(item, holes=()) if printer.one_by_one else item


def _heights_mm(known: Known) -> dict[str, float]:
    return {part: estimate.height_mm or 0.0 for part, estimate in known.items()}


def in_rows(
    load: Sequence[tuple[Part, int]], known: Known, printer: Printer
) -> tuple[Placement, ...] | None:
    """Where copies lie in rows, each in its own rectangle; None if they do not fit like that.

    Quick, and enough for most beds: rectangles lie flat, the tallest first, each behind the last one
    or at the beginning of a new row (next fit by decreasing height: Coffman, Garey, Johnson and
    Tarjan, SIAM Journal on Computing 9(4), 1980). Not where something stays free on the bed, or a part
    may not be turned any way.
    """
    if printer.keep_out or printer.one_by_one or any(part.lay_deg for part, _ in load):
        return None
    boxes = [
        _flat(part.id, outline_of(known[part.id]), copy)
        for part, copies in load
        for copy in range(copies)
    ]
    return _rows(boxes, bed_of(printer).size_mm, BED_GAP_MM)


def _rows(
    boxes: Sequence[tuple[Placement, Size]], bed_mm: Size, gap_mm: float
) -> tuple[Placement, ...] | None:
    spots: list[Placement] = []
    x_mm = y_mm = row_mm = 0.0
    for spot, (wide, tall) in sorted(boxes, key=lambda box: -box[1][1]):
        if x_mm + wide > bed_mm[0]:
            x_mm, y_mm, row_mm = 0.0, y_mm + row_mm + gap_mm, 0.0
        if x_mm + wide > bed_mm[0] or y_mm + tall > bed_mm[1]:
            return None
        spots.append(_moved(spot, x_mm, y_mm))
        x_mm, row_mm = x_mm + wide + gap_mm, max(row_mm, tall)
    return tuple(spots)


def _flat(part: str, outline: Ring, copy: int) -> tuple[Placement, Size]:
    """A copy turned so that it is wider than tall, in the lower left corner, and its size."""
    points = np.array(outline, dtype=np.float64)
    wide, tall = np.ptp(points, axis=0)
    turn = 90.0 if tall > wide else 0.0
    spot = Placement(id=part, copy=copy, bin=0, x_mm=0.0, y_mm=0.0, turn_deg=turn)
    low_x, low_y = spot.outline_mm(outline).min(axis=0)
    return _moved(spot, -float(low_x), -float(low_y)), (
        float(max(wide, tall)),
        float(min(wide, tall)),
    )


def _centred(
    placements: tuple[Placement, ...], items: Sequence[Item], bed: Bin, gap_mm: float
) -> tuple[Placement, ...]:
    """The group in the middle of a bed, unless that brings it onto something that stays free."""
    if not placements:
        return ()
    outlines = {item.id: item.outline for item in items}
    points = np.concatenate([spot.outline_mm(outlines[spot.id]) for spot in placements])
    x_mm, y_mm = (np.array(bed.size_mm) - points.min(axis=0) - points.max(axis=0)) / 2
    moved = tuple(_moved(placement, float(x_mm), float(y_mm)) for placement in placements)
    if bed.keep_out and layout_faults(Layout(placements=moved), items, [bed], gap_mm):
        return placements
    return moved


def _moved(placement: Placement, x_mm: float, y_mm: float) -> Placement:
    return replace(placement, x_mm=placement.x_mm + x_mm, y_mm=placement.y_mm + y_mm)


def room(part: Part, estimate: Estimate, printer: Printer, most: int) -> int:
    """How many copies of a part lie on one bed, counted no further than `most`."""
    bed = bed_of(printer)
    if not fits(outline_of(estimate), bed.size_mm, turns=part.lay_deg or TURNS):
        return 0
    if most == 1 and not bed.keep_out:
        return 1
    return len(together_on_bed([(part, most)], {part.id: estimate}, printer))


def onto_sheets(
    items: Sequence[Item], sheet: Bin, *, gap_mm: float, rim_mm: float = 0.0, most: int = 0
) -> list[tuple[Placement, ...]] | None:
    """Where copies lie on each sheet; None if they do not fit.

    Args:
        items: what is laid out.
        sheet: every sheet.
        gap_mm: least distance of two parts.
        rim_mm: least distance of a part from the edge of the sheet.
        most: how many sheets there are; 0 for as many as there are copies.
    """
    count = most or sum(item.count for item in items)
    return onto_various(items, [sheet] * count, gap_mm=gap_mm, rim_mm=rim_mm)


def onto_various(
    items: Sequence[Item], sheets_mm: Sequence[Bin], *, gap_mm: float, rim_mm: float = 0.0
) -> list[tuple[Placement, ...]] | None:
    """Where copies lie on each of several sheets, up to the last one used; None if they do not fit.

    Args:
        items: what is laid out.
        sheets_mm: in the order they are filled.
        gap_mm: least distance of two parts.
        rim_mm: least distance of a part from the edge of a sheet.
    """
    bins = [inner(sheet, rim_mm) for sheet in sheets_mm]
    layout = nest(items, bins, gap_mm, resolution_mm=RESOLUTION_MM, effort=EFFORT)
    if layout.unplaced:
        return None
    sheets: list[list[Placement]] = [[] for _ in range(layout.bins)]
    for placement in layout.placements:
        sheets[placement.bin].append(_moved(placement, rim_mm, rim_mm))
    return [tuple(found) for found in sheets]


def inner(sheet: Bin, rim_mm: float) -> Bin:
    """A sheet without its rim; its coordinates begin where the rim ends."""
    wide, high = (side - 2 * rim_mm for side in sheet.size_mm)
    return Bin(
        size_mm=(wide, high),
        outline=_inset(sheet.outline, rim_mm) if sheet.outline else (),
        keep_out=tuple(_shifted(ring, rim_mm) for ring in sheet.keep_out),
    )


def _inset(outline: Ring, rim_mm: float) -> Ring:
    area = CrossSection([np.array(outline, dtype=np.float64)], FillRule.NonZero)
    pieces = area.offset(-rim_mm, JoinType.Miter, MITRE).decompose()
    largest = max(pieces, key=lambda piece: float(piece.area()), default=None)
    if largest is None:
        return outline
    ring = max(largest.to_polygons(), key=lambda points: float(np.ptp(points[:, 0])))
    return _shifted(tuple((float(x), float(y)) for x, y in ring), rim_mm)


def _shifted(ring: Ring, rim_mm: float) -> Ring:
    return tuple((x - rim_mm, y - rim_mm) for x, y in ring)


def area_mm2(outline: Ring) -> float:
    """Area of a border (the shoelace formula).

    >>> area_mm2(((0, 0), (4, 0), (4, 3)))
    6.0
    """
    points = np.array(outline, dtype=np.float64)
    x, y = points[:, 0], points[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)
