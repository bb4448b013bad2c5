"""Simulated projects: foretold with the odds, then carried out in worlds drawn from the same prior."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabsched.model.experience import ChanceTold
from fabsched.model.replay import replay
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.odds import odds_from
from fabsched.odds.simulate import finishes_of
from fabsched.odds.truths import PUBLISHED
from tests.odds.large import large_weekend, standing_plan

PILOT = 60
"""Scenarios the deadline is taken from, so that chances of all sizes come up."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """A project foretold, and how often what was foretold came true.

    Attributes:
        chance: told of being in time.
        inside: share of its weekends that ended from P10 to P90.
        on_time: share that ended in time.
    """

    chance: float
    inside: float
    on_time: float


def outcomes(projects: int, *, scenarios: int, lives: int, seed: int = 0) -> Iterator[Outcome]:
    """Foretell projects and carry each out.

    Args:
        projects: how many.
        scenarios: from which odds are told.
        lives: how often each project is carried out, every time in a world of its own. The first life
            is also followed step by step by the rule itself, which shares no code with the odds.
        seed: of everything.
    """
    for number in range(projects):
        week = large_weekend(10 + number % 12, printers=1 + number % 2, seed=seed + number)
        plan, frame = standing_plan(week), compile_weekend(week)
        base = 3 * (seed + number)
        first = np.sort(finishes_of(draw(frame, PILOT, base + 1, truths=PUBLISHED), plan))
        deadline_s = int(first[int(np.random.default_rng(base).integers(PILOT))])
        told = odds_from(
            finishes_of(draw(frame, scenarios, base + 2, truths=PUBLISHED), plan), deadline_s
        )
        luck = draw(frame, lives, base + 3, truths=PUBLISHED)
        ends = finishes_of(luck, plan)
        assert min(replay(week, plan, scenario_of(luck, 0)).finish_s, NEVER) == min(ends[0], NEVER)
        low, high = told.p10_s or 0, NEVER if told.p90_s is None else told.p90_s
        yield Outcome(
            chance=told.on_time,
            inside=float(((ends >= low) & (ends <= high)).mean()),
            on_time=float((ends <= deadline_s).mean()),
        )


def by_tenth(found: list[Outcome]) -> list[tuple[float, float]]:
    """Chance told and share that came true, mean over the projects of each tenth of the chances."""
    rows: dict[int, list[Outcome]] = {}
    for each in found:
        rows.setdefault(min(9, int(10 * each.chance)), []).append(each)
    return [
        (float(np.mean([o.chance for o in rows[n]])), float(np.mean([o.on_time for o in rows[n]])))
        for n in sorted(rows)
    ]


def as_told(found: list[Outcome], seed: int = 0) -> list[ChanceTold]:
    """One life of each project, as the log keeps it."""
    random = np.random.default_rng(seed)
    return [
        ChanceTold(
            key=str(number),
            at_s=number,
            chance=each.chance,
            came_true=bool(random.random() < each.on_time),
        )
        for number, each in enumerate(found)
    ]
