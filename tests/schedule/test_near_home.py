"""Prints that run only while whoever started them stays at home, from the shop file to the plan."""

from dataclasses import replace

import pytest

from fabsched.files.resources import resource
from fabsched.files.shop_toml import parse_shop
from fabsched.model.estimates import Route
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.project import Part, Work
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.checker import check
from fabsched.schedule.effort import Effort
from fabsched.schedule.planner import make_plan
from fabsched.schedule.structure import weekend_of
from tests.schedule.projects import ALWAYS, HORIZON_S, NOW_S, PROJECT

LITTLE = Effort(solver=0.05, race=400, search=2_000_000, odds=2000, last_starts=0)
HOUR = 3600
NIGHT = Windows.of((NOW_S + (6 + 24 * n) * HOUR, NOW_S + (14 + 24 * n) * HOUR) for n in range(5))
"""When the maker sleeps, at home."""


def planned_weekend(unattended: str) -> Weekend:
    """Two long prints, a cut in the workshop and something to do at home."""
    text = resource("shop/shop.toml").read_text("utf-8")
    shop = parse_shop(text.replace("unattended = true", f"unattended = {unattended}"))
    parts = (
        Part(id="lid", name="Lid", file="lid.stl", minutes=Spread(240, 300, 390)),
        Part(id="foot", name="Foot", file="foot.stl", minutes=Spread(240, 300, 390)),
        Part(
            id="plate",
            name="Plate",
            file="plate.svg",
            route=Route.CUT,
            material="plywood",
            thickness_mm=3.0,
            minutes=Spread(20, 30, 45),
        ),
    )
    code = Work(id="code", name="Code", minutes=Spread(60, 120, 240), splittable=True)
    project = replace(PROJECT, parts=parts, works=(code,), gates=())
    hours = dict.fromkeys((*shop.machines, *(place.id for place in shop.places)), ALWAYS)
    up = ALWAYS - NIGHT
    return weekend_of(project, shop, {}, {**hours, "maker": up}, now_s=NOW_S, horizon_s=HORIZON_S)


@pytest.fixture(scope="module")
def near() -> Weekend:
    """With a printer that needs somebody near."""
    return planned_weekend('"nearby"')


@pytest.fixture(scope="module")
def answer(near: Weekend) -> Answer:
    """The plan for it."""
    return make_plan(near, seed=1, effort=LITTLE)


def within(runs: list[Block], ways: list[Block]) -> list[tuple[str, str]]:
    """Ways that lie within a run, at least in part."""
    pairs = [(run, way) for run in runs for way in ways]
    return [(r.id, w.id) for r, w in pairs if w.start_s < r.end_s and r.start_s < w.end_s]


def prints_and_ways(blocks: tuple[Block, ...]) -> tuple[list[Block], list[Block]]:
    """Runs that nobody attends, and ways."""
    runs = [block for block in blocks if block.kind is Kind.RUN and not block.attended]
    return runs, [block for block in blocks if block.kind is Kind.TRAVEL]


def test_no_way_lies_within_a_print(near: Weekend, answer: Answer) -> None:
    """The plan makes everything, sleeps beside its prints and goes to the laser between them."""
    runs, ways = prints_and_ways(answer.course.blocks)
    assert len(runs) == 2
    assert ways
    assert within(runs, ways) == []
    assert check(near, answer.plan, answer.course) == ()
    assert answer.odds.on_time > 0.5


def test_the_checker_tells_a_plan_that_goes_away(near: Weekend) -> None:
    """What would do for a printer that runs alone is refused here."""
    alone = planned_weekend("true")
    assert not any(run.stays for run in alone.activities if isinstance(run, Run))
    found = make_plan(alone, seed=1, effort=LITTLE)
    course = replay(alone, found.plan, nominal(alone))
    assert within(*prints_and_ways(course.blocks))
    faults = check(near, found.plan, course)
    assert any("maker leaves home while it runs" in fault for fault in faults)


def test_in_every_weekend_somebody_is_near(near: Weekend, answer: Answer) -> None:
    """Failures and delays included; and the simulator says what the replay says."""
    draws = draw(compile_weekend(near), 40, 3)
    courses = [replay(near, answer.plan, scenario_of(draws, i)) for i in range(40)]
    assert finishes_of(draws, answer.plan).tolist() == [course.finish_s for course in courses]
    assert any("@" in block.id for course in courses for block in course.blocks)
    for course in courses:
        assert within(*prints_and_ways(course.blocks)) == []
