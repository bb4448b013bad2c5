"""Choices after a failure: each planned, and carried out on the same luck."""

from dataclasses import replace

import pytest

from fabsched.advise.after_failure import choices, weighed
from fabsched.advise.options import Ground, Option
from fabsched.model.log import Cure, Entry, Event, Remedy
from fabsched.model.plan import Plan
from fabsched.model.state import state_of
from fabsched.model.weekend import Choice, Run, Station, Swap, Turn, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.answers import checked_course
from fabsched.schedule.happened import meant_by
from fabsched.schedule.remedies import clear_id
from fabsched.schedule.replan import carried_over
from fabsched.schedule.under_way import under_way
from tests.schedule.following import entry, told
from tests.schedule.weekends import BEGIN, maker_weekend, printed

PLAN = Plan(
    order=tuple(activity.id for activity in maker_weekend().activities), dropped=frozenset()
)
MASS_G = {"funnel": 40.0, "louvre-1": 20.0}


def weekend() -> Weekend:
    """The maker's, with a second printer and a funnel that may be made of two pieces."""
    base = maker_weekend(slack=2)
    two = Station(id="two", name="Two", place="home", windows=Windows.always(BEGIN, base.horizon_s))
    runs = [_anywhere(a) if isinstance(a, Run) else a for a in base.activities]
    piece = _anywhere(printed("piece", 30, "mex"))
    swap = Swap(
        id="way",
        kind=Turn.ROUTE,
        name="In pieces",
        out=frozenset({"funnel"}),
        into=frozenset({"piece"}),
    )
    activities = tuple(
        replace(a, after=(*a.after, "piece")) if "funnel" in a.after else a for a in runs
    )
    return replace(
        base, stations=(*base.stations, two), activities=(*activities, piece), swaps=(swap,)
    )


def _anywhere(run: Run) -> Run:
    both = (*run.choices, Choice("two", run.choices[0].seconds))
    return run if run.attended else replace(run, choices=both, cargo=((run.id, 1),))


@pytest.fixture(scope="module")
def ground() -> Ground:
    """After the funnel has failed, while something else prints."""
    whole = weekend()
    plan = replace(PLAN, dropped=frozenset({"piece"}))
    course = checked_course(whole, plan)
    block = next(block for block in course.blocks if block.id == "funnel")
    now_s = (block.start_s + block.end_s) // 2
    entries = told(whole, course, now_s)
    failed = replace(entry(whole, block, Event.FAILED, now_s), id=len(entries) + 1)
    left = under_way(whole, state_of((*entries, failed)), now_s)
    return Ground(weekend=left.weekend, plan=plan, seed=1, mass_g=MASS_G, going=left.by_hand)


@pytest.fixture(scope="module")
def options(ground: Ground) -> dict[Cure, Option]:
    """All choices, by what is done."""
    found = choices(ground.weekend, "funnel", failed_on="mex")
    return {option.remedy.cure: option for option in weighed(ground, found)}


def test_every_choice_stands_beside_the_others(options: dict[Cure, Option]) -> None:
    """Again, elsewhere, slower, with a coupon, otherwise, mended, left out: each once."""
    wanted = {Cure.AGAIN, Cure.MACHINE, Cure.COUPON, Cure.SLOWER, Cure.REPAIR, Cure.FORK, Cure.DROP}
    assert wanted <= options.keys()
    assert options[Cure.MACHINE].detail == "Two"
    assert options[Cure.FORK].detail == "In pieces"


def test_each_choice_is_planned_in_full(options: dict[Cure, Option], ground: Ground) -> None:
    """Each has a plan from now on, with its odds, its hands' time and its material."""
    for option in options.values():
        assert option.answer.odds.scenarios >= 1000
        assert all(b.start_s >= ground.weekend.begin_s for b in option.answer.course.blocks)
        assert option.hands_s > 0
    assert options[Cure.AGAIN].mass_g == 40
    assert options[Cure.REPAIR].mass_g == 0
    assert options[Cure.FORK].mass_g is None  # of the pieces nothing is known


def test_what_takes_less_is_no_worse(options: dict[Cure, Option]) -> None:
    """Leaving a part out is done no later than making it, and mending it no later than again."""
    again, drop, repair = (
        options[cure].answer.odds for cure in (Cure.AGAIN, Cure.DROP, Cure.REPAIR)
    )
    assert drop.on_time >= again.on_time - 0.02
    assert repair.on_time >= again.on_time - 0.02


