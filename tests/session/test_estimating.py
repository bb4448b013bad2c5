"""From a part of a project to its estimates: what of the part counts."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.files.stl import write_stl
from fabsched.model.errors import Fault
from fabsched.model.findings import Remark
from fabsched.model.materials import Filament
from fabsched.model.project import Part
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer, Shop
from fabsched.session.cures import cure_for
from fabsched.session.part_jobs import Digests, estimate_request
from fabsched.session.requests import EstimateRequest, PosesRequest
from tests.estimate import bodies

PRINTER = Printer(id="printer", name="Printer", place="home", bed_mm=(220.0, 220.0, 250.0))
SHOP = Shop(printers=(PRINTER,), filaments=(Filament(id="PLA", density_g_cm3=1.24),))
BLOCK = Part(id="block", name="Block", file="block.stl")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a block of 30 x 20 x 10 mm."""
    write_stl(tmp_path / "block.stl", bodies.box(30, 20, 10))
    return tmp_path


def request(part: Part, folder: Path) -> EstimateRequest:
    """The request that estimates a part."""
    return estimate_request(part, folder, SHOP, Digests())


def test_a_part_is_estimated_in_the_pose_it_was_given(folder: Path) -> None:
    """Turned about x it stands 20 mm high; then about z it is as wide as it was deep."""
    turned = replace(BLOCK, turn_deg=(90.0, 0.0, 90.0))
    lying, standing = (request(part, folder).run().estimates["printer"] for part in (BLOCK, turned))
    assert lying.footprint_mm == pytest.approx((30, 20))
    assert lying.height_mm == pytest.approx(10)
    assert standing.footprint_mm == pytest.approx((10, 30))
    assert standing.height_mm == pytest.approx(20)
    assert standing.volume_mm3 == pytest.approx(lying.volume_mm3)


def test_a_turn_makes_another_estimate(folder: Path) -> None:
    """What was estimated in one pose is not used for another; names do not count."""
    keys = [
        request(replace(BLOCK, turn_deg=turn, name=name), folder).key
        for turn, name in (((0.0, 0.0, 0.0), "a"), ((0.0, 0.0, 0.0), "b"), ((90.0, 0.0, 0.0), "a"))
    ]
    assert keys[0] == keys[1] != keys[2]


@pytest.mark.parametrize(("unit", "mm"), [("meter", 1e3), ("micron", 1e-3)])
def test_a_part_in_another_unit_is_asked_about(tmp_path: Path, unit: str, mm: float) -> None:
    """Far too small or too large as it stands: the unit is asked for, and the answer makes it right.

    Neither that it has no volume nor that it has to be split helps anybody who drew it in metres.
    """
    block = bodies.box(30, 20, 10)
    write_stl(tmp_path / "block.stl", Mesh(block.vertices / mm, block.faces))
    asked = request(BLOCK, tmp_path).run()
    assert not asked.estimates
    (error,) = asked.errors
    assert (error.code, error.where, error.facts["unit"]) == (Fault.UNIT_MEANT, "block.stl", unit)
    cure = cure_for(BLOCK, error)
    assert cure is not None
    answered = request(cure.part, tmp_path).run()
    assert answered.estimates["printer"].volume_mm3 == pytest.approx(6000, rel=1e-4)


def test_gaps_are_told_once(tmp_path: Path) -> None:
    """What the reader has told the estimate need not tell again."""
    block = bodies.box(30, 20, 10)
    write_stl(tmp_path / "block.stl", Mesh(block.vertices, block.faces[1:]))
    estimate = request(BLOCK, tmp_path).run().estimates["printer"]
    assert [finding.code for finding in estimate.findings] == [Remark.MESH_OPEN]


def test_poses_hold_for_the_part_as_drawn(folder: Path) -> None:
    """However a part is turned already, its poses are counted from the file."""
    turned = request(replace(BLOCK, turn_deg=(90.0, 0.0, 0.0)), folder)
    asked = PosesRequest(
        part=turned.part,
        path=turned.path,
        where=turned.where,
        machines=turned.machines,
        material=turned.material,
    )
    found = asked.run()
    assert found.id == asked.id
    assert {pose.turn_deg: round(pose.size_mm[2]) for pose in found.poses}[0.0, 0.0, 0.0] == 10
