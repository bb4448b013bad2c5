"""Whether what is in hand suffices."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.model.errors import Fact
from fabsched.model.findings import Remark
from fabsched.model.shop import Spool
from fabsched.session.edits import put_all
from fabsched.session.stock import filament_short, sheets_short, sheets_small
from fabsched.session.stock_records import SheetStock, Stock
from tests.session.made import estimated, session_of


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


def test_a_sheet_that_has_to_be_bought_is_told_and_no_offcut() -> None:
    """The remark counts as the list of stock does: an offcut that is in hand is no sheet to buy."""
    big = SheetStock(
        stock="big", material="plywood", thickness_mm=3.0, size_mm=(600.0, 400.0), used=2, have=1
    )
    rest = replace(big, stock="rest", size_mm=(200.0, 100.0), used=1)
    assert sheets_short(Stock(sheets=(replace(big, used=1), rest))) == ()
    (short,) = sheets_short(Stock(sheets=(big, rest)))
    facts: dict[str, Fact] = {"have": 1, "want": 2, "unit": "sheets"}
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
