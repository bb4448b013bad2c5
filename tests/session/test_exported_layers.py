"""What is done along each layer, from the project's word to the files the laser gets."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import new, readfile
from svgelements import SVG, Group
from svgelements import Path as Curve

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.estimate.cut_track import Move, Track
from fabsched.estimate.engraving import engraved_rows, engraving_path
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.operations import Operation
from fabsched.model.project import Part
from fabsched.model.shop import Shop
from fabsched.model.units import minutes_s
from fabsched.model.weekend import Run
from fabsched.schedule.layouts import layouts_of
from fabsched.schedule.names import Namer
from fabsched.schedule.sheets import cut_sheets
from fabsched.session.export_request import ExportRequest
from fabsched.session.part_jobs import Digests, estimate_request
from tests.estimate.test_cutting import LASER, SHEET, SHIPPED
from tests.session.test_estimating import SHOP
from tests.session.test_exporting import BLOCK, folder, request

__all__ = ["folder"]  # a fixture

KERF_MM = SHEET.settings[0].kerf_mm
PX_MM = 25.4 / 96
PART = Part(
    id="plate",
    name="Plate",
    file="plate.dxf",
    copies=2,
    route=Route.CUT,
    material="sheet",
    thickness_mm=3.0,
    layers=(
        ("WORDS", Operation.ENGRAVE),
        ("bends", Operation.SCORE),
        ("help lines", Operation.IGNORE),
    ),
)
"""Layers in another case than in the drawing."""
WANTED = replace(SHOP, lasers=(LASER,), sheet_materials=(SHEET,))


def drawing(path: Path) -> None:
    """A plate with a window, a bend, a word and a help line, all in one colour."""
    document = new(units=4)
    space = document.modelspace()

    def box(layer: str, x: float, y: float, side: float) -> None:
        corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer, "color": 1})

    box("outline", 0, 0, 60)
    box("outline", 10, 10, 20)
    box("Words", 40, 40, 8)
    box("Help Lines", 5, 5, 50)
    space.add_line((35, 5), (35, 30), dxfattribs={"layer": "Bends", "color": 1})
    document.saveas(path)


@pytest.fixture
def exporting(folder: Path) -> ExportRequest:
    """An export of two plates."""
    drawing(folder / "plate.dxf")
    whole = request(BLOCK, folder)
    estimates = estimate_request(PART, folder, WANTED, Digests()).run().estimates
    return replace(
        whole,
        shop=WANTED,
        estimates={PART.id: estimates},
        project=replace(whole.project, parts=(PART,)),
    )


def test_the_estimate_follows_the_layers(exporting: ExportRequest) -> None:
    """Cut is the outline alone; the rest is engraved, scored or left out."""
    found = exporting.estimates["plate"][LASER.id]
    assert found.cut_mm == pytest.approx(4 * (60 + KERF_MM) + 4 * (20 - KERF_MM))
    assert {"cutting", "scoring", "engraving"} <= set(found.breakdown_s)
    assert "layers-found" in [f.code for f in found.findings]  # `outline` is cut for want of a word


def test_the_sheet_has_a_layer_for_each_operation_in_order(exporting: ExportRequest) -> None:
    """By another library: marks first, windows before plates, kerf on cuts alone, no help line."""
    exporting.run()
    (path,) = (exporting.target / "sheets").glob("*.dxf")
    lines = [line for line in readfile(path).modelspace() if isinstance(line, LWPolyline)]
    rows = [
        (line.dxf.layer, round(float(np.ptp([p[0] for p in line.get_points()])), 4))
        for line in lines
        if line.dxf.layer != "ignore"
    ]
    window, plate = 20 - KERF_MM, 60 + KERF_MM
    assert sorted(rows[:2]) == [("engrave", 8.0)] * 2
    assert [layer for layer, _ in rows[2:4]] == ["score"] * 2
    cuts = [(layer, side) for layer, side in rows[4:]]
    assert sorted(cuts) == sorted([("cut", window), ("cut", plate)] * 2)
    boxes = [
        np.array([p[:2] for p in line.get_points()]) for line in lines if line.dxf.layer == "cut"
    ]
    for at, inner in enumerate(boxes):
        for outer in boxes[:at]:  # nothing is cut inside what has been cut off before
            assert not ((inner > outer.min(axis=0)) & (inner < outer.max(axis=0))).all()


def test_the_svg_holds_the_same_lines(exporting: ExportRequest) -> None:
    """By another library, in millimetres."""
    exporting.run()
    (path,) = (exporting.target / "sheets").glob("*.svg")
    groups = SVG.parse(path).select(lambda e: isinstance(e, Group) and e.id in set(Operation))
    lengths = {
        group.id: sum(c.length() * PX_MM for c in group.select() if isinstance(c, Curve))
        for group in groups
        if group.id != "ignore"
    }
    cut_mm = 2 * (4 * (60 + KERF_MM) + 4 * (20 - KERF_MM))
    assert lengths == pytest.approx({"engrave": 64, "score": 50, "cut": cut_mm}, rel=1e-5)


SAMPLE = Path(__file__).parents[2] / "sample_projects" / "balcony_station" / "parts"


def file_s(path: Path) -> float:
    """Seconds along a sheet's lines as another library reads them, in the order of the file."""
    speeds = cut_speeds(LASER, SHEET, 3.0, where="sheet")
    track, areas = Track(np.zeros(2)), []
    lines = [line for line in readfile(path).modelspace() if isinstance(line, LWPolyline)]
    for line in lines:
        points = np.array([point[:2] for point in line.get_points()])
        if line.dxf.layer == "engrave":
            areas.append(points)
        elif line.dxf.layer != "ignore":
            _engrave(track, areas, speeds.engrave_mm_s)
            run = np.concatenate([points, points[:1]]) if line.closed else points
            track.follow(run, Move.CUT if line.dxf.layer == "cut" else Move.SCORE)
            track.pierces += line.dxf.layer == "cut"
    track.follow(np.zeros((2, 2)), Move.SCORE)
    return float(track.seconds(LASER, speeds)[0].sum()) + track.pierces * speeds.pierce_s


