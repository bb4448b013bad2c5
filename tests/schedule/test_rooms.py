"""What the shop says about beds and sheets counts where parts are laid out."""

from collections import Counter
from dataclasses import replace

import numpy as np

from fabsched.model.estimates import Estimate, Route
from fabsched.model.project import Part
from fabsched.model.shop import Laser, Printer, Sheet, Shop
from fabsched.model.spread import Spread
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import outline_of, room, together_on_bed
from fabsched.schedule.sheets import LaidSheet, cut_sheets

PRINTER = Printer(id="printer", name="P", place="home", bed_mm=(200.0, 200.0, 200.0))
LASER = Laser(id="laser", name="L", place="home", bed_mm=(600.0, 400.0))
CORNER = ((0.0, 0.0), (110.0, 0.0), (110.0, 110.0), (0.0, 110.0))
PART = Part(id="block", name="Block", file="block.stl", copies=4)
PLATE = Part(
    id="plate",
    name="Plate",
    file="plate.dxf",
    route=Route.CUT,
    material="plywood",
    thickness_mm=3.0,
)


def estimate(side: float, height_mm: float | None = 20.0) -> Estimate:
    """A square block or plate."""
    return Estimate(
        route=Route.PRINT,
        machine="printer",
        stock="PLA",
        seconds=Spread(60, 60, 60),
        breakdown_s={},
        cost=None,
        footprint_mm=(side, side),
        height_mm=height_mm,
    )


def laid(
    part: Part, side: float, sheets: tuple[Sheet, ...], laser: Laser = LASER
) -> list[LaidSheet]:
    """What is cut of one square part."""
    shop = Shop(lasers=(laser,), sheets=sheets)
    known = {part.id: {laser.id: estimate(side)}}
    return list(cut_sheets([part], known, shop, Namer([part.id]))[0])


def stocked(ident: str, size_mm: tuple[float, float]) -> Sheet:
    """A sheet of plywood."""
    return Sheet(id=ident, material="plywood", thickness_mm=3.0, size_mm=size_mm)


def test_nothing_is_printed_where_a_bed_stays_free() -> None:
    """A quarter of the bed gone, three quarters of the copies are left."""
    assert room(PART, estimate(90), PRINTER, 4) == 4
    kept = replace(PRINTER, keep_out=(CORNER,))
    assert room(PART, estimate(85), kept, 4) == 3
    assert room(PART, estimate(150), kept, 1) == 0
    for spot in together_on_bed([(PART, 3)], {"block": estimate(85)}, kept):
        low = spot.outline_mm(outline_of(estimate(85))).min(axis=0)
        assert (low >= 110).any()


def test_one_by_one_there_is_room_for_the_head_and_one_tall_part() -> None:
    """Four low blocks lie apart by the reach; of tall ones there is one."""
    slow = replace(PRINTER, one_by_one=True, head_mm=40.0, gantry_mm=25.0)
    assert room(PART, estimate(80), slow, 4) == 4
    assert room(PART, estimate(85), slow, 4) < 4
    assert room(PART, estimate(80, 30.0), slow, 4) == 1


def test_a_part_along_the_grain_is_not_turned() -> None:
    """A strip as long as the bed is deep does not fit across."""
    strip = replace(PART, lay_deg=(0.0, 180.0), copies=1)
    long = replace(estimate(10), footprint_mm=(150.0, 10.0))
    narrow = replace(PRINTER, bed_mm=(100.0, 200.0, 200.0))
    assert room(replace(strip, lay_deg=()), long, narrow, 1) == 1
    assert room(strip, long, narrow, 1) == 0


def test_the_smallest_offcut_that_will_do_is_taken() -> None:
    """Once; the next sheet is a whole one again, and no sheet more is cut for it."""
    whole = replace(stocked("whole", (600.0, 400.0)), count=5)
    half = stocked("half", (300.0, 400.0))
    triangle = ((0.0, 0.0), (200.0, 0.0), (0.0, 200.0))
    corner = replace(stocked("corner", (200.0, 200.0)), outline=triangle)
    (small,) = laid(PLATE, 80.0, (whole, half, corner))
    assert (small.stock, small.outline) == ("corner", corner.outline)
    (larger,) = laid(PLATE, 150.0, (whole, half, corner))
    assert (larger.stock, larger.size_mm) == ("half", (300.0, 400.0))
    many = laid(replace(PLATE, copies=4), 290.0, (whole, half, corner))
    assert Counter(sheet.stock for sheet in many) == {"whole": 2}


def test_clamps_on_the_laser_are_kept_clear_of() -> None:
    """A plate as large as the bed has no room; a smaller one lies beside."""
    clamped = replace(LASER, keep_out=(((0.0, 0.0), (50.0, 0.0), (50.0, 400.0), (0.0, 400.0)),))
    (sheet,) = laid(replace(PLATE, copies=1), 300.0, (), clamped)
    ring = sheet.placements[0].outline_mm(outline_of(estimate(300.0)))
    assert np.ptp(ring, axis=0).tolist() == [300.0, 300.0]
    assert ring[:, 0].min() >= 50.0
    assert sheet.keep_out == clamped.keep_out


def test_offcuts_make_up_for_a_sheet_that_is_not_in_stock() -> None:
    """Three plates, room for two on the one whole sheet: the third lies on the offcut, once."""
    whole, rest = stocked("whole", (600.0, 300.0)), stocked("rest", (295.0, 300.0))
    sheets = laid(replace(PLATE, copies=3), 290.0, (whole, rest))
    assert [(s.stock, len(s.placements)) for s in sheets] == [("whole", 2), ("rest", 1)]
    five = laid(replace(PLATE, copies=5), 290.0, (whole, rest))
    assert sum(len(s.placements) for s in five) == 5
    assert sum(s.stock == "rest" for s in five) == 1
