"""A part taken apart becomes parts, works, files, and an edit of the project."""

import xml.etree.ElementTree as ET
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.joint_list import joint_rows
from fabsched.advise.plates.making import Made, made_of
from fabsched.advise.plates.splitting import Split, split
from fabsched.advise.plates.stocks import stocks_of
from fabsched.advise.plates.substituting import (
    PLATES,
    beside,
    fresh_ids,
    instead,
    printed_whole,
)
from fabsched.advise.plates.writing import files_of
from fabsched.files.folder_out import write_files
from fabsched.files.parts import read_part
from fabsched.files.project_edit import new_project_text
from fabsched.files.project_toml import parse_project
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.materials import CutSetting, Cutting, SheetMaterial
from fabsched.model.project import Gate, Part, Project, Work
from fabsched.model.references import check_references
from fabsched.model.shapes import Drawing, Mesh
from fabsched.model.shop import Laser, Sheet, Shop
from fabsched.model.spread import Spread
from tests.advise import bodies
from tests.estimate.bodies import PLA, printer

BERLIN = ZoneInfo("Europe/Berlin")
SETTING = CutSetting(
    thickness_mm=3.0,
    power_w=60,
    feed_mm_s=Spread(10, 12, 15),
    pierce_s=0.3,
    passes=1,
    kerf_mm=0.2,
)
ACRYLIC = SheetMaterial(
    id="acrylic",
    cutting=Cutting.ALLOWED,
    settings=(SETTING,),
    youngs_mpa=3200.0,
    poisson=0.37,
)
SHOP = Shop(
    printers=(printer(),),
    lasers=(Laser(id="laser", name="Laser", place="workshop", bed_mm=(600.0, 400.0)),),
    filaments=(PLA,),
    sheet_materials=(ACRYLIC,),
    sheets=(Sheet(id="clear", material="acrylic", thickness_mm=3.0, size_mm=(600.0, 300.0)),),
)
MOUNT = Part(id="mount", name="Mount", file="parts/mount.stl", copies=2, unit="mm")
PROJECT = Project(
    name="Box",
    zone=BERLIN,
    deadline=datetime(2026, 10, 25, 20, tzinfo=BERLIN),
    parts=(MOUNT, Part(id="mount_plate1", name="Taken", file="parts/x.stl")),
    works=(Work(id="wire", name="Wire", minutes=Spread(1, 2, 3), after=("mount",)),),
    gates=(
        Gate(
            id="try",
            name="Try",
            minutes=Spread(1, 2, 3),
            after=("mount",),
            chance=0.2,
            redo=("mount",),
        ),
    ),
)


@pytest.fixture(scope="module")
def done() -> tuple[Split, Made]:
    """The composite with its base cut out, twice in a project."""
    mesh = bodies.composite()
    apart = split(mesh, find_plates(mesh, (3.0,)).slabs[:1])
    return apart, made_of(apart, MOUNT, SHOP, stocks_of(SHOP), fresh_ids(PROJECT))


def test_alike_pieces_are_copies(done: tuple[Split, Made]) -> None:
    """One plate, wall, ribs, and four bosses as copies of one file; all of it twice."""
    _, made = done
    cut = [part for part in made.parts if part.route is Route.CUT]
    printed = [part.copies for part in made.parts if part.route is Route.PRINT]
    assert [(part.copies, part.material, part.thickness_mm) for part in cut] == [
        (2, "acrylic", 3.0)
    ]
    assert sorted(printed) == [2, 2, 8]
    assert made.screws == ("M3", 8)


def test_every_part_is_estimated_on_its_machines(done: tuple[Split, Made]) -> None:
    """Prints on the printer, cuts on the laser, and each fits its machine."""
    _, made = done
    for part in made.parts:
        machine = "printer" if part.route is Route.PRINT else "laser"
        assert set(made.estimates[part.id]) == {machine}
        assert made.estimates[part.id][machine].seconds.likely > 0


def test_ids_are_new(done: tuple[Split, Made]) -> None:
    """What the project has already keeps its id."""
    _, made = done
    assert not set(made.items) & {item.id for item in PROJECT.items}
    assert "mount_plate1_2" in made.items


def test_substituting_keeps_the_project_sound(done: tuple[Split, Made]) -> None:
    """Nobody waits for the part any more; who did, waits for the fitting and makes pieces again."""
    _, made = done
    project = instead(PROJECT, MOUNT, made)
    check_references(project)
    fit = made.works[-1].id
    assert project.works[0].after == (fit,)
    assert fit in project.gates[0].after
    assert set(project.gates[0].redo) > {fit}
    assert all(part.id != "mount" for part in project.parts)


