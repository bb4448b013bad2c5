"""What the runs of a log have taken from stock, as far as they got."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from fabsched.estimate.cut_sheet import Lying
from fabsched.model.estimates import Stretch
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.operations import Operation
from fabsched.model.plan import Plan
from fabsched.model.shop import Sheet, Shop, Spool
from fabsched.model.spread import Spread
from fabsched.model.state import state_of
from fabsched.schedule.layouts import layouts_of
from fabsched.session.stock import shortages
from fabsched.session.stock_records import Stock
from fabsched.session.stock_spent import Spent, begun, spent_by
from fabsched.session.stocktaking import stock_of
from tests.schedule.projects import ESTIMATES, PROJECT, SHOP
from tests.session.test_stocktaking import ANSWER

LID = Meant(
    name="Lid",
    sort=Sort.RUN,
    items=(("lid", 1),),
    machine="mex",
    seconds=Spread.exactly(3600),
    clear_s=300,
)
SHEET = Spent(
    run="acrylic-3-sheet-1",
    items=(("back", 1), ("plate", 2)),
    machine="ray",
    share=0.4,
    failed=True,
)


def told(*kinds: tuple[Event, int], share: float | None = None) -> list[Entry]:
    """What was told of the lid, at some seconds."""
    return [
        Entry(kind=kind, moment_s=at_s, noted_s=at_s, id=i, subject="lid", meant=LID, share=share)
        for i, (kind, at_s) in enumerate(kinds, start=1)
    ]


def taken(spent: Iterable[Spent], order: tuple[str, ...], shop: Shop = SHOP) -> Stock:
    """What the small project takes: runs of before, and a plan of the rest."""
    answer = replace(ANSWER, plan=Plan(order=order))
    return stock_of(PROJECT, shop, ESTIMATES, answer, spent)


@pytest.mark.parametrize(
    ("entries", "shares"),
    [
        (told((Event.STARTED, 0), (Event.CLEARED, 3600)), [1.0]),
        (told((Event.STARTED, 0), (Event.FAILED, 900), share=0.3), [0.3]),
        (told((Event.STARTED, 0), (Event.CANCELLED, 900)), [0.25]),
        (told((Event.FAILED, 900)), [0.5]),  # nothing is known of it
        (told((Event.STARTED, 0), (Event.CLEARED, 3600), (Event.FAILED, 4000)), [1.0]),
    ],
)
def test_what_a_run_took_goes_by_how_far_it_got(entries: list[Entry], shares: list[float]) -> None:
    """All of it if it ended, else as was told or by the clock; what is found bad later was whole."""
    assert [spent.share for spent in spent_by(state_of(entries), frozenset())] == shares


def test_what_lies_on_its_machine_counts_once() -> None:
    """The plan still has it taken off, and counts it as long."""
    state = state_of(told((Event.STARTED, 0), (Event.FINISHED, 3600)))
    assert not list(spent_by(state, frozenset({"lid"})))
    assert len(list(spent_by(state, frozenset()))) == 1


def test_what_is_done_and_what_is_left_is_all() -> None:
    """A plan halfway takes as much as it did at its beginning."""
    whole = taken((), ANSWER.plan.order)
    done = Spent(run="lid", items=(("lid", 1),), machine="mex", share=1.0, failed=False)
    half = taken([done], tuple(i for i in ANSWER.plan.order if i != "lid"))
    assert {f.material: f.need_g for f in half.filaments} == pytest.approx(
        {f.material: f.need_g for f in whole.filaments}
    )


def test_a_print_that_failed_took_what_it_had_laid_down() -> None:
    """A quarter of its mass more than if it had not; the window warns once the spools do not hold it."""
    failed = Spent(run="lid", items=(("lid", 1),), machine="mex", share=0.25, failed=True)
    lid = replace(ESTIMATES["lid"]["mex"], mass_g=40.0)
    known = {"lid": {"mex": lid}}
    lids = tuple(part for part in PROJECT.parts if part.id == "lid")
    project = replace(PROJECT, parts=lids, works=(), gates=())
    shop = replace(SHOP, spools=(Spool(id="pla", material=project.parts[0].material, mass_g=45.0),))
    answer = replace(ANSWER, plan=Plan(order=("lid",)))
    before, after = (stock_of(project, shop, known, answer, spent) for spent in ((), [failed]))
    assert [f.need_g for f in before.filaments] == [40.0]
    assert [f.need_g for f in after.filaments] == [50.0]
    assert not shortages(project, shop, known, before)
    (short,) = shortages(project, shop, known, after)
    assert (short.facts["have"], short.facts["want"]) == (45.0, 50)


def test_a_cut_that_failed_has_spoilt_a_sheet() -> None:
    """Another one is taken; a cut that never began has spoilt none."""
    for share, used in ((0.4, 2), (0.0, 1)):
        stock = taken([replace(SHEET, share=share)], ("acrylic-3-sheet-1",))
        assert [sheet.used for sheet in stock.sheets] == [used]
        assert stock.sheets[0].buy == used - 1


def test_an_offcut_that_was_entered_since_is_for_what_is_to_come() -> None:
    """The sheet that failed lay on the large one that there was then."""
    (layout,) = [
        each
        for each in layouts_of(PROJECT, SHOP, ESTIMATES, ANSWER.course)
        if each.run.id == "acrylic-3-sheet-1"
    ]
    wide, high = layout.size_mm
    rest = Sheet(id="rest", material="acrylic", thickness_mm=3.0, size_mm=(wide - 10, high - 10))
    stock = taken([SHEET], ("acrylic-3-sheet-1",), replace(SHOP, sheets=(*SHOP.sheets, rest)))
    assert {sheet.stock: (sheet.used, sheet.buy) for sheet in stock.sheets} == {
        "rest": (1, 0),
        SHOP.sheets[0].id: (1, 0),
    }


def test_only_what_a_laser_has_touched_is_gone() -> None:
    """Copies are cut one after the other; the one it was at counts."""
    stretch = Stretch(
        operation=Operation.CUT,
        enter_mm=(0.0, 0.0),
        leave_mm=(0.0, 0.0),
        seconds=Spread.exactly(10.0),
    )
    part = replace(ESTIMATES["plate"]["ray"], stretches=(stretch,))
    lying = tuple(Lying(estimate=part, x_mm=50.0 * n, y_mm=0.0, turn_deg=0.0) for n in range(4))
    assert begun(lying, 0.0) == frozenset()
    assert begun(lying, 0.2) == {0}
    assert begun(lying, 0.6) == {0, 1, 2}
    assert begun(lying, 1.0) == {0, 1, 2, 3}
    plain = replace(lying[0], estimate=replace(part, stretches=()))
    assert begun((plain, plain), 0.2) == {0, 1}