def _engrave(track: Track, areas: list[np.ndarray], speed_mm_s: float) -> None:
    for rows in engraved_rows(areas) if areas else ():
        run = engraving_path(rows, speed_mm_s, LASER.accel_mm_s2)
        track.follow(run, Move.ENGRAVE, halting=True)
    areas.clear()


def test_the_plan_counts_what_the_files_of_the_sheets_take(exporting: ExportRequest) -> None:
    """Real sheets, marks included: to a hundredth, and to a second where nothing is engraved.

    The motion planner runs once over the whole file, from the corner of the bed and back to it; the
    plan has added up what each part takes by itself and the ways between them.
    """
    for name in ("back_panel.svg", "base_plate.dxf"):
        (exporting.folder / name).write_bytes((SAMPLE / name).read_bytes())
    more = [
        replace(PART, id=name[:4], name=name, file=name, copies=copies, layers=())
        for name, copies in (("back_panel.svg", 3), ("base_plate.dxf", 2))
    ]
    parts = (PART, *more)
    known = {
        part.id: estimate_request(part, exporting.folder, WANTED, Digests()).run().estimates
        for part in parts
    }
    whole = replace(exporting.project, parts=parts)
    given = replace(exporting, project=whole, estimates=known)
    got = given.run()
    layouts = layouts_of(whole, WANTED, known, given.answer.course, given.answer.plan)
    assert len(layouts) > 1
    for layout in layouts:
        (path,) = (
            f.path for f in got.written if f.run == layout.run.id and f.path.suffix == ".dxf"
        )
        marked = any(ident == PART.id for ident, _ in layout.run.cargo)
        planned_s = layout.run.choices[0].seconds.likely
        assert planned_s == pytest.approx(file_s(path), rel=0.01 if marked else 1e-6, abs=1.0)


def test_the_picture_numbers_parts_as_they_are_cut(exporting: ExportRequest) -> None:
    """As the file has them: the border of the first one is cut first; the card says so."""
    (card,) = exporting.run().run_sheet.cards
    assert card.sketch is not None
    assert [laid.name for laid in card.sketch.laid] == ["1 Plate", "2 Plate"]
    assert any("as numbered in the picture" in line for line in card.lines)
    (path,) = (exporting.target / "sheets").glob("*.dxf")
    lines = [line for line in readfile(path).modelspace() if isinstance(line, LWPolyline)]
    cut = [np.array([p[:2] for p in x.get_points()]) for x in lines if x.dxf.layer == "cut"]
    borders = [points for points in cut if np.ptp(points[:, 0]) > 40]
    for laid, border in zip(card.sketch.laid, borders, strict=True):
        middle = np.mean([laid.outlines[0].points_mm.min(0), laid.outlines[0].points_mm.max(0)], 0)
        assert (border.min(axis=0) < middle).all()
        assert (middle < border.max(axis=0)).all()


def sheet_run(exporting: ExportRequest, shop: Shop) -> Run:
    """The run that cuts the part."""
    (sheet,), _ = cut_sheets((PART,), exporting.estimates, shop, Namer(()))
    return sheet.run


def test_watching_and_cleaning_are_planned_and_told(exporting: ExportRequest) -> None:
    """8 minutes of the 5 to 10 a university's laser policy asks for, and 2 to clear the bed."""
    run = sheet_run(exporting, WANTED)
    assert LASER.watch_minutes + LASER.clean_minutes == 8
    assert run.clear_s == minutes_s(LASER.after_minutes) == 600
    assert run.attended
    careful = replace(LASER, watch_minutes=15.0)
    longer = sheet_run(exporting, replace(WANTED, lasers=(careful,)))
    assert longer.clear_s == run.clear_s + minutes_s(13)
    (card,) = exporting.run().run_sheet.cards
    assert any("stay 2 min" in line and "6 min to clean" in line for line in card.lines)


@pytest.mark.parametrize("name", ["vinyl", "White-PVC", "neoprene", "foam_core", "FR4"])
def test_other_names_of_what_must_not_be_cut_are_refused(name: str, folder: Path) -> None:
    """With the reason, wherever the name comes from; nothing is estimated."""
    drawing(folder / "plate.dxf")
    shop = replace(WANTED, sheet_materials=tuple(SHIPPED.values()))
    with pytest.raises(InputError) as caught:
        estimate_request(replace(PART, material=name), folder, shop, Digests())
    assert caught.value.code is Fault.MATERIAL_FORBIDDEN
    assert caught.value.facts["reason"]
