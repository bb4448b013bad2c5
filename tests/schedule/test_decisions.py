"""What a project leaves open becomes swaps; whatever is swapped, the whole project is done."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from graphlib import TopologicalSorter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.estimates import Route
from fabsched.model.plan import Plan
from fabsched.model.project import Fork, Gate, Part, Project, Way, Work
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Swap, Task, Turn, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.answers import checked_course
from fabsched.schedule.checked_choice import choice_faults
from tests.schedule.projects import ESTIMATES, HOURS, NOW_S, PROJECT, SHOP, estimate, weekend

State = frozenset[str]


def part(ident: str, *after: str, **more: object) -> Part:
    """A printed part."""
    return replace(Part(id=ident, name=ident.title(), file=f"{ident}.stl", after=after), **more)  # type: ignore[arg-type]  # the keys are field names by construction


def cut(ident: str, *after: str) -> Part:
    """A cut part."""
    laid = {"route": Route.CUT, "material": "acrylic", "thickness_mm": 3.0}
    return part(ident, *after, **laid)


def work(ident: str, *after: str, needed: bool = True) -> Work:
    """Half an hour of hands."""
    minutes = Spread(20, 30, 60)
    return Work(id=ident, name=ident.title(), minutes=minutes, after=after, needed=needed)


def gate(ident: str, *after: str, eases: str = "", needed: bool = True) -> Gate:
    """A look that finds a fault in one case of five."""
    return Gate(
        id=ident,
        name=ident.title(),
        minutes=Spread(5, 10, 20),
        after=after,
        chance=0.2,
        eases=eases,
        left=0.25,
        needed=needed,
    )


def fork(ident: str, *ways: tuple[str, ...], chosen: str = "") -> Fork:
    """A fork whose ways are numbered from 0."""
    made = (Way(id=f"w{i}", name=f"Way {i}", items=items) for i, items in enumerate(ways))
    return Fork(id=ident, name=ident.title(), ways=tuple(made), chosen=chosen)


def planned(*items: Part | Work, forks: tuple[Fork, ...] = ()) -> tuple[Project, Weekend]:
    """A project of these items, and its weekend."""
    project = replace(
        PROJECT,
        parts=tuple(item for item in items if isinstance(item, Part)),
        works=tuple(item for item in items if type(item) is Work),
        gates=tuple(item for item in items if isinstance(item, Gate)),
        forks=forks,
    )
    known = {
        each.id: ESTIMATES["plate" if each.route is Route.CUT else "louvre"]
        for each in project.parts
    }
    return project, weekend(project, SHOP, HOURS, known)


def after_swap(state: State, swap: Swap) -> Iterator[State]:
    """The states a swap leads to from another, there and back."""
    if swap.out <= state and not swap.into & state:
        yield (state - swap.out) | swap.into
    if swap.into <= state and not swap.out & state:
        yield (state - swap.into) | swap.out


def reachable(found: Weekend, most: int = 3000) -> set[State]:
    """All states, or the first so many."""
    seen, fresh = {found.standing}, [found.standing]
    while fresh and len(seen) < most:
        state = fresh.pop(0)
        new = {s for swap in found.swaps for s in after_swap(state, swap)} - seen
        seen |= new
        fresh += sorted(new, key=sorted)
    return seen


def made_of(found: Weekend, state: State) -> Counter[str]:
    """Copies of every part, and how often every work is done, in a state."""
    made: Counter[str] = Counter()
    for activity in found.activities:
        if activity.id not in state:
            continue
        if isinstance(activity, Run):
            made.update(dict(activity.cargo))
        else:
            made[activity.of] += round(activity.share, 6) == 1 or activity.id.endswith("~1")
    return made


def check_whole(project: Project, found: Weekend, state: State) -> None:
    """One way of every fork is carried out, all that is needed once, nothing by halves."""
    made = made_of(found, state)
    inner = {item for each in project.forks for way in each.ways for item in way.items}
    for item in project.items:
        wanted = item.copies if isinstance(item, Part) else 1
        allowed = {wanted} if item.needed and item.id not in inner else {0, wanted}
        assert made[item.id] in allowed, item.id
    for each in project.forks:
        done = [all(made[i] for i in way.items if needed(project, i)) for way in each.ways]
        some = [any(made[i] for i in way.items) for way in each.ways]
        assert (sum(done), sum(some)) == (1, 1), each.id


def needed(project: Project, ident: str) -> bool:
    """Whether an item is needed."""
    return next(item.needed for item in project.items if item.id == ident)


def check_gates(project: Project, found: Weekend, state: State) -> None:
    """A gate has the chance that is left by those that have looked before."""
    made = made_of(found, state)
    for each in project.gates:
        chance = each.chance
        for early in project.gates:
            if early.eases == each.id and made[early.id]:
                chance *= early.left
        for activity in found.activities:
            if isinstance(activity, Task) and activity.of == each.id and activity.id in state:
                assert activity.chance == pytest.approx(chance)


def standing_parts() -> tuple[Part | Work, ...]:
    """A lid that can be printed whole, or cut with a hook; a coupon before it; a page on top."""
    return (
        part("coupon", needed=False),
        part("lid", "try"),
        cut("plate"),
        part("hook", copies=2),
        cut("back"),
        work("glue", "plate", "hook"),
        work("wire"),
        work("build", "lid", "wire", "back"),
        work("page", "wire", needed=False),
        work("photo", "page", needed=False),
        gate("try", "coupon", eases="fit", needed=False),
        gate("fit", "build"),
    )


STAND = fork("lid", ("coupon", "try", "lid"), ("plate", "hook", "glue"))


def test_nothing_is_ever_done_by_halves() -> None:
    """Every state that can be reached is the whole project, and all kinds of swaps occur."""
    project, found = planned(*standing_parts(), forks=(STAND,))
    states = reachable(found)
    for state in states:
        check_whole(project, found, state)
        check_gates(project, found, state)
    assert {swap.kind for swap in found.swaps} == set(Turn)
    assert len(states) == 12


@st.composite
def open_projects(draw: st.DrawFn) -> tuple[Project, Weekend]:
    """A few items at random, some optional, some gates early, two of them either-or."""
    count = draw(st.integers(2, 8))
    items: list[Part | Work] = []
    for number in range(count):
        ident, earlier = f"i{number}", [item.id for item in items]
        after = draw(st.lists(st.sampled_from(earlier), max_size=2, unique=True)) if earlier else []
        optional = draw(st.booleans())
        kind = draw(st.sampled_from(["part", "cut", "work", "gate"]))
        makers: dict[str, Callable[..., Part | Work]] = {"part": part, "cut": cut, "work": work}
        if kind == "gate":
            later = f"i{draw(st.integers(number + 1, count))}"
            items.append(gate(ident, *after, eases=later, needed=not optional))
        else:
            item = makers[kind](ident, *after)
            items.append(replace(item, needed=not optional))
    gates = {item.id for item in items if isinstance(item, Gate)}
    settled = [
        replace(item, eases=item.eases if item.eases in gates else "")
        if isinstance(item, Gate)
        else item
        for item in items
    ]
    cut_at = draw(st.integers(1, count - 1))
    ways = (f"i{cut_at - 1}",), tuple(f"i{n}" for n in range(cut_at, min(cut_at + 2, count)))
    forks = (fork("f", *ways),) if draw(st.booleans()) else ()
    return planned(*settled, forks=forks)


@settings(max_examples=80, deadline=None)
@given(open_projects())
def test_swaps_of_any_project_are_sound(case: tuple[Project, Weekend]) -> None:
    """Nothing waits in a circle, all names exist, and copies add up wherever swaps lead."""
    project, found = case
    ids = {activity.id for activity in found.activities}
    assert len(ids) == len(found.activities)
    for activity in found.activities:
        assert ids >= {*activity.after, *(activity.redo if isinstance(activity, Task) else ())}
    assert ids == found.standing.union(*(swap.into for swap in found.swaps))
    assert len({swap.id for swap in found.swaps}) == len(found.swaps)
    for state in reachable(found, 300):
        after = {a.id: {*a.after} & state for a in found.activities if a.id in state}
        list(TopologicalSorter(after).static_order())
        made = made_of(found, state)
        for item in project.items:
            wanted = item.copies if isinstance(item, Part) else 1
            assert made[item.id] in {0, wanted}
        check_gates(project, found, state)
        plan = Plan(order=tuple(sorted(state)), dropped=frozenset(ids - state))
        assert not list(choice_faults(found, plan))


@settings(max_examples=15, deadline=None)
@given(open_projects())
def test_every_choice_can_be_carried_out(case: tuple[Project, Weekend]) -> None:
    """Wherever swaps lead, the dispatch rule comes to an end and the checker finds nothing."""
    _, found = case
    every = {activity.id for activity in found.activities}
    for state in sorted(reachable(found, 20), key=sorted):
        order = tuple(a.id for a in found.activities if a.id in state)
        course = checked_course(found, Plan(order=order, dropped=frozenset(every - state)))
        assert course.done_s.keys() == state


def test_first_way_stands_and_others_take_its_place() -> None:
    """With no swap taken the first way is carried out; a chosen way leaves the others out."""
    items = (part("lid"), cut("plate"), work("build", "lid"))
    _, found = planned(*items, forks=(fork("f", ("lid",), ("plate",)),))
    assert found.standing == {"lid", "build"}
    (swap,) = found.swaps
    assert (swap.kind, swap.name, {*swap.out}) == (Turn.ROUTE, "F: Way 1", {"lid"})
    assert swap.into == {"acrylic-3-f-w1-sheet-1"}
    _, found = planned(*items, forks=(fork("f", ("lid",), ("plate",), chosen="w1"),))
    assert (found.swaps, len(found.activities)) == ((), 2)
    assert found.activity("build").after == ("acrylic-3-f-w1-sheet-1",) or found.activity(
        "build"
    ).after == ("acrylic-3-sheet-1",)


def test_followers_wait_for_the_ends_of_every_way() -> None:
    """Whoever waits for one way waits for whatever is made instead."""
    items = (part("lid"), part("hook"), work("glue", "hook"), work("build", "lid"))
    _, found = planned(*items, forks=(fork("f", ("lid",), ("hook", "glue")),))
    assert {*found.activity("build").after} == {"lid", "glue"}


def test_what_is_wanted_only_by_something_left_out_goes_too() -> None:
    """Leaving out the page leaves out the photo of it; the wiring, which is needed, stays."""
    items = (work("wire"), work("page", "wire", needed=False), work("photo", "page", needed=False))
    _, found = planned(*items)
    assert {frozenset(s) for s in reachable(found)} == {
        frozenset({"wire", "page", "photo"}),
        frozenset({"wire"}),
    }


def test_an_early_gate_takes_most_of_a_later_gates_chance() -> None:
    """Without it neither it nor its coupon are made and the later gate has its full chance."""
    items = (
        part("coupon", needed=False),
        part("lid", "try"),
        gate("try", "coupon", eases="fit", needed=False),
        gate("fit", "lid"),
    )
    _, found = planned(*items)
    assert found.standing == {"lid", "fit"}
    swap = next(swap for swap in found.swaps if swap.kind is Turn.GATE)
    assert (swap.out, swap.into) == (State({"fit"}), State({"try", "coupon", "fit-after-try"}))
    full, eased = found.activity("fit"), found.activity("fit-after-try")
    assert isinstance(full, Task)
    assert isinstance(eased, Task)
    assert (full.chance, eased.chance, eased.of) == (0.2, 0.05, "fit")
    assert {*found.activity("lid").after} == {"try", "coupon"}


def test_a_needed_early_gate_is_no_decision() -> None:
    """Where it has to be, the later gate is eased anyway."""
    _, found = planned(gate("try", eases="fit"), gate("fit", "try"))
    fit = found.activity("fit")
    assert isinstance(fit, Task)
    assert (found.swaps, fit.chance) == ((), 0.05)


def test_followers_of_a_skipped_gate_wait_for_what_it_waited_for() -> None:
    """Skipping a look does not let work begin before its parts are there."""
    _, found = planned(part("lid"), gate("look", "lid", needed=False), work("build", "look"))
    assert {*found.activity("build").after} == {"look", "lid"}


def test_copies_can_be_kept_apart() -> None:
    """Instead of a full bed there may be one bed for each copy, on whatever printer takes one."""
    _, found = planned(part("foot", copies=3))
    apart = next(swap for swap in found.swaps if swap.kind is Turn.BED)
    assert (apart.out, len(apart.into)) == (State({"foot"}), 3)


def test_smaller_printers_take_single_copies() -> None:
    """A bed that only the large printer takes does not leave the small one idle."""
    small = replace(SHOP.printers[0], id="small", bed_mm=(80, 80, 80))
    shop = replace(SHOP, printers=(*SHOP.printers, small))
    known = {m: estimate(m, Spread(3000, 3600, 4500), (60, 60)) for m in ("mex", "small")}
    project = replace(PROJECT, parts=(part("foot", copies=2),), works=(), gates=())
    hours = {**HOURS, "small": HOURS["mex"]}
    found = weekend(project, shop, hours, {"foot": known})
    machines = {
        a.id: {choice.machine for choice in a.choices}
        for a in found.activities
        if isinstance(a, Run)
    }
    assert machines["foot"] == {"mex"}
    assert machines["foot-copy-1"] == {"mex", "small"}


def test_parts_of_one_filament_share_a_bed() -> None:
    """Two parts fit beside each other; their bed takes both times, heated once, and both needs."""
    project, found = planned(part("a"), part("b"), part("c", material="PETG"), part("d", "a"))
    beds = [swap for swap in found.swaps if swap.kind is Turn.BED]
    assert [(swap.out, swap.into) for swap in beds] == [(State({"a", "b"}), State({"a+b"}))]
    both = found.activity("a+b")
    assert isinstance(both, Run)
    assert both.cargo == (("a", 1), ("b", 1))
    assert both.choices[0].seconds.likely == 480 + 2 * (1800 - 480)
    assert {*found.activity("d").after} == {"a", "a+b"}
    assert len(project.parts) == 4


def with_coupon(ident: str, *parts: Part | Work) -> tuple[Project, Weekend]:
    """A project in which one part has a coupon, whose check eases the test fit."""
    items = [
        replace(each, after=(*each.after, f"{ident}-check")) if each.id == ident else each
        for each in parts
    ]
    fit = gate("fit", *(each.id for each in parts))
    check = gate(f"{ident}-check", f"{ident}-coupon", eases="fit", needed=False)
    return planned(*items, part(f"{ident}-coupon", needed=False), fit, check)


def test_a_coupon_does_not_tear_a_bed_apart() -> None:
    """Two parts that could share a bed still can once one has a coupon; the bed waits for its check."""
    _, before = planned(part("a"), part("b"), gate("fit", "a", "b"))
    _, found = with_coupon("a", part("a"), part("b"))
    together = (State({"a", "b"}), State({"a+b"}))
    for week in (before, found):
        assert together in [(s.out, s.into) for s in week.swaps if s.kind is Turn.BED]
    assert {"a-check", "a-coupon"} <= {*found.activity("a+b").after}
    states = [state for state in reachable(found) if "a+b" in state]
    assert {"a-check" in state for state in states} == {True, False}


def test_nothing_waits_in_a_circle_where_both_have_coupons() -> None:
    """Two parts with a coupon each share a bed, and no coupon lies beside what waits for another."""
    checks = (gate(f"{x}-check", f"{x}-coupon", eases="fit", needed=False) for x in "ab")
    coupons = (part(f"{x}-coupon", needed=False) for x in "ab")
    parts = (part("a", "a-check"), part("b", "b-check"), part("c"))
    project, found = planned(*parts, *coupons, gate("fit", "a", "b", "c"), *checks)
    assert State({"a+b"}) in [swap.into for swap in found.swaps]
    for activity in found.activities:
        if isinstance(activity, Run) and any("coupon" in name for name, _ in activity.cargo):
            assert not activity.after
    for state in reachable(found):
        after = {a.id: {*a.after} & state for a in found.activities if a.id in state}
        list(TopologicalSorter(after).static_order())
        check_whole(project, found, state)
        check_gates(project, found, state)


def test_beds_that_never_fit_the_hours_are_no_choice() -> None:
    """A bed longer than the machine may run in one go is not proposed."""
    short = Windows.always(NOW_S, NOW_S + 40 * 60)
    project = replace(PROJECT, parts=(part("a"), part("b")), works=(), gates=())
    known = dict.fromkeys("ab", ESTIMATES["louvre"])
    assert [swap.kind for swap in weekend(project, SHOP, HOURS, known).swaps] == [Turn.BED]
    found = weekend(project, SHOP, {**HOURS, "mex": short}, known)
    assert found.swaps == ()
    assert {a.id for a in found.activities} == {"a", "b"}


def test_sheets_of_a_way_and_of_the_rest_may_be_one() -> None:
    """Nobody knows yet whether the way is taken: so they are cut apart, or together if it is."""
    items = (cut("back"), part("lid"), cut("plate"), work("build", "lid", "back"))
    project, found = planned(*items, forks=(fork("f", ("lid",), ("plate",)),))
    joint = [a for a in found.activities if isinstance(a, Run) and len(a.cargo) > 1]
    assert [dict(run.cargo) for run in joint] == [{"back": 1, "plate": 1}]
    for state in reachable(found):
        check_whole(project, found, state)
    assert any(joint[0].id in state for state in reachable(found))


def test_spools_are_changed_by_hands() -> None:
    """A printer that prints two filaments asks for a change at every start, a heavy bed for more."""
    known = {
        "mex": estimate("mex", Spread(3000, 3600, 4500), (60, 60), mass_g=300.0),
    }
    light, other = part("a", per_run=1), part("c", material="PETG")
    project = replace(PROJECT, parts=(light,), works=(), gates=())
    plain = weekend(project, SHOP, HOURS, {"a": known}).activity("a")
    mixed = weekend(replace(project, parts=(light, other)), SHOP, HOURS, dict.fromkeys("ac", known))
    assert isinstance(plain, Run)
    for ident in "ac":
        run = mixed.activity(ident)
        assert isinstance(run, Run)
        assert run.start_s - plain.start_s == SHOP.printers[0].change_minutes * 60
