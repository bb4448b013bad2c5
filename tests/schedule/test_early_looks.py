"""Early looks for a fault, and what becomes of them without what they look at."""

from dataclasses import replace

import pytest

from fabsched.model.weekend import Run, Task, Weekend
from fabsched.schedule.early_looks import is_for_a_look, looked_at_already, looks_at
from fabsched.schedule.remedies import left_out
from tests.model.made import H, printing, task, weekend


def _week() -> Weekend:
    """A lid that waits for trying a coupon, and for the coupon by name as well."""
    return weekend(
        printing("coupon", 600, needed=False),
        task("try", 60, chance=0.3, redo=("coupon",), after=("coupon",), needed=False),
        printing("lid", 4 * H, after=("try", "coupon")),
        task("fit", 60, chance=0.1, redo=("lid",), after=("lid",)),
    )


def test_a_coupon_is_there_for_a_look_alone() -> None:
    """The part it is for is not, nor is a look."""
    week = _week()
    assert [each.id for each in week.activities if is_for_a_look(week, each.id)] == ["coupon"]
    assert [look.id for look in looks_at(week, ["coupon"])] == ["try"]


def test_without_a_coupon_its_faults_are_found_later() -> None:
    """Chances of 3 and 1 in 10 leave 0.7 * 0.9 without a fault; the part waits for nothing."""
    rest = left_out(_week(), frozenset({"coupon"}))
    assert [each.id for each in rest.activities] == ["lid", "fit"]
    lid, fit = rest.activities
    assert isinstance(lid, Run)
    assert isinstance(fit, Task)
    assert lid.after == ()
    assert fit.chance == pytest.approx(1 - 0.7 * 0.9)


def test_what_no_look_waits_for_is_left_out_as_it_is() -> None:
    """Chances stay what they were."""
    rest = left_out(_week(), frozenset({"lid"}))
    chances = [each.chance for each in rest.activities if isinstance(each, Task)]
    assert chances == [0.3, 0.1]


def test_nobody_makes_what_was_looked_at_already() -> None:
    """Only what is for looks alone, and only once all of them are over."""
    week = _week()
    assert looked_at_already(week, ["try"]) == {"coupon"}
    assert looked_at_already(week, []) == frozenset()
    assert looked_at_already(week, ["coupon", "try"]) == frozenset()
    assert looked_at_already(week, ["fit"]) == frozenset()
    again = task("again", 60, chance=0.1, after=("coupon",), needed=False)
    two = replace(week, activities=(*week.activities, again))
    assert looked_at_already(two, ["try"]) == frozenset()


def test_a_ladder_shows_more_than_it_has_done_again() -> None:
    """Without it all that it would have shown is found later: 1 - 0.4 * 0.9."""
    week = _week()
    ladder = tuple(
        replace(each, chance=0.1, shows=0.6)
        if isinstance(each, Task) and each.id == "try"
        else each
        for each in week.activities
    )
    rest = left_out(replace(week, activities=ladder), frozenset({"coupon"}))
    fit = rest.activity("fit")
    assert isinstance(fit, Task)
    assert fit.chance == pytest.approx(1 - 0.4 * 0.9)
