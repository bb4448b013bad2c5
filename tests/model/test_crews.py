"""Work for several people at once: who does it together, and when."""

from dataclasses import replace

import pytest

from fabsched.model.plan import Course, Doing, Plan, Reason, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import Scenario, nominal
from fabsched.model.weekend import Hands, Weekend
from fabsched.schedule.checker import check
from tests.model.made import H, as_listed, block, hours, printing, span, task, weekend

ADA_BO_CY = ("ada", "bo", "cy")


def nominally(week: Weekend, *order: str) -> Course:
    """The nominal course, in the listed order or another; the checker accepts it."""
    plan = Plan(order=order) if order else as_listed(week)
    course = replay(week, plan, nominal(week))
    assert check(week, plan, course) == ()
    return course


def of(week: Weekend, ident: str, **changed: object) -> Weekend:
    """The same with one person changed."""
    hands = tuple(replace(h, **changed) if h.id == ident else h for h in week.hands)  # type: ignore[arg-type]  # fields by name
    return replace(week, hands=hands)


def people_of(course: Course, activity: str) -> list[str]:
    """Who does something, as listed."""
    return sorted({b.resource for b in course.blocks if b.activity == activity})


def test_two_people_lift_together() -> None:
    """Each has a block of the same time, and each names the other."""
    course = nominally(weekend(task("lift", crew=2), people=("ada", "bo")))
    assert span(course, "lift") == span(course, "lift+bo") == (0, 1)
    assert (block(course, "lift").resource, block(course, "lift").others) == ("ada", ("bo",))
    assert (block(course, "lift+bo").resource, block(course, "lift+bo").others) == ("bo", ("ada",))


def test_a_crew_waits_for_who_is_busy() -> None:
    """It starts when the last of them is free, and the reason names that person."""
    week = weekend(
        task("wire", 2 * H, people=("bo",)), task("lift", crew=2, after=()), people=("ada", "bo")
    )
    course = nominally(week)
    assert span(course, "lift") == (2, 3)
    assert block(course, "lift").reason == Reason(
        Why.CREW, {"who": "Bo", "what": "Wire"}, Doing.WORK
    )
    assert dict(block(course, "lift").reason.facts) == {"who": "Bo", "what": "Wire"}


def test_nobody_begins_what_is_less_urgent_while_a_crew_gathers() -> None:
    """Without that rule, pieces of an hour that end at different times would keep two people apart."""
    week = weekend(
        task("short", H / 2, people=("ada",)),
        task("long", 3 * H / 4, people=("bo",)),
        task("lift", crew=2),
        *(task(f"code{i}", H, people=("ada",)) for i in range(5)),
        *(task(f"solder{i}", H, people=("bo",)) for i in range(5)),
        people=("ada", "bo"),
    )
    assert span(nominally(week), "lift")[0] == 0.75
    last = nominally(week, *(a.id for a in week.activities if a.id != "lift"), "lift")
    assert span(last, "lift")[0] == 5.75


def test_what_is_more_urgent_goes_before_a_crew_that_gathers() -> None:
    """Who keeps free still tends the printer and does what the plan puts first."""
    week = weekend(
        printing("lid", H / 4),
        task("wire", 2 * H, people=("bo",)),
        task("lift", crew=2),
        people=("ada", "bo"),
    )
    course = nominally(week)
    assert block(course, "lid.clear").resource == "ada"
    assert block(course, "lid.clear").start_s == block(course, "lid").end_s
    assert span(course, "lift")[0] == 2


def test_who_sleeps_is_not_waited_for() -> None:
    """While the hours are in the way, other work goes on, up to the moment they come."""
    week = weekend(task("lift", crew=2), task("code", 2 * H), task("tidy", H), people=("ada", "bo"))
    course = nominally(of(week, "bo", windows=hours((4, 20))))
    assert span(course, "code") == (0, 2)
    assert span(course, "lift") == (4, 5)
    assert block(course, "lift").reason.code is Why.UP


def test_of_three_those_are_taken_who_can_begin_first() -> None:
    """Two of three lift; the third, still busy, is not waited for."""
    week = weekend(
        task("wire", 4 * H, people=("bo",)),
        task("lift", crew=2, people=ADA_BO_CY),
        people=ADA_BO_CY,
    )
    course = nominally(week)
    assert people_of(course, "lift") == ["ada", "cy"]
    assert span(course, "lift")[0] == 0


