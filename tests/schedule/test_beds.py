"""Printed parts onto beds."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.raising import times_failing
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Warp, WarpLevel
from fabsched.model.project import Part
from fabsched.model.shop import Printer
from fabsched.model.spread import Spread
from fabsched.schedule.beds import print_runs, shared_out, together
from fabsched.schedule.names import Namer
from tests.schedule.projects import SHOP, estimate

BIG = Printer(id="big", name="Big", place="home", bed_mm=(300, 300, 300), start_minutes=20)
SMALL = Printer(id="small", name="Small", place="home", bed_mm=(110, 110, 110))
HAND = Printer(id="hand", name="Hand", place="home", bed_mm=(300, 300, 300), unattended=False)
HOUR = Spread(3000, 3600, 4500)
FOOT = Part(id="foot", name="Foot", file="foot.stl")


def of(*printers: Printer, size_mm: tuple[float, float] = (100, 100)) -> dict[str, Estimate]:
    """An hour's estimate on each printer; the small one is slower."""
    slow = {"small": 1.5}
    return {p.id: estimate(p.id, HOUR.scaled(slow.get(p.id, 1.0)), size_mm) for p in printers}


def beds(part: Part, *printers: Printer) -> list[tuple[int, list[str]]]:
    """Copies and machines of each run."""
    runs = print_runs(part, of(*printers), replace(SHOP, printers=printers), Namer([part.id]))
    return [(run.cargo[0][1], [choice.machine for choice in run.choices]) for run in runs]


@given(st.integers(1, 500), st.integers(1, 60))
def test_copies_are_shared_out_evenly(copies: int, most: int) -> None:
    """All copies, on as few beds as can be, none too full, none two short of another."""
    shares = shared_out(copies, most)
    assert sum(shares) == copies
    assert len(shares) == -(-copies // most)
    assert max(shares) <= most
    assert max(shares) - min(shares) <= 1


def test_bed_holds_as_many_as_fit() -> None:
    """Four squares of 100 mm with 5 mm between them fit 300 mm twice by twice."""
    assert beds(replace(FOOT, copies=6), BIG) == [(3, ["big"]), (3, ["big"])]


def test_bed_holds_no_more_than_wanted() -> None:
    """`per_run` keeps beds small where more would fit."""
    assert beds(replace(FOOT, copies=3, per_run=1), BIG) == [(1, ["big"])] * 3


def test_a_prepared_print_is_a_run_of_its_own() -> None:
    """A motion program is carried out as it stands: no second copy is put beside it."""
    program = {"big": replace(of(BIG)["big"], whole_run=True)}
    shop = replace(SHOP, printers=(BIG,))
    runs = print_runs(replace(FOOT, copies=3), program, shop, Namer([]))
    assert [run.cargo[0][1] for run in runs] == [1, 1, 1]


def test_printers_too_small_for_the_bed_are_left_out() -> None:
    """The roomiest printer sets the size of a bed; only who takes such a bed is a choice."""
    assert beds(replace(FOOT, copies=4), SMALL, BIG) == [(4, ["big"])]


def test_faster_printer_is_preferred() -> None:
    """The choices of a run come in order of time."""
    assert beds(FOOT, SMALL, BIG) == [(1, ["big", "small"])]


def test_printers_that_run_alone_are_preferred_to_attended_ones() -> None:
    """Hands do not stay beside a print that another machine makes alone."""
    assert beds(FOOT, HAND, BIG) == [(1, ["big"])]
    (run,) = print_runs(FOOT, of(HAND), replace(SHOP, printers=(HAND,)), Namer([]))
    assert run.attended


def test_each_machine_asks_for_hands_and_fails_in_its_own_way() -> None:
    """A run may land on any of its machines; what is alike is told once."""
    risky = replace(SMALL, fail_hour=0.5, watch_minutes=8)
    (run,) = print_runs(FOOT, of(risky, BIG), replace(SHOP, printers=(risky, BIG)), Namer([]))
    there = {choice.machine: run.at(choice) for choice in run.choices}
    for printer in (risky, BIG):
        mine = there[printer.id]
        assert mine.start_s == 60 * printer.start_minutes
        assert mine.clear_s == 60 * printer.clear_minutes
        assert mine.watch_s == 60 * printer.watch_minutes
        assert (mine.fail_start, mine.fail_hour) == (printer.fail_start, printer.fail_hour)
    first, other = run.choices
    assert (first.start_s, first.clear_s, first.fail_start, first.fail_hour) == (None,) * 4
    assert (other.start_s, other.fail_hour) != (None, None)


def test_the_riskiest_part_sets_how_often_its_bed_fails() -> None:
    """What may curl off the bed fails more often than its printer's figures say, at any length."""
    warp = Warp(level=WarpLevel.HIGH, span_mm=200, contact_mm2=900, thickness_mm=4, corners=4)
    curling = {"big": replace(of(BIG)["big"], warp=warp, contact_mm2=900.0, height_mm=10.0)}
    (run,) = print_runs(FOOT, curling, replace(SHOP, printers=(BIG,)), Namer([]))
    times = times_failing(curling["big"])
    assert times > 1.0
    assert run.fail_hour == pytest.approx(times * BIG.fail_hour)
    assert 1 - run.fail_start == pytest.approx((1 - BIG.fail_start) ** times)


def test_refuses_what_fits_no_bed() -> None:
    """A part larger than every bed is refused with both sizes."""
    with pytest.raises(InputError) as caught:
        print_runs(FOOT, of(SMALL, size_mm=(200, 20)), replace(SHOP, printers=(SMALL,)), Namer([]))
    assert caught.value.code == Fault.PART_TOO_LARGE
    assert caught.value.facts == {"size": "200 x 20", "machine": "Small", "bed": "110 x 110"}


@given(st.integers(1, 20), st.floats(0, 5000))
def test_beds_take_no_longer_than_one_by_one(copies: int, once_s: float) -> None:
    """Printing together saves heating and cooling and nothing else; figures stay in order."""
    one = estimate("mex", HOUR, (1, 1), breakdown_s={"heating": once_s / 2, "cooling": once_s / 2})
    bed = together(FOOT, one, copies)
    saved = (copies - 1) * min(once_s, HOUR.low)
    assert bed.likely == pytest.approx(copies * HOUR.likely - saved)
    assert bed.low <= bed.likely <= bed.high


def test_known_minutes_replace_the_estimate() -> None:
    """A time known from elsewhere counts instead of the computed one."""
    known = replace(FOOT, minutes=Spread(10, 20, 30))
    assert together(known, of(BIG)["big"], 2) == Spread(1200, 2400, 3600)
