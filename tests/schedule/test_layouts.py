"""Layouts for export are those the planner counted on."""

from collections import Counter
from dataclasses import replace

import numpy as np

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.files.materials_toml import sheet_materials
from fabsched.model.plan import Course, Plan
from fabsched.model.project import Part
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run
from fabsched.nest.place import layout_faults
from fabsched.nest.records import Layout
from fabsched.nest.verify import problems
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.making import made
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import (
    BED_GAP_MM,
    bed_of,
    item_of,
    outline_of,
    together_on_bed,
)
from fabsched.schedule.sheet_filling import SHEET_GAP_MM
from tests.schedule.projects import ESTIMATES, PROJECT, SHOP, estimate, weekend

EMPTY = Course(blocks=(), done_s={}, finish_s=0)


def layouts() -> tuple[RunLayout, ...]:
    """The layouts of the small project."""
    return layouts_of(PROJECT, SHOP, ESTIMATES, EMPTY)


def test_every_run_of_the_weekend_has_its_copies_laid_out() -> None:
    """Same ids, same order, and as many copies of every part as the run's cargo says."""
    found = weekend()
    runs = [run for run in found.activities if isinstance(run, Run)]
    usual = [run for run in runs if run.id in found.standing]
    assert [layout.run.id for layout in layouts()] == [run.id for run in usual]
    every = Plan(order=tuple(run.id for run in runs))
    laid = layouts_of(PROJECT, SHOP, ESTIMATES, EMPTY, every)
    for layout, run in zip(laid, runs, strict=True):
        assert layout.run.cargo == run.cargo
        assert Counter(place.id for place in layout.placements) == dict(run.cargo)


def test_of_a_weekend_under_way_only_what_is_left_is_laid_out() -> None:
    """What is done, or was decided otherwise, is in no plan of the rest; at the end nothing is left."""
    rest = Plan(order=("louvre-2",), dropped=frozenset({"lid"}))
    laid = layouts_of(PROJECT, SHOP, ESTIMATES, EMPTY, rest)
    assert [layout.run.id for layout in laid] == ["louvre-2"]
    assert not layouts_of(PROJECT, SHOP, ESTIMATES, EMPTY, Plan(order=()))


def test_nothing_sticks_out_or_comes_too_near() -> None:
    """Checked by exact distances, which the placing does not use."""
    every = Plan(order=tuple(activity.id for activity in weekend().activities))
    for layout in layouts_of(PROJECT, SHOP, ESTIMATES, EMPTY, every):
        gap_mm = SHEET_GAP_MM if layout.run.attended else BED_GAP_MM
        rings = [
            place.outline_mm(outline_of(ESTIMATES[place.id][layout.machine]))
            for place in layout.placements
        ]
        assert not problems([rings], layout.size_mm, gap_mm)


def test_prints_lie_in_the_middle_of_the_bed() -> None:
    """As much room is left at one side as at the other."""
    for layout in layouts():
        if layout.run.attended:
            continue
        points = np.concatenate(
            [
                place.outline_mm(outline_of(ESTIMATES[place.id][layout.machine]))
                for place in layout.placements
            ]
        )
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        assert np.allclose(middle, np.array(layout.size_mm) / 2)


def test_the_beam_stays_on_the_sheet() -> None:
    """Parts keep half a kerf from the edge of the sheet, where the path runs."""
    tables = sheet_materials([], "shop.toml")
    acrylic = next(material for material in tables if material.id == "acrylic")
    kerf_mm = cut_speeds(SHOP.lasers[0], acrylic, 3.0, where="").kerf_mm
    shop = replace(SHOP, sheet_materials=tables)
    for layout in layouts_of(PROJECT, shop, ESTIMATES, EMPTY):
        if not layout.run.attended:
            continue
        points = np.concatenate(
            [
                place.outline_mm(outline_of(ESTIMATES[place.id][layout.machine]))
                for place in layout.placements
            ]
        )
        assert points.min() >= kerf_mm / 2 - 1e-9
        assert (points.max(axis=0) <= np.array(layout.size_mm) - kerf_mm / 2 + 1e-9).all()


def test_a_part_whose_shape_is_not_known_has_no_layout() -> None:
    """Where only minutes are known the run is there, without placements."""
    parts = [
        replace(part, minutes=ESTIMATES[part.id][next(iter(ESTIMATES[part.id]))].seconds)
        for part in PROJECT.parts
    ]
    project = replace(PROJECT, parts=tuple(parts))
    found = layouts_of(project, SHOP, {}, EMPTY)
    assert found
    assert not any(layout.placements for layout in found)


SQUARE_MM = ((15.0, 15.0), (95.0, 15.0), (95.0, 95.0), (15.0, 95.0))
"""What one can look through in a frame of 110 mm."""
FRAME, KNOB = Part(id="frame", name="F", file="f.stl"), Part(id="knob", name="K", file="k.stl")
KNOWN = {
    "frame": estimate("mex", Spread(60, 60, 60), (110, 110), openings_mm=(SQUARE_MM,), height_mm=9),
    "knob": estimate("mex", Spread(60, 60, 60), (50, 50), height_mm=9),
}
SMALL = replace(SHOP.printers[0], bed_mm=(120, 120, 120))


def test_a_printed_part_may_stand_in_the_opening_of_another() -> None:
    """On a bed with no room beside the frame, with the gap of beds all around, by exact distances."""
    spots = together_on_bed([(FRAME, 1), (KNOB, 1)], KNOWN, SMALL)
    assert sorted(spot.id for spot in spots) == ["frame", "knob"]
    items = [item_of(part, KNOWN[part.id], 1) for part in (FRAME, KNOB)]
    assert not layout_faults(Layout(placements=spots), items, [bed_of(SMALL)], BED_GAP_MM)
    closed = {part: replace(each, openings_mm=()) for part, each in KNOWN.items()}
    assert len(together_on_bed([(FRAME, 1), (KNOB, 1)], closed, SMALL)) == 1


def test_printed_part_by_part_nothing_stands_in_an_opening() -> None:
    """However low the frame is: the head would have to go down into it."""
    serial = replace(SMALL, one_by_one=True, head_mm=5.0, gantry_mm=50.0)
    assert len(together_on_bed([(FRAME, 1), (KNOB, 1)], KNOWN, serial)) == 1
    wide = replace(serial, bed_mm=(240, 240, 120))
    assert len(together_on_bed([(FRAME, 1), (KNOB, 1)], KNOWN, wide)) == 2


def test_a_bed_may_be_shared_by_what_stands_in_an_opening() -> None:
    """A frame and a knob cover more than the bed by their borders, and are offered together."""
    shop = replace(SHOP, printers=(SMALL,), lasers=())
    project = replace(PROJECT, parts=(FRAME, KNOB), works=(), gates=())
    known = {part: {"mex": each} for part, each in KNOWN.items()}
    assert SMALL.bed_mm[0] * SMALL.bed_mm[1] < 110**2 + 50**2
    (shared,) = made(project, shop, known, Namer(())).beds
    assert [dict(run.cargo) for run in shared.into] == [{"frame": 1, "knob": 1}]
