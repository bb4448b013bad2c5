"""What an export makes of parts that are turned, prepared or changed."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import trimesh
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile

from fabsched.files.parts import read_part
from fabsched.files.stl import write_stl
from fabsched.model.errors import Cancelled, Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.materials import Cutting, SheetMaterial
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Drawing
from fabsched.model.shop import Sheet
from fabsched.model.weekend import Run
from fabsched.schedule.layouts import RunLayout
from fabsched.schedule.nesting import together_on_bed
from fabsched.session.export_records import ExportInput, left_over
from fabsched.session.export_request import ExportRequest, ExportResponse
from fabsched.session.part_jobs import Digests, estimate_request
from tests.cli import made
from tests.estimate import bodies
from tests.estimate.test_cutting import LASER, SETTING
from tests.session.test_estimating import SHOP

PROGRAM = "G21 G90\nG1 X10 Y10 F3000\nG1 X60 Y10 E2 F1200\nG1 X60 Y40 E4\nG1 X10 Y40 E6\nM2\n"
"""Three lines of a prepared print."""
PLATE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
    '<rect x="5" y="5" width="40" height="40"/></svg>'
)


class _Stopping:
    """A watch that says stop."""

    def report(self, done: float, stage: str) -> None:
        """Hear nothing."""

    def stopped(self) -> bool:
        """Stop."""
        return True


def request(part: Part, folder: Path) -> ExportRequest:
    """An export of a project with one part, planned by hand."""
    project = Project(
        name="Lamp",
        zone=ZoneInfo("Europe/Berlin"),
        deadline=datetime(2026, 10, 25, 18, tzinfo=UTC),
        parts=(part,),
    )
    estimates = estimate_request(part, folder, SHOP, Digests()).run().estimates
    return ExportRequest(
        project=project,
        shop=SHOP,
        estimates={part.id: estimates},
        weekend=made.weekend(),
        answer=_answer(),
        folder=folder,
        target=folder / "out",
        now_s=made.NOW_S,
    )


def _answer() -> Answer:
    """A plan by hand that cuts whatever sheets there are."""
    answer = made.answer()
    sheets = tuple(f"{pile}-sheet-{n}" for pile in ("ply-3", "sheet-3", "felt-3") for n in (1, 2))
    order = (*answer.plan.order, *sheets)
    return replace(answer, plan=replace(answer.plan, order=order))


def exported(part: Part, folder: Path) -> ExportResponse:
    """What is made of it."""
    return request(part, folder).run(UNWATCHED)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a block of 30 x 20 x 10 mm and a prepared print."""
    write_stl(tmp_path / "block.stl", bodies.box(30, 20, 10))
    (tmp_path / "ready.gcode").write_text(PROGRAM)
    return tmp_path


BLOCK = Part(id="lid", name="Lid", file="block.stl", copies=2)


def test_a_turned_part_stands_on_the_bed_as_it_was_estimated(folder: Path) -> None:
    """Turned about x, every copy is 20 mm high and stands on the bed, as the estimate says."""
    exported(replace(BLOCK, turn_deg=(90.0, 0.0, 0.0)), folder)
    (path,) = (folder / "out" / "beds").glob("*.stl")
    for body in trimesh.load_mesh(path).split():
        assert sorted(np.ptp(body.bounds, axis=0)[:2]) == pytest.approx([10, 30], abs=1e-4)
        assert body.bounds[:, 2] == pytest.approx([0, 20], abs=1e-4)


def test_a_prepared_print_is_run_as_it_stands(folder: Path) -> None:
    """No bed is written for it; the run sheet names its file, and nobody is told of a lack."""
    part = Part(id="lid", name="Lid", file="ready.gcode")
    response = exported(part, folder)
    assert {file.kind for file in response.written} == {"calendar", "run-sheet"}
    assert response.shapeless == ()
    (card,) = response.run_sheet.cards
    assert any("ready.gcode" in line for line in card.lines)
    assert card.sketch is None


def test_a_part_known_by_its_minutes_alone_is_told(folder: Path) -> None:
    """There is a card, and its name among those without files."""
    whole = request(BLOCK, folder)
    minutes = replace(BLOCK, minutes=whole.estimates["lid"]["printer"].seconds)
    response = replace(whole, estimates={}, project=replace(whole.project, parts=(minutes,))).run()
    assert response.shapeless == tuple(card.title for card in response.run_sheet.cards)


def test_a_disputed_material_says_so_on_paper(folder: Path) -> None:
    """Whoever cuts reads at the machine that the shop has to be asked, and why."""
    (folder / "plate.svg").write_text(PLATE)
    sheet = SheetMaterial(
        id="felt", cutting=Cutting.DISPUTED, reason="it smells", settings=(SETTING,)
    )
    whole = request(BLOCK, folder)
    part = Part(
        id="lid",
        name="Lid",
        file="plate.svg",
        route=Route.CUT,
        material="felt",
        thickness_mm=3.0,
    )
    shop = replace(SHOP, lasers=(LASER,), sheet_materials=(sheet,))
    estimates = estimate_request(part, folder, shop, Digests()).run().estimates
    response = replace(
        whole,
        shop=shop,
        estimates={"lid": estimates},
        project=replace(whole.project, parts=(part,)),
    ).run()
    (card,) = response.run_sheet.cards
    assert any("it smells" in line and "the workshop's own list" in line for line in card.lines)


