"""The checker accepts common work drawn up by hand and refuses it after any one thing is made wrong."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from fabsched.model.plan import Course, Kind, Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Hands, Task
from fabsched.schedule.checker import check
from tests.schedule.test_checker import DAY, HOUR, LATE, NOON, ONE, WEEKEND, block, moved

LIFT_S = 2 * HOUR
CREWED = replace(
    WEEKEND,
    hands=tuple(
        Hands(id=ident, name=ident.title(), base="home", windows=DAY)
        for ident in ("ada", "bo", "cy")
    ),
    activities=(
        Task(
            id="lift",
            name="Lift",
            place="home",
            people=("ada", "bo"),
            crew=2,
            seconds=Spread.exactly(LIFT_S),
            splittable=True,
        ),
    ),
)
LIFTING = Plan(order=("lift",))
LIFTED = Course(
    blocks=(
        replace(block("lift", "lift", Kind.WORK, "ada", "home", LATE, NOON), others=("bo",)),
        replace(block("lift#2", "lift", Kind.WORK, "ada", "home", ONE, ONE + HOUR), others=("bo",)),
        replace(block("lift+bo", "lift", Kind.WORK, "bo", "home", LATE, NOON), others=("ada",)),
        replace(
            block("lift+bo#2", "lift", Kind.WORK, "bo", "home", ONE, ONE + HOUR), others=("ada",)
        ),
    ),
    done_s={"lift": ONE + HOUR},
    finish_s=ONE + HOUR,
)


def test_accepts_a_crew() -> None:
    """Two people at the same moments, each of whom names the other."""
    assert check(CREWED, LIFTING, LIFTED) == ()


def by_nobody_else(course: Course) -> Course:
    """The same with only the blocks of the first of them."""
    return replace(course, blocks=tuple(b for b in course.blocks if b.resource == "ada"))


def by_somebody_else(course: Course) -> Course:
    """The same with another in the place of the second."""
    names = {"bo": "cy", "ada": "ada"}
    return replace(
        course,
        blocks=tuple(
            replace(b, resource=names[b.resource], others=tuple(names[o] for o in b.others))
            for b in course.blocks
        ),
    )


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (by_nobody_else, "lift is done by ['ada']"),
        (by_somebody_else, "lift is done by ['ada', 'cy']"),
        (moved("lift+bo", resource="ada"), "overlap on ada"),
        (moved("lift+bo#2", start_s=ONE + 60, end_s=ONE + HOUR + 60), "lift is not done together"),
        (moved("lift+bo", place="hall"), "lift is not done together"),
        (moved("lift", others=()), "lift is said to be done with ()"),
        (moved("lift+bo#2", others=("cy",)), "lift+bo#2 is said to be done with ('cy',)"),
        (moved("lift+bo", start_s=LATE + 60), "lift takes 14340 s of hands, not 14400"),
        (moved("lift+bo#2", start_s=ONE - 60, end_s=ONE + HOUR - 60), "outside the hours of bo"),
    ],
)
def test_refuses_a_broken_crew(change: Callable[[Course], Course], told: str) -> None:
    """Too few, the wrong ones, not together, said otherwise than it is, or outside somebody's hours."""
    faults = check(CREWED, LIFTING, change(LIFTED))
    assert any(told in fault for fault in faults), faults


def test_refuses_a_crew_that_is_split_where_it_must_not_be() -> None:
    """One piece for each is none too many, two are."""
    (lift,) = CREWED.activities
    whole = replace(CREWED, activities=(replace(lift, splittable=False),))  # type: ignore[arg-type]  # a task
    assert check(whole, LIFTING, LIFTED) == ("lift must not be split",)


def test_refuses_a_crew_of_which_one_is_elsewhere() -> None:
    """Everybody has to be where it is done."""
    hands = tuple(replace(h, at="hall") if h.id == "bo" else h for h in CREWED.hands)
    faults = check(replace(CREWED, hands=hands), LIFTING, LIFTED)
    assert "lift+bo is at home while bo is at hall" in faults
