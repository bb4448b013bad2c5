"""What setbacks cost."""

import tomllib
from pathlib import Path

import numpy as np

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import AGAIN
from fabsched.odds.setbacks import setbacks
from fabsched.odds.told import Mishap, Setback
from tests.model.made import MIN, H, as_listed, printing, task, weekend

MANY = 4000


def of(found: tuple[Setback, ...], kind: Mishap, ident: str) -> Setback:
    """The one of a kind about a thing."""
    return next(each for each in found if (each.kind, each.id) == (kind, ident))


def within(value: float, expected: float) -> bool:
    """Whether a share lies within three standard errors."""
    return abs(value - expected) <= 3 * float(np.sqrt(expected * (1 - expected) / MANY))


def test_a_failure_without_slack_costs_its_chance() -> None:
    """With time for one attempt, never failing would gain exactly the share that fails."""
    week = weekend(printing("lid", 2 * H, fail_start=0.3), deadline_s=2 * H + 15 * MIN)
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert (found.kind, found.id) == (Mishap.FAILS, "lid")
    assert found.cost == found.chance
    assert within(found.chance, 0.3)


def test_a_fault_without_slack_costs_its_chance() -> None:
    """With time for one look, a gate that never finds a fault would gain the share that does."""
    week = weekend(
        task("a", H), task("fit", H, after=("a",), chance=0.4, redo=("a",)), deadline_s=2 * H
    )
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert (found.kind, found.id) == (Mishap.FAULT, "fit")
    assert found.cost == found.chance
    assert within(found.chance, 0.4)


def test_a_second_fault_belongs_to_the_same_gate() -> None:
    """With time for one repetition, what is lost are the weekends with two faults."""
    week = weekend(
        task("a", H), task("fit", H, after=("a",), chance=0.6, redo=("a",)), deadline_s=4 * H
    )
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert within(found.cost, 0.6 * 0.6 * AGAIN)


def test_an_overrun_without_slack_costs_its_chance() -> None:
    """Work that may take no longer than likely is late whenever it does."""
    week = weekend(task("a", Spread(H, 2 * H, 9 * H)), deadline_s=2 * H)
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert found.kind is Mishap.OVERRUNS
    assert found.cost == found.chance > 0.5


def test_a_late_delivery_without_slack_costs_its_chance() -> None:
    """All that waits for one delivery is spared together, known by the first."""
    late = Spread(0, H, 9 * H)
    wire, box = (task(name, H, earliest_s=5 * H, late=late) for name in ("wire", "box"))
    week = weekend(wire, box, deadline_s=8 * H)
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert (found.kind, found.id) == (Mishap.LATE, "wire")
    assert found.cost == found.chance > 0.5


def test_pieces_of_a_work_overrun_together() -> None:
    """One work in two pieces is one setback, known by the id of the work."""
    half = Spread(H, 2 * H, 9 * H)
    week = weekend(
        task("w~1", half, of="w"), task("w~2", half, of="w", after=("w~1",)), deadline_s=4 * H
    )
    (found,) = setbacks(week, as_listed(week), seed=1)
    assert (found.kind, found.id) == (Mishap.OVERRUNS, "w")
    assert found.cost == found.chance


def test_the_costliest_comes_first_and_what_is_dropped_costs_nothing() -> None:
    """Setbacks are sorted by cost; those that cannot happen are left out."""
    week = weekend(
        printing("sure", H),
        printing("risky", 5 * H, fail_start=0.5),
        printing("dropped", 5 * H, fail_start=0.5, needed=False),
        task("code", Spread(H, 2 * H, 3 * H)),
        deadline_s=10 * H,
    )
    plan = Plan(order=("risky", "sure", "code"), dropped=frozenset({"dropped"}))
    found = setbacks(week, plan, seed=1)
    assert [each.cost for each in found] == sorted((each.cost for each in found), reverse=True)
    assert (found[0].kind, found[0].id) == (Mishap.FAILS, "risky")
    assert {each.id for each in found} == {"risky", "code"}


def test_the_same_seed_gives_the_same_costs() -> None:
    """Costs are reproducible to the bit."""
    week = weekend(printing("lid", Spread(H, 2 * H, 3 * H), fail_start=0.3), deadline_s=3 * H)
    one = setbacks(week, as_listed(week), scenarios=300, seed=4)
    assert one == setbacks(week, as_listed(week), scenarios=300, seed=4)
    assert of(one, Mishap.FAILS, "lid").cost > 0


def test_every_mishap_has_its_words(checkout: Path) -> None:
    """The wording table holds a template for each kind."""
    words = tomllib.loads((checkout / "resources/wording/en.toml").read_text("utf-8"))
    assert set(words["setback"]) == set(Mishap)
