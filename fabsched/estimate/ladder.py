"""Ladders of test cuts: which feeds, the lines to be cut, and how long that takes.

Two rows of squares in one strip. The upper ones are alike, each cut at a feed of its own. The lower
ones, all at the slowest feed, are smaller by twice a kerf each, so that the square that fell out
tells the kerf without a calliper, by the narrowest hole it goes into. As many notches as the number
of a square are scored below it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabsched.estimate.cut_settings import CutSpeeds, cut_speeds
from fabsched.estimate.cutting import run_s
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.ladder import KERFS_MM, SQUARE_MM, Ladder
from fabsched.model.materials import CutSetting, Cutting, SheetMaterial
from fabsched.model.operations import Operation
from fabsched.model.shapes import Outline
from fabsched.model.shop import Laser
from fabsched.model.spread import Spread

R20 = (
    *(1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8),
    *(3.15, 3.55, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0),
)
"""Preferred numbers of ISO 3 (from memory): steps of an eighth; every other one is R10."""
RUNGS = 9
"""Squares of a ladder; with R20 from 0.63 to 1.6 times the guess, with R10 from 0.4 to 2.5."""
LEAST_GAP_MM = 5.0
"""Least material between squares; never less than the sheet is thick."""
NOTCH_MM = 2.0
NOTCH_STEP_MM = 1.0
USUAL_PIERCE_S = 0.5
USUAL_KERF_MM = 0.2
"""What is taken where nothing at all is known of a material (within the spans of the tables)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rung:
    """Lines that are run over with the same setting.

    Attributes:
        layer: its name in files, which begins with what is done and tells the feed.
        operation: what is done.
        speeds: how.
        outlines: in order; cuts lie on their lines, without kerf.
    """

    layer: str
    operation: Operation
    speeds: CutSpeeds
    outlines: tuple[Outline, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnLadder:
    """A ladder ready to be cut.

    Attributes:
        ladder: what is tried.
        size_mm: of the strip.
        rungs: in the order they are cut: notches, squares from slow to fast, the border.
        seconds: machine time.
        findings: what had to be guessed.
    """

    ladder: Ladder
    size_mm: tuple[float, float]
    rungs: tuple[Rung, ...]
    seconds: float
    findings: tuple[Finding, ...]


def drawn_ladder(
    laser: Laser,
    material: SheetMaterial,
    thickness_mm: float,
    *,
    where: str,
    feed_mm_s: float | None = None,
    passes: int | None = None,
) -> DrawnLadder:
    """A ladder around what is known.

    Args:
        laser: the machine.
        material: of the sheet.
        thickness_mm: of the sheet.
        where: for errors and findings.
        feed_mm_s: the middle feed; None takes the table's, or a first guess from it.
        passes: how often each line is run over; None takes the table's.

    Raises:
        InputError: the material must not be cut, nothing is known of it and no feed was given, or
            the strip does not fit the bed.
    """
    speeds = _speeds(laser, material, thickness_mm, feed_mm_s, where)
    if passes is not None:
        speeds = replace(speeds, passes=passes)
    guessed = any(f.code is not Remark.MATERIAL_DISPUTED for f in speeds.findings)
    middle = feed_mm_s or speeds.feed_mm_s.likely
    ladder = Ladder(
        laser=laser.id,
        power_w=laser.power_w,
        material=material.id,
        thickness_mm=thickness_mm,
        feeds_mm_s=graded(middle, laser.travel_mm_s, step=2 if guessed else 1),
        pierce_s=round(speeds.pierce_s, 3),
        passes=speeds.passes,
        kerf_mm=speeds.kerf_mm,
    )
    size_mm = _size_mm(ladder)
    _check_fits(size_mm, laser, where)
    rungs = tuple(_rungs(ladder, speeds, size_mm))
    seconds = sum(run_s(rung.outlines, laser, rung.speeds) for rung in rungs)
    return DrawnLadder(
        ladder=ladder, size_mm=size_mm, rungs=rungs, seconds=seconds, findings=speeds.findings
    )


def graded(middle_mm_s: float, most_mm_s: float, *, step: int) -> tuple[float, ...]:
    """Preferred numbers around a feed, ascending, none above what the machine can.

    >>> graded(12.5, 200.0, step=1)
    (8.0, 9.0, 10.0, 11.2, 12.5, 14.0, 16.0, 18.0, 20.0)
    """
    series = len(R20) // step
    nearest = round(math.log10(middle_mm_s) * series)
    places = (step * (nearest + rung - RUNGS // 2) for rung in range(RUNGS))
    feeds = [float(f"{R20[p % len(R20)] * 10.0 ** (p // len(R20)):.3g}") for p in places]
    able = tuple(feed for feed in feeds if feed <= most_mm_s)
    return able or (most_mm_s,)


def _speeds(
    laser: Laser, material: SheetMaterial, thickness_mm: float, feed_mm_s: float | None, where: str
) -> CutSpeeds:
    """The table's, or for a material without any the feed that was given."""
    if not material.settings and feed_mm_s is None and material.cutting is not Cutting.FORBIDDEN:
        raise InputError(Fault.FEED_NEEDED, where, material=material.id)
    if material.settings or feed_mm_s is None:
        return cut_speeds(laser, material, thickness_mm, where=where)
    bare = CutSetting(
        thickness_mm=thickness_mm,
        power_w=laser.power_w,
        feed_mm_s=Spread.exactly(feed_mm_s),
        pierce_s=USUAL_PIERCE_S,
        passes=1,
        kerf_mm=USUAL_KERF_MM,
    )
    speeds = cut_speeds(laser, replace(material, settings=(bare,)), thickness_mm, where=where)
    facts = {"what": f"feed for {material.id}", "value": f"{feed_mm_s:g} mm/s"}
    told = Finding(code=Remark.SETTING_BY_DEFAULT, where=where, facts=facts)
    return replace(speeds, findings=(*speeds.findings, told))


def _gap_mm(ladder: Ladder) -> float:
    return max(LEAST_GAP_MM, ladder.thickness_mm)


def _size_mm(ladder: Ladder) -> tuple[float, float]:
    gap_mm = _gap_mm(ladder)
    count = max(len(ladder.feeds_mm_s), len(KERFS_MM))
    return count * (SQUARE_MM + gap_mm) + gap_mm, 2 * (SQUARE_MM + gap_mm) + gap_mm


def _check_fits(size_mm: tuple[float, float], laser: Laser, where: str) -> None:
    needed, bed = sorted(size_mm), sorted(laser.bed_mm)
    if any(side > room for side, room in zip(needed, bed, strict=True)):
        raise InputError(
            Fault.PART_TOO_LARGE,
            where,
            size=f"{size_mm[0]:g} x {size_mm[1]:g}",
            bed=f"{laser.bed_mm[0]:g} x {laser.bed_mm[1]:g}",
            machine=laser.name,
        )


def _rungs(ladder: Ladder, speeds: CutSpeeds, size_mm: tuple[float, float]) -> Iterator[Rung]:
    yield Rung(
        layer="score",
        operation=Operation.SCORE,
        speeds=speeds,
        outlines=tuple(_notches(ladder)),
    )
    kerf_row = [_square(ladder, 0, i, SQUARE_MM - 2 * k) for i, k in enumerate(KERFS_MM)]
    for place, feed in enumerate(ladder.feeds_mm_s):
        squares = [_square(ladder, 1, place, SQUARE_MM), *(kerf_row if place == 0 else ())]
        yield _cut(f"cut-{feed:g}", speeds, feed, squares)
    border = _ring(0.0, 0.0, *size_mm)
    yield _cut("cut-border", speeds, ladder.feeds_mm_s[0], [border])


def _cut(layer: str, speeds: CutSpeeds, feed_mm_s: float, outlines: list[Outline]) -> Rung:
    return Rung(
        layer=layer,
        operation=Operation.CUT,
        speeds=replace(speeds, feed_mm_s=Spread.exactly(feed_mm_s)),
        outlines=tuple(outlines),
    )


def _corner_mm(ladder: Ladder, row: int, place: int) -> tuple[float, float]:
    """Lower left corner of the room of a square; row 0 is the lower one."""
    gap_mm = _gap_mm(ladder)
    return gap_mm + place * (SQUARE_MM + gap_mm), gap_mm + row * (SQUARE_MM + gap_mm)


def _square(ladder: Ladder, row: int, place: int, side_mm: float) -> Outline:
    x_mm, y_mm = _corner_mm(ladder, row, place)
    inset_mm = (SQUARE_MM - side_mm) / 2
    return _ring(x_mm + inset_mm, y_mm + inset_mm, side_mm, side_mm)


def _ring(x_mm: float, y_mm: float, wide_mm: float, high_mm: float) -> Outline:
    corners = [
        (x_mm, y_mm),
        (x_mm + wide_mm, y_mm),
        (x_mm + wide_mm, y_mm + high_mm),
        (x_mm, y_mm + high_mm),
    ]
    return Outline(np.array(corners, dtype=np.float64), closed=True)


def _notches(ladder: Ladder) -> Iterator[Outline]:
    """Short scored lines below every square, as many as its number."""
    for row, count in ((1, len(ladder.feeds_mm_s)), (0, len(KERFS_MM))):
        for place in range(count):
            x_mm, y_mm = _corner_mm(ladder, row, place)
            first_mm = x_mm + (SQUARE_MM - place * NOTCH_STEP_MM) / 2
            low_mm = y_mm - (_gap_mm(ladder) + NOTCH_MM) / 2
            for notch in range(place + 1):
                at_mm = first_mm + notch * NOTCH_STEP_MM
                line = np.array([[at_mm, low_mm], [at_mm, low_mm + NOTCH_MM]])
                yield Outline(line, closed=False, operation=Operation.SCORE)
