"""A ladder of test cuts: the same square at graded feeds, and what its outcome means.

Squares of one size are cut on their lines, each at a feed of its own. The fastest that falls out
tells the feed. A beam of width k on the line leaves a square of a - k and a hole of a + k, so that
k = (hole - square) / 2 whatever a is (identity of the kerf).
"""

from dataclasses import dataclass
from datetime import date

from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.materials import CutSetting
from fabsched.model.spread import Spread

SQUARE_MM = 10.0
"""Side of every square for feeds, as drawn: large enough for a calliper, small enough to waste little."""
KERFS_MM = tuple(round(0.05 * step, 2) for step in range(1, 10))
"""Kerfs of the second row: 0.08 to 0.45 mm are met (cutlasercut.com, "What is laser kerf")."""
ODD_SHARE = 0.03
"""Share by which the mean of square and hole may miss the side as drawn; more is no kerf but a
machine out of scale or a slip of the calliper (our own choice)."""
WIDEST_MM = 3.0
"""Kerfs wider than this are a slip of the calliper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """A test cut for one sheet under one laser.

    Attributes:
        laser: id of the machine.
        power_w: its power.
        material: id of the sheet material.
        thickness_mm: of the sheet.
        feeds_mm_s: of the squares, ascending.
        pierce_s: time to get through.
        passes: how often each line is run over.
        kerf_mm: what is taken for the kerf until it is measured.
    """

    laser: str
    power_w: float
    material: str
    thickness_mm: float
    feeds_mm_s: tuple[float, ...]
    pierce_s: float
    passes: int
    kerf_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What somebody saw after cutting a ladder.

    Attributes:
        fell: number of the fastest square that fell out, from 1; 0 if none did.
        square_mm, hole_mm: that square and its hole as measured; None if nobody measured.
        fits: number of the narrowest hole of the second row that square goes into; None if nobody
            tried. Its kerf is the mean of that square's and of the slowest feed's.
        day: when it was cut.
    """

    fell: int
    day: date
    square_mm: float | None = None
    hole_mm: float | None = None
    fits: int | None = None


def setting_of(
    ladder: Ladder, outcome: Outcome, where: str
) -> tuple[CutSetting, tuple[Finding, ...]]:
    """The cut setting that follows from an outcome.

    The highest feed is that of the fastest square that fell out, the usual one a step below it and
    the lowest two steps: a sheet that varies and a lens that gets dirty are still cut (the margin is
    our own choice).

    Args:
        ladder: what was cut.
        outcome: what was seen.
        where: the ladder's file, for errors and findings.

    Raises:
        InputError: no square fell out, or a figure cannot be.
    """
    feeds = ladder.feeds_mm_s
    if outcome.fell == 0:
        slower = f"{feeds[0] / 2:.3g}"
        raise InputError(Fault.NONE_FELL_OUT, where, feed=slower, passes=ladder.passes + 1)
    _check_number(outcome.fell, len(feeds), f"{where}: --fell")
    low, likely, high = (feeds[max(0, outcome.fell - step)] for step in (3, 2, 1))
    kerf_mm = _kerf_mm(outcome, where)
    setting = CutSetting(
        thickness_mm=ladder.thickness_mm,
        power_w=ladder.power_w,
        feed_mm_s=Spread(low, likely, high),
        pierce_s=ladder.pierce_s,
        passes=ladder.passes,
        kerf_mm=ladder.kerf_mm if kerf_mm is None else kerf_mm,
        source=f"own test cut {outcome.day.isoformat()}",
        measured=outcome.day,
    )
    return setting, _remarks(ladder, outcome, kerf_mm, where)


def _remarks(
    ladder: Ladder, outcome: Outcome, kerf_mm: float | None, where: str
) -> tuple[Finding, ...]:
    """What the outcome leaves open: a faster feed, and the kerf."""
    found = []
    if outcome.fell == len(ladder.feeds_mm_s):
        feed = f"{ladder.feeds_mm_s[-1]:g}"
        found.append(Finding(code=Remark.LADDER_TOO_SLOW, where=where, facts={"feed": feed}))
    if kerf_mm is None:
        facts = {"what": "kerf", "value": f"{ladder.kerf_mm:g} mm"}
        found.append(Finding(code=Remark.SETTING_BY_DEFAULT, where=where, facts=facts))
    return tuple(found)


def _check_number(number: int, most: int, where: str) -> None:
    if not 1 <= number <= most:
        raise InputError(Fault.FIELD_OUT_OF_RANGE, where, value=number, low=1, high=most)


def _kerf_mm(outcome: Outcome, where: str) -> float | None:
    """By calliper, else by what fits; None if neither was told."""
    if outcome.square_mm is not None and outcome.hole_mm is not None:
        return kerf_mm(outcome.square_mm, outcome.hole_mm, where)
    if outcome.square_mm is not None or outcome.hole_mm is not None:
        raise InputError(Fault.FIELD_MISSING, where, example="--square 9.8 --hole 10.2")
    if outcome.fits is None:
        return None
    _check_number(outcome.fits, len(KERFS_MM), f"{where}: --fits")
    return KERFS_MM[outcome.fits - 1]


def kerf_mm(square_mm: float, hole_mm: float, where: str, drawn_mm: float = SQUARE_MM) -> float:
    """The kerf from a square and its hole, k = (hole - square) / 2.

    Args:
        square_mm: side of the square that fell out, as measured.
        hole_mm: side of the hole it left.
        where: for errors.
        drawn_mm: side as drawn.

    Raises:
        InputError: the two do not go with what was drawn.
    """
    kerf = (hole_mm - square_mm) / 2
    off = abs((hole_mm + square_mm) / 2 / drawn_mm - 1)
    if not (0 <= kerf <= WIDEST_MM and off <= ODD_SHARE):
        facts = {"square": f"{square_mm:g}", "hole": f"{hole_mm:g}", "drawn": f"{drawn_mm:g}"}
        raise InputError(Fault.MEASURED_ODD, where, **facts)
    return round(kerf, 4)
