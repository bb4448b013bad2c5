"""Work that may be done before the weekend starts."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Task
from fabsched.model.windows import Windows
from fabsched.schedule.answers import checked_course
from fabsched.schedule.early import begin_s, early_works, held_to_start
from tests.model.made import H, printing, task
from tests.schedule.projects import HOUR_S, NOW, NOW_S, PROJECT, weekend

START_S = NOW_S + 20 * HOUR_S
WORKS = tuple(replace(work, early=work.id in {"code", "build"}) for work in PROJECT.works)
EARLY = replace(PROJECT, start=NOW + timedelta(hours=20), works=WORKS)


def test_only_what_waits_for_nothing_else_is_early() -> None:
    """What is built from parts cannot be done before there are any, whatever it says."""
    assert [work.id for work in early_works(EARLY)] == ["code"]
    assert early_works(PROJECT) == ()


def test_planning_reaches_back_no_further_than_early_work_asks_for() -> None:
    """Four hours on a bad day ask for six hours that somebody is up, counted back from the start."""
    assert weekend(EARLY).begin_s == START_S - 6 * HOUR_S
    evenings = Windows.of((NOW_S + a * HOUR_S, NOW_S + (a + 4) * HOUR_S) for a in range(0, 20, 5))
    begins = begin_s(EARLY, [evenings], now_s=NOW_S, start_s=START_S)
    assert begins == NOW_S + 12 * HOUR_S
    soon = begin_s(EARLY, [evenings], now_s=START_S - 6 * HOUR_S, start_s=START_S)
    assert soon == START_S - 5 * HOUR_S
    nobody = begin_s(EARLY, [Windows.of([])], now_s=NOW_S, start_s=START_S)
    assert nobody == START_S


def test_nothing_changes_where_nothing_is_early() -> None:
    """Or where the start is past."""
    assert weekend(replace(EARLY, works=PROJECT.works)).begin_s == START_S
    assert begin_s(EARLY, [], now_s=START_S + 1, start_s=START_S) == START_S


def test_early_work_is_done_before_and_all_else_after_the_start() -> None:
    """By a plan the checker accepts: nothing but the code has a block before the start."""
    found = weekend(EARLY)
    plan = Plan(
        order=tuple(a.id for a in found.activities if a.id in found.standing),
        dropped=frozenset(a.id for a in found.activities) - found.standing,
    )
    course = checked_course(found, plan)
    before = [block for block in course.blocks if block.start_s < START_S]
    early = {a.id for a in found.activities if isinstance(a, Task) and a.of == "code"}
    assert {block.activity for block in before} == early
    assert before[0].start_s == found.begin_s
    assert all(a.end_s <= b.start_s for a, b in pairwise(before))


def test_what_is_late_is_late_by_less_after_the_start() -> None:
    """A delivery expected an hour before the start and two hours late comes an hour after it."""
    late = task("a", earliest_s=START_S - H, late=Spread(0, 2 * H, 4 * H))
    sure = task("b", earliest_s=START_S - 5 * H, late=Spread(0, H, 2 * H))
    later = printing("c", earliest_s=START_S + H)
    a, b, c = held_to_start((late, sure, later), PROJECT, START_S)
    assert (a.earliest_s, a.late) == (START_S, Spread(0, H, 3 * H))
    assert (b.earliest_s, b.late) == (START_S, None)
    assert c == later