def test_each_comes_to_the_place() -> None:
    """One waits at the workshop for the other to arrive."""
    week = weekend(task("lift", crew=2, place="workshop"), people=("ada", "bo"))
    course = nominally(of(week, "bo", at="workshop"))
    assert span(course, "lift") == (0.5, 1.5)
    assert span(course, "ada.travel.1") == (0, 0.5)


def test_a_pause_of_one_is_a_pause_of_all() -> None:
    """What may be split stops while one of them is away and goes on together."""
    week = weekend(task("paint", 3 * H, crew=2, splittable=True), people=("ada", "bo"))
    week = of(week, "ada", windows=hours((0, 1), (2, 20)))
    week = of(week, "bo", windows=hours((0, 3), (4, 20)))
    course = nominally(week)
    for ident in ("paint", "paint+bo"):
        spans = [span(course, f"{ident}{piece}") for piece in ("", "#2", "#3")]
        assert spans == [(0, 1), (2, 3), (4, 5)]


def test_what_may_not_be_split_finds_time_in_which_all_can() -> None:
    """Two hours fit into the hours of each by itself before they fit into those of both."""
    week = weekend(task("lift", 2 * H, crew=2), people=("ada", "bo"))
    week = of(week, "ada", windows=hours((0, 3), (6, 20)))
    week = of(week, "bo", windows=hours((2, 5), (7, 20)))
    assert span(nominally(week), "lift") == (7, 9)


def test_crews_that_share_people_do_not_wait_for_each_other() -> None:
    """Three pairs of three people, each busy at first: one pair after the other."""
    pairs = {"x": ("ada", "bo"), "y": ("bo", "cy"), "z": ("ada", "cy")}
    week = weekend(
        *(task(f"own-{p}", (i + 1) * H, people=(p,)) for i, p in enumerate(ADA_BO_CY)),
        *(task(ident, crew=2, people=pair) for ident, pair in pairs.items()),
        people=ADA_BO_CY,
    )
    course = nominally(week)
    assert [span(course, ident)[0] for ident in ("x", "y", "z")] == [2, 3, 4]


def test_who_keeps_free_is_not_taken_for_less_urgent_crews() -> None:
    """The crew that stands first gets its people, although another could start at once."""
    week = weekend(
        task("wire", 2 * H, people=("cy",)),
        task("first", crew=2, people=("ada", "cy")),
        task("second", 5 * H, crew=2, people=("ada", "bo")),
        people=ADA_BO_CY,
    )
    course = nominally(week)
    assert span(course, "first") == (2, 3)
    assert span(course, "second") == (3, 8)


def test_all_are_held_until_a_crew_ends() -> None:
    """Taking longer than likely, it keeps everybody."""
    week = weekend(
        task("lift", crew=2),
        task("code", people=("ada",)),
        task("wire", people=("bo",)),
        people=("ada", "bo"),
    )
    late = {**nominal(week).seconds, "lift": (4 * H,)}
    course = replay(week, as_listed(week), Scenario(seconds=late))
    assert [span(course, ident)[0] for ident in ("code", "wire")] == [4, 4]


def test_who_will_never_be_free_is_not_waited_for() -> None:
    """Somebody whose work outlasts all hours does not keep the others."""
    week = weekend(
        task("wire", people=("bo",), needed=False),
        task("lift", crew=2, needed=False),
        task("code", people=("ada",)),
        people=("ada", "bo"),
    )
    course = replay(
        week, as_listed(week), Scenario(seconds={**nominal(week).seconds, "wire": (10**9,)})
    )
    assert course.finish_s == H


@pytest.mark.parametrize("crew", [0, -1, 3])
def test_a_crew_is_some_of_those_who_may(crew: int) -> None:
    """Nobody, or more than there are, is refused."""
    with pytest.raises(ValueError, match="crew"):
        task("lift", crew=crew)


def test_people_are_told_apart_by_their_ids() -> None:
    """Two people of one name are two people."""
    week = weekend(task("lift", crew=2), people=("ada", "bo"))
    twins = tuple(Hands(id=h.id, name="Ada", base=h.base, windows=h.windows) for h in week.hands)
    assert people_of(nominally(replace(week, hands=twins)), "lift") == ["ada", "bo"]
