"""How many fit: the planner's view of the nest floor."""

import math

from fabsched.model.estimates import Estimate

Outline = tuple[tuple[float, float], ...]
"""A closed polygon in mm."""


def outline_of(estimate: Estimate) -> Outline:
    """What a part covers: its silhouette, or its footprint where there is none."""
    x, y = estimate.footprint_mm
    return estimate.silhouette_mm or ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))


def _extent(outline: Outline) -> tuple[float, float]:
    xs, ys = zip(*outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def room(outline: Outline, bed_mm: tuple[float, float], gap_mm: float, most: int) -> int:
    """How many copies lie on a bed, at least one and no more than `most`."""
    across, along = (
        math.floor((bed + gap_mm) / (part + gap_mm))
        for bed, part in zip(bed_mm, _extent(outline), strict=True)
    )
    return max(1, min(most, across * along))


def onto_sheets(
    outlines: list[Outline], sheet_mm: tuple[float, float], gap_mm: float
) -> list[list[int]]:
    """Indices of the outlines on each sheet, in shelves of their bounding boxes."""
    sheets: list[list[int]] = []
    x = y = shelf = 0.0
    for i in sorted(range(len(outlines)), key=lambda i: (-_extent(outlines[i])[1], i)):
        wide, high = _extent(outlines[i])
        if x + wide > sheet_mm[0]:
            x, y, shelf = 0.0, y + shelf + gap_mm, 0.0
        if not sheets or y + high > sheet_mm[1]:
            sheets.append([])
            x = y = shelf = 0.0
        sheets[-1].append(i)
        x, shelf = x + wide + gap_mm, max(shelf, high)
    return sheets
