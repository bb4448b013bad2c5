"""What the maker wants to start at a moment."""

from dataclasses import replace
from datetime import UTC, datetime

from fabsched.model.plan import Plan
from fabsched.model.project import Pin
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Task
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.pins import pinned
from tests.schedule.synthetic import synthetic_weekend

WEEKEND = synthetic_weekend(15, 0)
STANDING = Plan(
    order=tuple(a.id for a in WEEKEND.activities if a.id in WEEKEND.standing),
    dropped=frozenset(a.id for a in WEEKEND.activities) - WEEKEND.standing,
)


def pin(ident: str, moment_s: int) -> Pin:
    """A wish."""
    return Pin(id=ident, at=datetime.fromtimestamp(moment_s, UTC))


def free_task() -> Task:
    """Work that waits for nothing, the last in the order."""
    tasks = (a for a in WEEKEND.activities if isinstance(a, Task) and a.id in WEEKEND.standing)
    return [task for task in tasks if not task.after][-1]


def test_what_is_pinned_starts_at_its_moment() -> None:
    """The last work in the order, pinned to the beginning, is the first thing hands do."""
    task = free_task()
    plain = replay(WEEKEND, STANDING, nominal(WEEKEND))
    held = pinned(WEEKEND, [pin(task.id, WEEKEND.begin_s)])
    course = replay(held, STANDING, nominal(held))
    first = next(b for b in course.blocks if b.activity == task.id)
    before = next(b for b in plain.blocks if b.activity == task.id)
    assert first.start_s <= before.start_s
    assert not [
        b for b in course.blocks if b.resource == first.resource and b.end_s <= first.start_s
    ]


def test_what_is_pinned_later_waits() -> None:
    """Nothing of it starts before its moment, whatever else is free."""
    task = free_task()
    moment_s = WEEKEND.begin_s + 20 * 3600
    held = pinned(WEEKEND, [pin(task.id, moment_s)])
    course = replay(held, STANDING, nominal(held))
    assert min(b.start_s for b in course.blocks if b.activity == task.id) >= moment_s


def test_the_simulator_keeps_wishes_too() -> None:
    """Replay and the compiled simulator agree to the second with something pinned."""
    held = pinned(WEEKEND, [pin(free_task().id, WEEKEND.begin_s + 7200)])
    draws = draw(compile_weekend(held), 40, 5)
    finishes = finishes_of(draws, STANDING)
    for number in range(40):
        assert replay(held, STANDING, scenario_of(draws, number)).finish_s == finishes[number]


def test_pieces_of_work_go_together() -> None:
    """All pieces go first, the first of them is held back."""
    task = free_task()
    pieces = tuple(replace(task, id=f"{task.id}-{n}", of="long") for n in (1, 2))
    weekend = replace(WEEKEND, activities=(*WEEKEND.activities, *pieces))
    held = pinned(weekend, [pin("long", weekend.begin_s + 60)])
    assert held.first == {piece.id for piece in pieces}
    assert [held.activity(p.id).earliest_s for p in pieces] == [
        weekend.begin_s + 60,
        task.earliest_s,
    ]


def test_a_wish_for_something_else_changes_nothing() -> None:
    """What is not planned any more is let be."""
    held = pinned(WEEKEND, [pin("gone", WEEKEND.begin_s)])
    assert (held.first, held.activities) == (frozenset(), WEEKEND.activities)
