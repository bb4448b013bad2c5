"""Simulated projects: foretold with the odds, then carried out in worlds drawn from the same prior."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import exp, log, sqrt

import numpy as np

from fabsched.estimate.raising import CURLING, FRAIL, MOST, MOST_TOPPLING, raised
from fabsched.model.estimates import Route
from fabsched.model.experience import ChanceTold, RunSeen, WorkSeen
from fabsched.model.plan import Odds
from fabsched.model.replay import replay
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Run, Task, Weekend
from fabsched.model.windows import NEVER
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.learnt import WORTH, believed, doubt, failing
from fabsched.odds.learnt_work import AT_ONCE, KINDS, works_of
from fabsched.odds.odds import odds_from
from fabsched.odds.pert import pert_places
from fabsched.odds.simulate import finishes_of
from fabsched.odds.tables import Ints, Reals
from fabsched.odds.truths import PUBLISHED, Factor
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
    """Foretell projects and carry each out; prints fail the more often the riskier their shapes.

    Args:
        projects: how many.
        scenarios: from which odds are told.
        lives: how often each project is carried out, every time in a world of its own. The first life
            is also followed step by step by the rule itself, which shares no code with the odds.
        seed: of everything.
    """
    for number in range(projects):
        week = large_weekend(10 + number % 12, printers=1 + number % 2, seed=seed + number)
        week = _risky(week, shapes(np.random.default_rng([seed, number]), len(week.activities)))
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
        yield _judged(told, ends, deadline_s)


def _judged(told: Odds, ends: Ints, deadline_s: int) -> Outcome:
    """What became of odds told, in lives that ended at these moments."""
    low, high = told.p10_s or 0, NEVER if told.p90_s is None else told.p90_s
    return Outcome(
        chance=told.on_time,
        inside=float(((ends >= low) & (ends <= high)).mean()),
        on_time=float((ends <= deadline_s).mean()),
    )


@dataclass(frozen=True, slots=True)
class Maker:
    """How long somebody's work really takes, drawn from what is believed before any is logged.

    Attributes:
        kinds: factor on each kind of work.
    """

    kinds: tuple[float, ...]

    @classmethod
    def drawn(cls, rng: np.random.Generator) -> "Maker":
        """Somebody."""
        shared = sqrt(PUBLISHED.work.sigma**2 - KINDS**2 / AT_ONCE)
        own = log(PUBLISHED.work.median) + rng.normal(0, shared)
        return cls(tuple(exp(own + rng.normal(0, KINDS)) for _ in range(AT_ONCE)))

    def logged(self, rng: np.random.Generator, count: int) -> list[WorkSeen]:
        """Works of all kinds, done."""
        three, seen = Spread(0.7, 1.0, 1.9).scaled(1800), []
        for number in range(count):
            kind = number % AT_ONCE
            place = float(pert_places(three, rng, 1)[0])
            told = three.low + (three.high - three.low) * place
            took_s = told * self.kinds[kind] * float(exp(rng.normal(0, EACH)))
            seen.append(
                WorkSeen(
                    key=f"{number}", at_s=number, kind=str(kind), expected=three, took_s=took_s
                )
            )
        return seen


EACH = sqrt(PUBLISHED.overrun.sigma**2 - KINDS**2 * (1 - 1 / AT_ONCE))
"""What differs from work to work of one kind."""


TENTHS = 10
"""Of the chances: each maker is asked for a deadline in every one, so that each rests on all makers."""


def after_learning(projects: int, *, logged: int, scenarios: int, lives: int) -> Iterator[Outcome]:
    """Foretell projects of as many makers, each from a log of works and for ten deadlines; carry them out.

    Args:
        projects: how many.
        logged: how many works each maker has in the log.
        scenarios: from which odds are told.
        lives: how often each project is carried out, every time by the same maker.
    """
    for number in range(projects):
        rng = np.random.default_rng([number, logged])
        maker = Maker.drawn(rng)
        works = works_of(maker.logged(rng, logged))
        week = large_weekend(20 + number % 6, printers=2, seed=number % 6)
        plan = standing_plan(week)
        believed = replace(PUBLISHED, work=works.work, overrun=works.overrun)
        real = replace(PUBLISHED, work=Factor(), overrun=Factor(1.0, EACH))
        foreseen = _scaled(week, [works.kind(str(kind)) for kind in range(AT_ONCE)])
        frame = compile_weekend(foreseen)
        foretold = finishes_of(draw(frame, scenarios, 2 * number, truths=believed), plan)
        lived = compile_weekend(_scaled(week, maker.kinds))
        ends = finishes_of(draw(lived, lives, 2 * number + 1, truths=real), plan)
        yield from _in_every_tenth(foretold, ends, rng)


def _in_every_tenth(foretold: Ints, ends: Ints, rng: np.random.Generator) -> Iterator[Outcome]:
    """One deadline in each tenth of the chances."""
    for tenth in range(TENTHS):
        place = (tenth + rng.random()) / TENTHS
        deadline_s = int(np.quantile(foretold, place, method="inverted_cdf"))
        yield _judged(odds_from(foretold, deadline_s), ends, deadline_s)


def after_failing(
    projects: int, *, logged: int, scenarios: int, lives: int, often: float = 1.0
) -> Iterator[Outcome]:
    """As `after_learning`, of printers that fail more or less often than told, from logs of their prints.

    Parts of all shapes were printed, and parts of all shapes are still to be.

    Args:
        projects: how many.
        logged: how many prints each printer has in the log.
        scenarios: from which odds are told.
        lives: how often each project is carried out, every time on the same printer.
        often: how many times as often as usual all of them fail.
    """
    start, hour = raised(FAIL_START, often), FAIL_HOUR * often
    for number in range(projects):
        rng = np.random.default_rng([number, logged, 1])
        real = Factor(float(PUBLISHED.failing.at(rng.standard_normal())))
        known = failing(believed(start, hour), prints(rng, logged, often * real.median), "PLA")
        doubted = Factor(1.0, min(PUBLISHED.failing.sigma, doubt(WORTH + known.failures)))
        week = large_weekend(20 + number % 6, printers=2, seed=number % 6)
        plan, risks = standing_plan(week), shapes(rng, len(week.activities))
        frame = compile_weekend(_risky(week, risks, known.start, known.hour))
        believes = replace(PUBLISHED, failing=doubted)
        foretold = finishes_of(draw(frame, scenarios, 2 * number, truths=believes), plan)
        lived = compile_weekend(_risky(week, risks, start, hour))
        truths = replace(PUBLISHED, failing=real)
        ends = finishes_of(draw(lived, lives, 2 * number + 1, truths=truths), plan)
        yield from _in_every_tenth(foretold, ends, rng)


FAIL_START, FAIL_HOUR = 0.02, 0.012
"""How often prints fail that lie flat, stand firm and are thick."""


def prints(rng: np.random.Generator, count: int, often: float) -> list[RunSeen]:
    """Prints that ended, of parts of all shapes, on a printer that fails so many times as often."""
    seen = []
    for number, risk in enumerate(shapes(rng, count) * often):
        length_s = rng.uniform(0.3, 10.0) * HOUR_S
        starts = rng.random() < (1 - FAIL_START) ** risk
        breaks_s = rng.exponential(HOUR_S / (FAIL_HOUR * risk)) if starts else 60.0
        seen.append(
            RunSeen(
                key=f"{number}",
                at_s=number,
                machine="printer",
                route=Route.PRINT,
                material="PLA",
                estimated_s=length_s,
                ran_s=min(length_s, breaks_s),
                failed=breaks_s < length_s,
                raised=float(risk / often),
            )
        )
    return seen


def shapes(rng: np.random.Generator, count: int) -> Reals:
    """By how much more often parts fail that may curl, topple or have thin walls, each alone or not."""
    curling = rng.choice(list(CURLING.values()), count)
    toppling = np.maximum(1.0, rng.uniform(0.0, MOST_TOPPLING, count))
    together: Reals = curling * toppling * rng.choice([1.0, FRAIL], count)
    return np.minimum(MOST, together)


def _risky(
    week: Weekend, risks: Reals, start: float = FAIL_START, hour: float = FAIL_HOUR
) -> Weekend:
    """The weekend with prints of such shapes, on a machine that fails so often."""
    activities = tuple(
        replace(each, fail_start=raised(start, float(risk)), fail_hour=hour * float(risk))
        if isinstance(each, Run) and not each.attended
        else each
        for each, risk in zip(week.activities, risks, strict=True)
    )
    return replace(week, activities=activities)


def _scaled(week: Weekend, kinds: Sequence[float]) -> Weekend:
    """Every task as much longer as work of its kind is; kinds take turns."""
    tasks = (activity for activity in week.activities if isinstance(activity, Task))
    number = {task.id: n for n, task in enumerate(tasks)}
    activities = tuple(
        replace(each, seconds=each.seconds.scaled(kinds[number[each.id] % AT_ONCE]))
        if isinstance(each, Task)
        else each
        for each in week.activities
    )
    return replace(week, activities=activities)


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
