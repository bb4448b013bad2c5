"""What is won by leaving out, looking early and filling time: against what can be worked out by hand."""

from dataclasses import replace

import pytest

from fabsched.advise.counsel import WithCoupon
from fabsched.advise.coupon_items import PlannedCoupon
from fabsched.advise.coupon_worth import coupon_look
from fabsched.advise.coupons import coupon_of
from fabsched.advise.drops import drops, made_of
from fabsched.advise.gates import looks
from fabsched.advise.spare_time import spare_work
from fabsched.advise.weighing import Scales
from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.project import Fit, Gate, Part
from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Swap, Turn, Weekend
from fabsched.odds.sample import Sample
from tests.advise.test_coupons import BORED
from tests.model.made import H, as_listed, printing, task, weekend
from tests.odds.test_decisions import Impatient
from tests.session.made import estimate_of

FEW = Sample(seed=5, scenarios=2000)


def _scales(week: Weekend, plan: Plan | None = None) -> Scales:
    return Scales.of(week, plan or as_listed(week), FEW)


def test_what_is_optional_comes_first_and_wins_what_it_took() -> None:
    """Two hours of frills before two hours of need, in three hours: without them it is sure."""
    week = weekend(task("frill", 2 * H, needed=False), task("need", 2 * H), deadline_s=3 * H)
    frill, need = drops(_scales(week))
    assert (frill.item, frill.needed) == ("frill", False)
    assert (frill.gain.on_time, frill.gain.gain, frill.gain.error) == (1.0, 1.0, 0.0)
    assert (need.item, need.needed) == ("need", True)


def test_what_may_fail_wins_its_chance_of_failing() -> None:
    """A print that fails once in five leaves no time for another: without it, as much is won."""
    lid = printing("lid", 6 * H, fail_start=0.2, cargo=(("lid", 1),), needed=False)
    elsewhere = (Choice("other", Spread.exactly(6 * H)),)
    week = weekend(
        lid,
        printing("base", choices=elsewhere, fail_start=0.2, cargo=(("base", 1),)),
        task("join", H, after=("lid", "base")),
        machines={"other": "home"},
        deadline_s=8 * H,
    )
    found = {drop.item: drop for drop in drops(_scales(week))}
    assert found["lid"].gain.gain == pytest.approx(0.8 - 0.64, abs=0.04)
    assert found["lid"].gain.is_clear
    assert found["lid"].gain.error < 0.01


def test_gates_and_shared_beds_are_not_dropped() -> None:
    """A fault nobody looks for is still there; what shares a bed is made anyway."""
    week = weekend(
        printing("bed", cargo=(("lid", 1), ("base", 1))),
        task("fit", H, chance=0.2, redo=("bed",), after=("bed",)),
        task("code~1", H, of="code"),
        task("code~2", H, of="code", after=("code~1",)),
    )
    assert made_of(week) == {"code": frozenset({"code~1", "code~2"})}


def test_a_coupon_alone_is_not_dropped() -> None:
    """Trying what is not there would show nothing: it goes with the check of it or not at all."""
    week = weekend(
        printing("lid", 4 * H, cargo=(("lid", 1),), after=("look", "small")),
        printing("small", 600, cargo=(("small", 1),), needed=False),
        task("look", 60, chance=0.375, redo=("small",), after=("small",), needed=False),
    )
    assert made_of(week) == {"lid": frozenset({"lid"})}


def _coupon_week(deadline_s: int) -> tuple[Weekend, Plan]:
    """A lid that does not fit once in two, and a small test print that tells three times in four."""
    week = weekend(
        printing("lid", 4 * H, after=("look",)),
        task("fit", 60, chance=0.5, redo=("lid",), after=("lid",)),
        task("fit-after-look", 60, chance=0.125, redo=("lid",), after=("lid",)),
        printing("small", 600, needed=False),
        task("look", 60, chance=0.375, redo=("small",), after=("small",), needed=False),
        deadline_s=deadline_s,
    )
    swap = Swap(
        id="gate-look",
        kind=Turn.GATE,
        name="Try the coupon",
        out=frozenset({"fit"}),
        into=frozenset({"small", "look", "fit-after-look"}),
    )
    plan = Plan(order=("lid", "fit"), dropped=swap.into)
    return replace(week, swaps=(swap,)), plan


