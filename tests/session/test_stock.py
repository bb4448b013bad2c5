"""Whether what is in hand suffices."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.model.errors import Fact
from fabsched.model.findings import Remark
from fabsched.model.shop import Spool
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Run, Weekend
from fabsched.session.edits import put_all
from fabsched.session.stock import filament_short, sheets_short, sheets_small
from tests.session.made import estimated, session_of


def _cut(ident: str, part: str) -> Run:
    choice = Choice("laser", Spread.exactly(60))
    return Run(
        id=ident,
        name=ident,
        choices=(choice,),
        attended=True,
        start_s=0,
        clear_s=0,
        cargo=((part, 1),),
    )


def _weekend(*runs: Run) -> Weekend:
    return Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=1,
        horizon_s=2,
        hands=(),
        sites=(),
        stations=(),
        activities=runs,
    )


def test_copies_add_up_and_so_do_spools(tmp_path: Path) -> None:
    """A remark says what is there and what all copies need; just enough needs none."""
    session = estimated(session_of(tmp_path, "lid.stl"))  # 5 g each
    lid = session.project.parts[0]
    spools = tuple(Spool(id=f"s{i}", material=lid.material, mass_g=7.5) for i in range(2))
    shop = replace(session.shop, spools=spools)
    assert filament_short(session.project, shop, session.estimates) == ()
    session.change("put", put_all([replace(lid, copies=3)]))
    assert filament_short(session.project, shop, session.estimates) == ()
    session.change("put", put_all([replace(lid, copies=4)]))
    (short,) = filament_short(session.project, shop, session.estimates)
    facts: dict[str, Fact] = {"have": 15.0, "want": 20, "unit": "g"}
    assert (short.code, short.where, short.facts) == (Remark.STOCK_SHORT, lid.material, facts)


def test_every_sheet_that_is_cut_counts(tmp_path: Path) -> None:
    """Runs of one kind of sheet are counted against what is in stock of it."""
    session = session_of(tmp_path, "base.svg")
    have = session.shop.sheets[0].count
    runs = [_cut(f"sheet-{i}", "base") for i in range(have + 1)]
    assert sheets_short(session.project, session.shop, _weekend(*runs[:have])) == ()
    (short,) = sheets_short(session.project, session.shop, _weekend(*runs))
    facts: dict[str, Fact] = {"have": have, "want": have + 1, "unit": "sheets"}
    assert (short.where, short.facts) == ("plywood 3 mm", facts)


@pytest.mark.parametrize(
    ("size_mm", "small"),
    [((10.0, 20.0), False), ((20.0, 10.0), False), ((19.0, 400.0), False), ((9.0, 400.0), True)],
)
def test_a_part_larger_than_every_sheet_is_told(
    tmp_path: Path, size_mm: tuple[float, float], small: bool
) -> None:
    """A part of 10 x 20 mm lies on a sheet lengthwise or across, or not at all."""
    session = estimated(session_of(tmp_path, "base.svg"))
    sheet = replace(session.shop.sheets[0], size_mm=size_mm)
    shop = replace(session.shop, sheets=(sheet,))
    found = sheets_small(session.project, shop, session.estimates)
    assert [finding.code for finding in found] == [Remark.SHEET_SMALL] * small
    if small:
        assert found[0].facts == {"size": "10 x 20", "sheet": "9 x 400"}
    none = replace(shop, sheets=(replace(sheet, count=0),))
    assert sheets_small(session.project, none, session.estimates) == ()


def test_the_session_tells_what_is_short(tmp_path: Path) -> None:
    """Short stock stands among the findings, behind those of the files."""
    session = estimated(session_of(tmp_path, "lid.stl"))
    lid = session.project.parts[0]
    session.change("put", put_all([replace(lid, copies=900)]))
    assert [finding.code for finding in session.findings] == [Remark.WELDED, Remark.STOCK_SHORT]