def test_choices_come_one_by_one(ground: Ground) -> None:
    """The first can be looked at before the others have been planned."""
    found = weighed(ground, choices(ground.weekend, "funnel"))
    assert next(found).remedy.cure is Cure.AGAIN


def test_the_same_again(ground: Ground) -> None:
    """The same choices on the same seed come out the same."""
    remedies = choices(ground.weekend, "funnel")[:2]
    assert list(weighed(ground, remedies)) == list(weighed(ground, remedies))


def test_a_run_that_holds_the_machine_can_be_broken_off() -> None:
    """What is lost by that is told, but weighs nothing: only what is to come counts."""
    whole = weekend()
    plan = carried_over(whole, PLAN)
    course = checked_course(whole, plan)
    block = next(block for block in course.blocks if block.id == "louvre-1")
    now_s = block.start_s + 3600
    left = under_way(whole, state_of(told(whole, course, now_s)), now_s)
    ground = Ground(weekend=left.weekend, plan=plan, mass_g=MASS_G)
    stop = [r for r in choices(left.weekend, "funnel") if r.cure is Cure.CANCEL]
    mine = [remedy for remedy in stop if remedy.subject == "louvre-1"]
    (option,) = weighed(ground, mine)
    assert option.spent_s == 3600
    run = left.weekend.activity("louvre-1")
    assert isinstance(run, Run)
    assert run.going
    assert option.lost_g == pytest.approx(20 * 3600 / (3600 + run.going.seconds.likely))
    assert option.mass_g == 20
    assert clear_id(block.resource) in option.answer.plan.order


def shared_bed() -> Weekend:
    """Two parts that lie on one bed, or on two."""
    base = maker_weekend(slack=2)
    runs = tuple(replace(printed(name, 60, "mex"), cargo=((name, 1),)) for name in "ab")
    both = replace(printed("ab", 100, "mex"), cargo=(("a", 1), ("b", 1)))
    swap = Swap(id="bed", kind=Turn.BED, name="ab", out=frozenset("ab"), into=frozenset({"ab"}))
    others = tuple(x for x in base.activities if x.id.startswith("code"))
    return replace(base, activities=(*runs, both, *others), swaps=(swap,))


def test_a_bed_that_failed_is_dealt_with_as_a_whole() -> None:
    """What could be printed in place of a bed is not, once something is decided about the bed."""
    weekend = shared_bed()
    ground = Ground(weekend=weekend, plan=None)
    pose = Remedy(cure=Cure.POSE, subject="ab", part="a", turn_deg=(90.0, 0.0, 0.0))
    remedies = (*choices(weekend, "ab"), pose)
    found = {o.remedy.cure: o.answer.plan for o in weighed(ground, remedies)}
    for cure in (Cure.AGAIN, Cure.COUPON, Cure.SLOWER, Cure.REPAIR, Cure.POSE):
        assert "ab" in found[cure].order
        assert not {"a", "b"} & set(found[cure].order)
    assert not {"a", "b", "ab"} & set(found[Cure.DROP].order)


def test_a_shared_bed_can_be_taken_apart() -> None:
    """Then each part is printed on a bed of its own, and both are in what the choice takes."""
    weekend = shared_bed()
    (remedy,) = [r for r in choices(weekend, "ab") if r.cure is Cure.APART]
    ground = Ground(weekend=weekend, plan=None, mass_g={"a": 5.0, "b": 7.0})
    (option,) = weighed(ground, [remedy])
    assert option.detail == remedy.detail == "A, B"
    assert {"a", "b"} <= set(option.answer.plan.order)
    assert "ab" not in option.answer.plan.order
    assert (option.machine_s, option.mass_g) == (120 * 60, 12.0)