def test_a_coupon_is_worth_the_faults_it_finds_in_time() -> None:
    """There is no time for a second lid: half of the weekends without a coupon, seven in eight with."""
    week, plan = _coupon_week(6 * H)
    (found,) = looks(_scales(week, plan))
    assert not found.taken
    assert found.without == pytest.approx(0.5, abs=0.04)
    assert found.gain.on_time == pytest.approx(0.875, abs=0.03)
    assert found.gain.gain == pytest.approx(0.375, abs=4 * found.gain.error)
    assert found.machine_s == pytest.approx(600)
    assert found.hands_s == pytest.approx(900 + 60)


def test_a_coupon_without_time_for_it_costs() -> None:
    """Where the deadline leaves none, looking early loses what it takes."""
    week, plan = _coupon_week(4 * H + 17 * 60)
    (found,) = looks(_scales(week, plan))
    assert found.gain.gain == pytest.approx(-0.5, abs=0.04)


def test_a_look_the_plan_takes_is_worth_the_same() -> None:
    """Whether the plan has it or not, the two are compared the same way round."""
    week, plan = _coupon_week(6 * H)
    (open_,) = looks(_scales(week, plan))
    into = week.swaps[0].into
    taken = Plan(order=("small", "look", "lid", "fit-after-look"), dropped=frozenset({"fit"}))
    (done,) = looks(_scales(week, taken))
    assert into == frozenset({"small", "look", "fit-after-look"})
    assert done.taken
    assert done.gain.gain == pytest.approx(open_.gain.gain, abs=1e-9)


@pytest.mark.parametrize(("deadline_h", "safe"), [(8, True), (4, False)])
def test_time_is_filled_only_while_the_deadline_is_safe(deadline_h: int, *, safe: bool) -> None:
    """Three hours of code fit beside a long print, unless the print waits to be cleared meanwhile."""
    week = weekend(
        printing("lid", 2 * H),
        task("join", H, after=("lid",)),
        task("code", 3 * H, needed=False, undoable=True),
        task("glue", H, needed=False),
        deadline_s=deadline_h * H,
    )
    swaps = tuple(
        Swap(id=f"drop-{i}", kind=Turn.DROP, name=i, out=frozenset({i})) for i in ("code", "glue")
    )
    week = replace(week, swaps=swaps)
    plan = Plan(order=("lid", "join"), dropped=frozenset({"code", "glue"}))
    (code,) = spare_work(_scales(week, plan))  # glue cannot be undone
    assert (code.item, code.planned, code.is_safe) == ("code", False, safe)
    assert code.on_time == float(safe)


def test_it_can_be_stopped() -> None:
    """Whoever watches may say so."""
    week, plan = _coupon_week(6 * H)
    with pytest.raises(Cancelled):
        looks(_scales(week, plan), watch=Impatient())
    with pytest.raises(Cancelled):
        drops(_scales(weekend(task("code"))), watch=Impatient())


def test_a_coupon_not_in_the_project_is_weighed_in_the_plan_as_it_is() -> None:
    """The same lid and the same coupon, put in only for the comparison: the same three in eight."""
    week = weekend(
        printing("lid", 4 * H, cargo=(("lid", 1),)),
        task("fit", 60, of="fit", chance=0.5, redo=("lid",), after=("lid",)),
        deadline_s=6 * H,
    )
    estimate = estimate_of("printer", "PLA", 600.0)
    coupon = Part(id="small", name="Small", file="parts/small.stl", needed=False)
    look = Gate(
        id="look",
        name="Look",
        minutes=Spread.exactly(1),
        after=("small",),
        chance=0.375,
        redo=("small",),
        eases="fit",
        left=0.25,
        needed=False,
    )
    fit = Fit(id="pin", name="Pin", at_mm=(20, 20, 6), size_mm=(5, 5, 12))
    planned = PlannedCoupon(
        part="lid",
        fit=fit,
        coupon=coupon_of(BORED, fit),
        edit=WithCoupon(part="lid", coupon=coupon, look=look),
        content=b"",
        estimates={"printer": estimate},
    )
    found = coupon_look(_scales(week), planned)
    assert found is not None
    assert found.without == pytest.approx(0.5, abs=0.04)
    assert found.gain.gain == pytest.approx(0.375, abs=0.04)
    bare = replace(planned, edit=WithCoupon(part="lid", coupon=coupon, look=None))
    assert coupon_look(_scales(week), bare) is None
