"""The most dangerous blocks."""

import numpy as np

from fabsched.model.spread import Spread
from fabsched.odds.dangers import dangers
from fabsched.odds.sample import Sample
from fabsched.odds.told import most_dangerous
from tests.model.made import MIN, H, as_listed, printing, task, weekend

MANY = Sample(seed=3, scenarios=4000)


def within(value: float, expected: float) -> bool:
    """Whether a share lies within three standard errors."""
    return abs(value - expected) <= 3 * float(np.sqrt(expected * (1 - expected) / MANY.scenarios))


def test_what_may_fail_or_overrun_costs_both_together() -> None:
    """Without slack, a run that fails or takes longer than likely is late whenever either happens."""
    lid = printing("lid", Spread(H, 2 * H, 3 * H), fail_start=0.3)
    week = weekend(lid, deadline_s=2 * H + 15 * MIN)
    (found,) = dangers(week, as_listed(week), MANY)
    assert within(found.cost, 1 - 0.7 * 0.5)
    assert found.wrong_if_late is not None
    assert within(found.wrong, 1 - 0.7 * 0.9)
    assert found.wrong_if_late > found.wrong


def test_the_most_dangerous_comes_first() -> None:
    """What decides the finish outranks what has time to spare, however often that goes wrong."""
    week = weekend(
        task("sure", 2 * H),
        printing("spare", H, fail_start=0.5),
        task("long", Spread(5 * H, 8 * H, 20 * H), people=("bo",)),
        people=("ada", "bo"),
        deadline_s=11 * H,
    )
    found = dangers(week, as_listed(week), MANY)
    worst = most_dangerous(found)
    assert worst is not None
    assert worst.id == "long" == found[0].id
    assert [each.cost for each in found] == sorted((each.cost for each in found), reverse=True)
    spare = next(each for each in found if each.id == "spare")
    assert spare.wrong_if_late is not None
    assert abs(spare.wrong_if_late - spare.wrong) < 0.05


def test_a_fault_belongs_to_its_gate() -> None:
    """A gate that never finds a fault gains what finding one costs."""
    week = weekend(
        task("a", H), task("fit", H, after=("a",), chance=0.4, redo=("a",)), deadline_s=2 * H
    )
    found = {each.id: each for each in dangers(week, as_listed(week), MANY)}
    assert within(found["fit"].cost, 0.4)
    assert found["fit"].wrong_if_late == 1.0
    assert found["a"].cost == 0.0


def test_nothing_is_dangerous_where_nothing_can_go_wrong() -> None:
    """A sure plan has no most dangerous block, nor late weekends to look into."""
    week = weekend(task("a", H))
    found = dangers(week, as_listed(week), MANY)
    assert most_dangerous(found) is None
    assert [(each.wrong, each.wrong_if_late) for each in found] == [(0.0, None)]