def test_what_lay_on_a_shared_bed_can_be_made_the_other_way() -> None:
    """The part of which another way is known is made so, and the rest of the bed as usual."""
    weekend = shared_bed()
    piece = replace(printed("piece", 30, "mex"), cargo=(("piece", 1),))
    way = Swap(
        id="way",
        kind=Turn.ROUTE,
        name="Of plates",
        out=frozenset({"a"}),
        into=frozenset({"piece"}),
    )
    shared = replace(printed("shared", 80, "mex"), cargo=(("b", 1), ("piece", 1)))
    joined = replace(way, id="way+bed", out=frozenset("ab"), into=frozenset({"shared"}))
    swaps = (*weekend.swaps, way, joined)
    weekend = replace(weekend, activities=(*weekend.activities, piece, shared), swaps=swaps)
    (remedy,) = [r for r in choices(weekend, "ab") if r.cure is Cure.FORK]
    ground = Ground(weekend=weekend, plan=None, mass_g={"a": 5.0, "b": 7.0, "piece": 2.0})
    (option,) = weighed(ground, [remedy])
    assert {"piece", "b"} <= set(option.answer.plan.order)
    assert not {"a", "ab"} & set(option.answer.plan.order)
    assert (option.detail, option.mass_g, option.machine_s) == ("Of plates", 9.0, 90 * 60)


def test_a_bed_of_copies_can_be_taken_apart() -> None:
    """Every copy is printed by itself, and stays so once one of them is under way."""
    base = maker_weekend(slack=2)
    whole = replace(printed("lid", 100, "mex"), cargo=(("lid", 2),))
    single = [replace(printed(f"lid-{n}", 55, "mex"), cargo=(("lid", 1),)) for n in (1, 2)]
    swap = Swap(
        id="apart",
        kind=Turn.BED,
        name="Lid",
        out=frozenset({"lid"}),
        into=frozenset({"lid-1", "lid-2"}),
    )
    weekend = replace(base, activities=(whole, *single), swaps=(swap,))
    (remedy,) = [r for r in choices(weekend, "lid") if r.cure is Cure.APART]
    (option,) = weighed(Ground(weekend=weekend, plan=None, mass_g={"lid": 3.0}), [remedy])
    assert set(option.answer.plan.order) == {"lid-1", "lid-2"}
    assert (option.machine_s, option.mass_g) == (110 * 60, 6.0)
    chosen = Entry(kind=Event.CHOSEN, moment_s=BEGIN, noted_s=BEGIN, id=1, remedy=remedy)
    begun = Entry(
        kind=Event.STARTED,
        moment_s=BEGIN,
        noted_s=BEGIN,
        id=2,
        subject="lid-1",
        meant=meant_by(single[0], weekend),
    )
    for entries in ([chosen], [chosen, begun]):
        chosen_entries = [replace(e, subject=e.subject or "lid") for e in entries]
        left = under_way(weekend, state_of(chosen_entries), BEGIN + 60).weekend
        assert {activity.id for activity in left.activities} == {"lid-1", "lid-2"}
        assert not left.swaps


def test_a_cut_takes_a_sheet() -> None:
    """What is cut is told by its sheet, and has no grams of its own."""
    base = maker_weekend(slack=2)
    sheet = base.activity("acrylic-3-sheet-1")
    assert isinstance(sheet, Run)
    cut = replace(sheet, cargo=(("base", 1),))
    left = replace(base, activities=tuple(cut if a.id == cut.id else a for a in base.activities))
    ground = Ground(weekend=left, plan=None, mass_g=MASS_G, sheets={"base": "acrylic 3 mm"})
    found = {o.remedy.cure: o for o in weighed(ground, choices(left, cut.id))}
    assert (found[Cure.AGAIN].sheets, found[Cure.AGAIN].mass_g) == (("acrylic 3 mm",), 0.0)
    assert found[Cure.REPAIR].sheets == found[Cure.DROP].sheets == ()


def test_what_is_made_otherwise_takes_the_material_of_that() -> None:
    """The usual way, taken after the other one has failed, is no less than what it takes."""
    base = weekend()
    left = replace(base, activities=tuple(a for a in base.activities if a.id != "louvre-1"))
    (remedy,) = [r for r in choices(left, "piece") if r.cure is Cure.FORK]
    (option,) = weighed(Ground(weekend=left, plan=None, mass_g=MASS_G), [remedy])
    funnel = left.activity("funnel")
    assert isinstance(funnel, Run)
    assert option.mass_g == MASS_G["funnel"]
    assert option.machine_s == round(funnel.choices[0].seconds.likely)


def test_handwork_that_failed_has_fewer_choices(ground: Ground) -> None:
    """What hands do is done again or left out."""
    found = choices(ground.weekend, "assemble")
    assert [remedy.cure for remedy in found] == [Cure.AGAIN, Cure.DROP]
