"""Prints prepared elsewhere, from the part to its estimate."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.model.errors import Fault
from fabsched.model.estimates import Route
from fabsched.model.findings import Remark
from fabsched.model.materials import Cutting, Filament, SheetMaterial
from fabsched.model.project import Part
from fabsched.model.shop import Laser, Printer, Shop
from fabsched.session.estimate_cache import EstimateCache
from fabsched.session.part_jobs import Digests, estimate_request

PRINTER = Printer(id="printer", name="Printer", place="home", bed_mm=(220.0, 220.0, 250.0))
SHOP = Shop(printers=(PRINTER,), filaments=(Filament(id="PLA", density_g_cm3=1.24),))
BAR = Part(id="bar", name="Bar", file="bar.ngc")
PROGRAM = "G21 F600 G0 Z0.2\nG1 X30 E1\nM2"


def test_a_prepared_print_is_timed(tmp_path: Path) -> None:
    """A motion program is a print like any other, and remarks name the file as the user does."""
    (tmp_path / "bar.ngc").write_text(PROGRAM.replace("M2", "M104\nM2"))
    got = estimate_request(BAR, tmp_path, SHOP, Digests()).run().estimates["printer"]
    assert got.whole_run
    assert got.breakdown_s["laying"] == pytest.approx(3, rel=0.01)
    assert [(f.code, f.where) for f in got.findings] == [(Remark.CODES_LEFT_OUT, "bar.ngc")]


def test_a_prepared_print_is_not_cut(tmp_path: Path) -> None:
    """What the file holds and what it is wanted for are both named."""
    (tmp_path / "bar.ngc").write_text(PROGRAM)
    laser = Laser(id="laser", name="Laser", place="home", bed_mm=(600.0, 400.0))
    shop = Shop(
        lasers=(laser,), sheet_materials=(SheetMaterial(id="ply", cutting=Cutting.ALLOWED),)
    )
    part = replace(BAR, route=Route.CUT, material="ply", thickness_mm=3.0)
    (error,) = estimate_request(part, tmp_path, shop, Digests()).run().errors
    assert error.code is Fault.ROUTE_UNFIT
    assert error.facts["shape"] == "prepared print"


def test_a_prepared_print_is_kept(tmp_path: Path) -> None:
    """What is kept of an estimate says that it is a whole run."""
    (tmp_path / "bar.ngc").write_text(PROGRAM)
    request = estimate_request(BAR, tmp_path, SHOP, Digests())
    estimates = dict(request.run().estimates)
    cache = EstimateCache(tmp_path / "kept")
    cache.put(request.key, estimates)
    assert cache.get(request.key) == estimates