@pytest.mark.parametrize("chosen", [PLATES, ""])
def test_both_ways_stand_side_by_side(done: tuple[Split, Made], chosen: str) -> None:
    """As a fork the project is sound, survives its file, and can be taken back."""
    _, made = done
    project = beside(PROJECT, MOUNT, made, ("Whole", "Plates"), chosen)
    check_references(project)
    (fork,) = project.forks
    assert fork.chosen == chosen
    assert fork.ways[0].items == ("mount",)
    assert set(project.works[0].after) == {"mount", made.works[-1].id}
    assert parse_project(new_project_text(project), "box") == project
    assert printed_whole(project, MOUNT) == PROJECT


def test_choosing_again_replaces_the_first_choice(done: tuple[Split, Made]) -> None:
    """A second comparison leaves no plates of the first behind."""
    _, made = done
    once = beside(PROJECT, MOUNT, made, ("Whole", "Plates"), PLATES)
    assert beside(once, MOUNT, made, ("Whole", "Plates"), PLATES) == once


def test_without_a_machine_it_is_refused() -> None:
    """No laser, no plates."""
    mesh = bodies.composite()
    apart = split(mesh, find_plates(mesh, (3.0,)).slabs[:1])
    bare = Shop(printers=SHOP.printers, filaments=(PLA,), sheet_materials=(ACRYLIC,))
    with pytest.raises(InputError) as caught:
        made_of(apart, MOUNT, bare, stocks_of(SHOP), fresh_ids(PROJECT))
    assert caught.value.code is Fault.NO_MACHINE


def test_only_what_may_be_cut_is_stock() -> None:
    """Forbidden and disputed materials are never proposed, however much of them is in hand."""
    pvc = SheetMaterial(id="pvc", cutting=Cutting.FORBIDDEN, settings=(SETTING,))
    pom = SheetMaterial(id="pom", cutting=Cutting.DISPUTED, settings=(SETTING,))
    sheets = tuple(
        Sheet(id=name, material=name, thickness_mm=3.0, size_mm=(300.0, 200.0))
        for name in ("pvc", "pom")
    )
    assert stocks_of(Shop(sheet_materials=(pvc, pom), sheets=sheets)) == ()
    bought = stocks_of(Shop(sheet_materials=(pvc, ACRYLIC)))
    assert [(stock.material.id, stock.sheet) for stock in bought] == [("acrylic", None)]


def test_written_files_are_read_back(done: tuple[Split, Made], tmp_path: Path) -> None:
    """Our own readers find the outlines and pieces that were written."""
    apart, made = done
    paths = write_files(tmp_path / "new", files_of(apart, made))
    names = {path.name for path in paths}
    assert {"pieces.3mf", "exploded.svg", "joints.csv", "screws.csv"} <= names
    listed = (tmp_path / "new" / "screws.csv").read_text("utf-8")
    assert listed == f"screw,count\nM3 x 10,{made.screws[1]}\n"  # of all copies
    for part in made.parts:
        shape, _ = read_part(tmp_path / "new" / Path(part.file).name, "mm")
        known = made.shapes[part.id]
        if isinstance(known, Drawing):
            assert isinstance(shape, Drawing)
            lengths = sorted(o.length_mm for o in shape.outlines)
            assert lengths[-1] == pytest.approx(max(o.length_mm for o in known.outlines))
        else:
            assert isinstance(shape, Mesh)
            assert shape.volume_mm3 == pytest.approx(known.volume_mm3, rel=1e-5)


def test_the_picture_is_sound_and_always_the_same(done: tuple[Split, Made]) -> None:
    """The exploded picture is XML with a label for every plate and piece."""
    apart, made = done
    pictures = [files_of(apart, made)["exploded.svg"] for _ in range(2)]
    assert pictures[0] == pictures[1]
    root = ET.fromstring(pictures[0])  # noqa: S314 - our own file
    labels = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert len(labels) == len(apart.plates) + len(apart.pieces)


def test_the_list_of_joints_names_every_screw(done: tuple[Split, Made]) -> None:
    """Four screws of a length that stays inside sheet and pilot hole, ten tabs."""
    apart, _ = done
    rows = joint_rows(apart)
    screws = [row.screw for row in rows if row.screw]
    assert screws == ["M3 x 10"] * 4  # 3 mm sheet and 8 mm of pilot hole
    assert len(rows) == 14