def test_what_is_dropped_is_not_made(folder: Path) -> None:
    """A run the plan leaves out has no bed."""
    whole = request(BLOCK, folder)
    plan = replace(whole.answer.plan, dropped=frozenset({"lid"}))
    response = replace(whole, answer=replace(whole.answer, plan=plan)).run()
    assert response.run_sheet.cards == ()
    assert not list((folder / "out").glob("beds/*"))


def test_a_file_that_has_become_something_else_is_refused(folder: Path) -> None:
    """The part file is named as the user knows it."""
    whole = request(BLOCK, folder)
    (folder / "block.stl").write_bytes(b"")
    with pytest.raises(InputError) as caught:
        whole.run()
    assert (caught.value.code, caught.value.where) == (Fault.FILE_EMPTY, "block.stl")


def test_an_export_stops_when_told_to(folder: Path) -> None:
    """It ends before the next run."""
    with pytest.raises(Cancelled):
        request(BLOCK, folder).run(_Stopping())


def test_left_over_files_are_those_nobody_wrote(folder: Path) -> None:
    """Of the folders of beds and sheets, by their endings."""
    response = exported(BLOCK, folder)
    assert left_over(folder / "out", response.written) == ()
    old = folder / "out" / "beds" / "old.stl"
    old.write_bytes(b"")
    (folder / "out" / "beds" / "notes.txt").write_bytes(b"")
    assert left_over(folder / "out", response.written) == (old,)


def test_a_request_is_its_input(folder: Path) -> None:
    """What the work is given and what starts it are one record."""
    assert isinstance(request(BLOCK, folder), ExportInput)


CORNERS = ((0.0, 0.0), (200.0, 0.0), (0.0, 200.0))
CLAMP = ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))


def test_an_offcut_is_drawn_with_its_border_and_what_stays_free(folder: Path) -> None:
    """In the picture, and in the files as lines nobody cuts: their layer is left out when read."""
    (folder / "plate.svg").write_text(PLATE)
    part = replace(BLOCK, file="plate.svg", route=Route.CUT, material="ply", thickness_mm=3.0)
    ply = SheetMaterial(id="ply", cutting=Cutting.ALLOWED, settings=(SETTING,))
    laser = replace(LASER, keep_out=(CLAMP,))
    sheet = Sheet(
        id="rest",
        material="ply",
        thickness_mm=3.0,
        size_mm=(200.0, 200.0),
        count=1,
        outline=CORNERS,
    )
    shop = replace(SHOP, lasers=(laser,), sheet_materials=(ply,), sheets=(sheet,))
    whole = request(BLOCK, folder)
    response = replace(
        whole,
        shop=shop,
        estimates={"lid": estimate_request(part, folder, shop, Digests()).run().estimates},
        project=replace(whole.project, parts=(part,)),
    ).run()
    (card,) = response.run_sheet.cards
    assert card.sketch is not None
    assert (card.sketch.outline, card.sketch.keep_out) == (CORNERS, (CLAMP,))
    drawings = [file.path for file in response.written if file.kind == "sheet"]
    for path in drawings:
        shape, _ = read_part(path)
        assert isinstance(shape, Drawing)
        assert len(shape.outlines) == 2
    (dxf,) = (path for path in drawings if path.suffix == ".dxf")
    seen = readfile(dxf).modelspace().query('LWPOLYLINE[layer=="ignore"]')
    lines = [line for line in seen if isinstance(line, LWPolyline)]
    rings = [[tuple(point) for point in line.get_points("xy")] for line in lines]
    assert [tuple(ring) for ring in rings[:2]] == [CORNERS, CLAMP]


def test_what_is_printed_one_by_one_is_numbered(folder: Path) -> None:
    """The lower one comes first; the card and the names in the picture say so."""
    write_stl(folder / "tall.stl", bodies.box(20, 20, 30))
    parts = (replace(BLOCK, id="tall", name="Tall", file="tall.stl", copies=1), BLOCK)
    printer = replace(SHOP.printers[0], one_by_one=True, head_mm=20.0, gantry_mm=25.0)
    shop = replace(SHOP, printers=(printer,))
    known = {p.id: estimate_request(p, folder, shop, Digests()).run().estimates for p in parts}
    whole = request(BLOCK, folder)
    usual = whole.weekend.activities[0]
    assert isinstance(usual, Run)
    run = replace(usual, id="bed", cargo=(("tall", 1), ("lid", 2)))
    given = replace(whole, shop=shop, estimates=known, project=replace(whole.project, parts=parts))
    lying = together_on_bed(
        [(parts[0], 1), (BLOCK, 2)], {k: v["printer"] for k, v in known.items()}, printer
    )
    layout = RunLayout(run=run, machine="printer", size_mm=(220.0, 220.0), placements=lying)
    (card,) = replace(given, layouts=(layout,)).run().run_sheet.cards
    assert card.sketch is not None
    assert [laid.name for laid in card.sketch.laid] == ["1 Lid", "2 Lid", "3 Tall"]
    assert any("1 Lid, 2 Lid, 3 Tall" in line for line in card.lines)


def test_a_run_sheet_says_where_nothing_can_start_too_late(folder: Path) -> None:
    """With no weekend done in time that stands at its head, once; else it does not."""
    whole = request(BLOCK, folder)
    odds = replace(whole.answer.odds, on_time=0.0)
    hopeless = replace(whole, answer=replace(whole.answer, odds=odds)).run().run_sheet
    assert [line for line in hopeless.lead if "no simulated weekend is done in time" in line]
    assert not [line for line in whole.run().run_sheet.lead if "no simulated weekend" in line]
