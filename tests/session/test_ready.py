"""Whether a weekend may begin: what the log says of deliveries, stock that runs out, closed places."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.advise.fits import Barrier
from fabsched.model.estimates import Route
from fabsched.model.project import Component
from fabsched.session.bench import Bench
from fabsched.session.edits import put_all
from fabsched.session.hand_edits import with_component
from fabsched.session.ready import Readiness, readiness
from fabsched.session.requests import PlanResponse
from fabsched.session.sayings import Verb
from fabsched.session.stock_records import FilamentStock, SheetStock, Stock
from tests.session.made import NOW, estimated
from tests.session.test_bench import HOUR, NOW_S, bench_of, planned, say

BOARD = Component(id="board", name="Board", needed_by=("solder",))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A planned box whose soldering takes a board that is not in hand."""
    made = bench_of(tmp_path)
    made.change("edit-in-hand", with_component(BOARD))
    return planned(made)


def _ready(bench: Bench, stock: Stock | None = None, hours: float = 0.0) -> Readiness:
    assert bench.answer is not None
    assert bench.weekend is not None
    response = PlanResponse(id=0, answer=bench.answer, weekend=bench.weekend, stock=stock)
    return readiness(bench, response, None, NOW_S + round(hours * HOUR))


def test_a_delivery_is_told_until_it_has_come(bench: Bench) -> None:
    """To be bought, then on its way with its moment, then gone; taken back, it is on its way again."""
    assert [lack.expected_s for lack in _ready(bench).lacks] == [None]
    assert not _ready(bench).is_ready
    due_s = NOW_S + 5 * HOUR
    bench.tell(say(Verb.DELAY, "board", 0.5, until_s=due_s))
    planned(bench, 0.5)
    assert [lack.expected_s for lack in _ready(bench).lacks] == [due_s]
    bench.tell(say(Verb.ARRIVE, "board", 1.0))
    planned(bench, 1.0)
    assert _ready(bench).lacks == ()
    assert _ready(bench).is_ready
    bench.undo()
    assert [lack.expected_s for lack in _ready(bench).lacks] == [due_s]


def test_what_work_took_is_not_bought_once_it_is_done(bench: Bench) -> None:
    """Whoever soldered had the board."""
    bench.tell(say(Verb.START, "solder", 0.0))
    bench.tell(say(Verb.FINISH, "solder", 1.0))
    planned(bench, 1.0)
    assert _ready(bench, hours=1.0).lacks == ()


def _filament(need_g: float, have_g: float) -> Stock:
    return Stock(filaments=(FilamentStock(material="PLA", need_g=need_g, have_g=have_g),))


def test_filament_is_needed_for_the_run_it_runs_out_in(bench: Bench) -> None:
    """Grams, the part, and the moment that part is begun; nothing once it suffices."""
    assert bench.answer is not None
    starts = {b.activity: b.start_s for b in reversed(bench.answer.course.blocks)}
    found = {lack.id: lack for lack in _ready(bench, _filament(5.0, 2.6)).lacks}
    short = found["PLA"]
    assert (short.buy, short.have, short.unit, short.first) == (3, 2, "g", "lid")
    assert short.by_s == starts["lid"]
    assert short.is_stock
    assert "PLA" not in {lack.id for lack in _ready(bench, _filament(5.0, 5.0)).lacks}


def test_what_is_printed_already_is_not_bought(bench: Bench) -> None:
    """The log says that it was printed, so there was enough, whatever the shop file says."""
    for verb, hours in ((Verb.START, 0.0), (Verb.FINISH, 2.0), (Verb.CLEAR, 2.1)):
        bench.tell(say(verb, "lid", hours))
    planned(bench, 2.5)
    assert [lack.id for lack in _ready(bench, _filament(20.0, 5.0), 2.5).lacks] == ["board"]


def test_sheets_are_named_with_the_size_to_buy(bench: Bench) -> None:
    """What is in the shop file by its size; of anything else the largest part tells the least."""
    (lid,) = bench.project.parts
    cut = replace(lid, route=Route.CUT, material="plywood", thickness_mm=3.0)
    bench.change("edit-part", put_all([cut]))
    kind = {"material": "plywood", "thickness_mm": 3.0, "used": 1, "have": 0}
    known = SheetStock(stock="birch", size_mm=(600.0, 400.0), **kind)  # type: ignore[arg-type] # by name
    other = SheetStock(stock="", size_mm=(0.0, 0.0), **kind)  # type: ignore[arg-type] # by name
    told = [
        next(lack.what for lack in _ready(bench, Stock(sheets=(each,))).lacks if lack.is_stock)
        for each in (known, other)
    ]
    assert told[0] == "sheet of plywood 3 mm, 600 \u00d7 400 mm"
    assert told[1].startswith("sheet of plywood 3 mm")


def test_a_printer_that_never_runs_stands_in_the_way(bench: Bench) -> None:
    """A machine whose hours lie after the deadline is told, and no longer once they are changed."""

    def with_hours(hours: str) -> Readiness:
        printers = tuple(replace(each, hours=hours) for each in bench.shop.printers)
        bench.change_shop("shop-edit", lambda shop: replace(shop, printers=printers))
        return _ready(planned(estimated(bench)))

    after = f"{NOW + timedelta(days=4):%Y %b %d} 00:00-24:00"
    assert Barrier.MACHINE in {each.code for each in with_hours(after).obstacles}
    assert not with_hours("24/7").obstacles
