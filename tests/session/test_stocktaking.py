"""What a plan takes from stock, what is left and what has to be bought."""

from dataclasses import replace

import pytest

from fabsched.cli.stock_text import buy_lines, stock_document
from fabsched.model.plan import Answer, Course, Odds, Plan, Solver
from fabsched.model.shop import Sheet, Spool
from fabsched.schedule.layouts import layouts_of
from fabsched.session.stock_records import Stock
from fabsched.session.stocktaking import stock_of
from tests.schedule.projects import ESTIMATES, PROJECT, SHOP

ODDS = Odds(on_time=1.0, standard_error=0.0, p10_s=0, p50_s=0, p90_s=0, scenarios=1)
ANSWER = Answer(
    plan=Plan(order=("lid", "louvre-1", "louvre-2", "acrylic-3-sheet-1", "acrylic-3-sheet-2")),
    course=Course(blocks=(), done_s={}, finish_s=0),
    odds=ODDS,
    solver=Solver(status="unknown", bound_s=None, gap=None),
    method="none",
)


def taken(sheets: tuple[Sheet, ...] = (), spools: tuple[Spool, ...] = ()) -> Stock:
    """What the small project takes from a shop with that stock."""
    return stock_of(PROJECT, replace(SHOP, sheets=sheets, spools=spools), ESTIMATES, ANSWER)


def cut_runs() -> int:
    """How many sheets the small project cuts."""
    layouts = layouts_of(PROJECT, SHOP, ESTIMATES, ANSWER.course)
    lasers = {laser.id for laser in SHOP.lasers}
    return sum(layout.machine in lasers for layout in layouts)


def test_all_has_to_be_bought_where_there_is_nothing() -> None:
    """Every sheet that is cut is on the list, and every gram that is printed."""
    stock = taken()
    assert sum(sheet.buy for sheet in stock.sheets) == cut_runs()
    for filament in stock.filaments:
        assert filament.buy_g == filament.need_g > 0
    assert len(buy_lines(stock)) == len(stock.sheets) + len(stock.filaments)


def test_nothing_has_to_be_bought_where_there_is_plenty() -> None:
    """What is left is what there was less what is used."""
    bare = taken()
    sheets = tuple(
        Sheet(
            id=f"s{i}",
            material=sheet.material,
            thickness_mm=sheet.thickness_mm or 3.0,
            size_mm=SHOP.lasers[0].bed_mm,
            count=9,
        )
        for i, sheet in enumerate(bare.sheets)
    )
    spools = tuple(
        Spool(id=f"f{i}", material=filament.material, mass_g=5000)
        for i, filament in enumerate(bare.filaments)
    )
    stock = taken(sheets, spools)
    assert buy_lines(stock) == ()
    for sheet in stock.sheets:
        assert (sheet.stock, sheet.left) == (sheets[0].id, 9 - sheet.used)
    for filament in stock.filaments:
        assert filament.left_g == pytest.approx(5000 - filament.need_g)
    document = stock_document(stock)
    assert [entry["buy"] for entry in document["sheets"]] == [0] * len(stock.sheets)


def test_what_is_left_of_a_sheet_is_inside_of_it() -> None:
    """The rectangle lies on the sheet it is left of."""
    sizes = {sheet.material: sheet.size_mm for sheet in taken().sheets}
    for remnant in taken().remnants:
        for at, side, whole in zip(
            remnant.at_mm, remnant.size_mm, sizes[remnant.material], strict=True
        ):
            assert 0 <= at <= at + side <= whole
