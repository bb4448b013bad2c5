"""What is done along each layer, from the project's word to the files the laser gets."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import new, readfile
from svgelements import SVG, Group
from svgelements import Path as Curve

from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.operations import Operation
from fabsched.model.project import Part
from fabsched.model.units import minutes_s
from fabsched.schedule.names import Namer
from fabsched.schedule.sheets import cut_runs
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


def test_watching_and_cleaning_are_planned_and_told(exporting: ExportRequest) -> None:
    """8 minutes of the 5 to 10 a university's laser policy asks for, and 2 to clear the bed."""
    (run,) = cut_runs((PART,), exporting.estimates, WANTED, Namer(()))
    assert LASER.watch_minutes + LASER.clean_minutes == 8
    assert run.clear_s == minutes_s(LASER.after_minutes) == 600
    assert run.attended
    careful = replace(LASER, watch_minutes=15.0)
    (longer,) = cut_runs(
        (PART,), exporting.estimates, replace(WANTED, lasers=(careful,)), Namer(())
    )
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
