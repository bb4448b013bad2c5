"""The cut parts of the sample project: they fit the sheet, each other and the printed parts."""

import io
import math

import ezdxf.filemanagement
import pytest
from svgelements import SVG, Path

from tests.sample import sheets
from tests.sample.solids import FIT, around

HOLES = sheets.base_plate().holes


def centres(diameter: float) -> list[tuple[float, float]]:
    """Where the base plate has holes of that size."""
    return [centre for centre, size in HOLES if size == diameter]


def test_every_rod_and_screw_of_the_printed_parts_has_its_hole() -> None:
    """Four feet, three rods of the screen, three of the funnel and one spare: eleven holes."""
    wanted = [
        *sheets.FOOT_HOLES,
        *sheets.moved(around(FIT.screen_circle), sheets.SCREEN_CENTRE),
        *sheets.moved(around(FIT.funnel_circle, start_deg=30.0), sheets.FUNNEL_CENTRE),
    ]
    drilled = centres(FIT.rod_hole)
    assert all(min(math.dist(point, hole) for hole in drilled) < 1e-9 for point in wanted)
    assert len(drilled) == len(wanted) + 1 == 11


def test_feet_stand_under_the_plate_and_clear_of_every_other_hole() -> None:
    """A foot of radius 15 stays inside 340 x 220 mm and covers no hole but its own."""
    others = [(centre, size) for centre, size in HOLES if centre not in sheets.FOOT_HOLES]
    for x, y in sheets.FOOT_HOLES:
        assert abs(x) + 15 <= 170
        assert abs(y) + 15 <= 110
        assert all(math.dist((x, y), hole) > 15 + size / 2 for hole, size in others)


def test_screen_and_funnel_stand_apart_and_in_front_of_the_panel() -> None:
    """The funnel's rim (81.7 mm) clears the louvres (50 mm) and the panel in its slots."""
    apart = math.dist(sheets.SCREEN_CENTRE, sheets.FUNNEL_CENTRE)
    assert apart > 81.7 + 50
    assert 101.0 - 1.6 - sheets.FUNNEL_CENTRE[1] > 81.7


def test_tabs_of_the_panel_slide_into_the_slots_of_the_plate() -> None:
    """Each tab meets a slot 0.4 mm longer than it and 0.2 mm wider than 3 mm plywood.

    Half a millimetre decides a slide-in fit (common practice).
    """
    slots = [sorted({x for x, _, _ in loop}) for loop in sheets.base_plate().loops[1:]]
    foot = sorted(x for x, y, _ in sheets.back_panel().loops[0] if y == 0)
    tabs = [foot[:2], foot[2:]]
    for slot, tab in zip(sorted(slots), tabs, strict=True):
        assert slot[0] == pytest.approx(tab[0] - 0.2)
        assert slot[1] == pytest.approx(tab[1] + 0.2)
    widths = {round(loop[2][1] - loop[0][1], 6) for loop in sheets.base_plate().loops[1:]}
    assert widths == {3.2}


def test_drawn_plate_has_the_cut_length_of_its_closed_form() -> None:
    """DXF: rectangle with round corners, slots and circles, measured by the reading library."""
    read = ezdxf.filemanagement.read(io.StringIO(sheets.dxf(sheets.base_plate()).decode()))
    circles = sum(2 * math.pi * e.dxf.radius for e in read.modelspace().query("CIRCLE"))
    assert circles == pytest.approx(math.pi * (11 * 4.3 + 16.0 + 10.0))
    assert read.units == ezdxf.units.MM
    assert len(read.modelspace().query("LWPOLYLINE")) == 3


def test_drawn_panel_has_the_cut_length_of_its_closed_form() -> None:
    """SVG: straight sides, round corners, vents with half-round ends and circles."""
    drawing = SVG.parse(io.BytesIO(sheets.svg(sheets.back_panel())), ppi=25.4)
    paths = [Path(shape) for shape in drawing.elements() if hasattr(shape, "segments")]
    outline = 2 * (260 + 140) + 4 * 3 - 4 * 12 + math.pi * 12
    vents = 8 * (2 * 60 + math.pi * 4)
    holes = math.pi * (4 * 3.2 + 12.0)
    measured = sum(path.length(error=1e-6) for path in paths)
    assert measured == pytest.approx(outline + vents + holes, rel=1e-3)
