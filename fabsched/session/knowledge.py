"""What was learnt, as planning and estimating use it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from fabsched.estimate.learnt import Machines, machines_of, taught, taught_rough
from fabsched.estimate.raising import raised, times_between
from fabsched.model.estimates import Estimate
from fabsched.model.experience import (
    ChanceTold,
    Failing,
    LateSeen,
    LookSeen,
    RunSeen,
    Seen,
    TimeTold,
    WorkSeen,
)
from fabsched.model.project import USUAL_LATE, Gate, Part, Project, Work
from fabsched.model.shop import Laser, Machine, Printer, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Activity, Choice, Run, Task, Weekend
from fabsched.odds.learnt import WORTH, believed, doubt, failing
from fabsched.odds.learnt_faults import faults_of
from fabsched.odds.learnt_late import Deliveries, deliveries_of
from fabsched.odds.learnt_work import Works, works_of
from fabsched.odds.truths import PUBLISHED, Factor, Truths


def kind_of(work: Work) -> str:
    """Which work is alike: that which asks for one skill; else gates, and all other work."""
    return work.skill or ("gate" if isinstance(work, Gate) else "work")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Knowledge:
    """All that was learnt.

    Attributes:
        machines: how long machines take.
        runs: ended runs, by machine.
        works: how long work takes.
        looks: checks that were made.
        deliveries: how late they come.
        times, chances: what was foretold, and what became of it.
    """

    machines: Machines
    runs: Mapping[str, tuple[RunSeen, ...]] = field(default_factory=dict)
    works: Works
    looks: tuple[LookSeen, ...] = ()
    deliveries: Deliveries = field(default_factory=lambda: deliveries_of(()))
    times: tuple[TimeTold, ...] = ()
    chances: tuple[ChanceTold, ...] = ()

    def estimate(self, estimate: Estimate, machine: Machine | None) -> Estimate:
        """An estimate with what is known of its machine put to it."""
        return taught(estimate, self.machines, cost_hour=machine.cost_hour if machine else 0.0)

    def rough(self, seconds: Spread, machine: str, material: str) -> Spread:
        """A first figure for a print with what is known of its machine put to its middle."""
        return taught_rough(seconds, self.machines, machine, material)

    def failing(self, machine: Machine, material: str = "") -> Failing:
        """What is known of how often a machine fails with a material, or with any."""
        hour = machine.fail_hour if isinstance(machine, Printer) else 0.0
        before = believed(machine.fail_start, hour)
        return failing(before, self.runs.get(machine.id, ()), material)

    def weekend(self, weekend: Weekend, project: Project, shop: Shop) -> Weekend:
        """A weekend with failures, lengths of work and lateness of deliveries as in the log.

        What remains unknown of either is told by `truths`.
        """
        machines = shop.machines
        parts = {part.id: part for part in project.parts}
        works: dict[str, Work] = {work.id: work for work in (*project.works, *project.gates)}
        activities = tuple(
            self._run(activity, parts, machines)
            if isinstance(activity, Run)
            else self._task(activity, works)
            for activity in weekend.activities
        )
        return replace(weekend, activities=tuple(map(self._awaiting, activities)))

    @property
    def usual_late_s(self) -> Spread:
        """By how many seconds what was only told to come may be late, as others have been."""
        return USUAL_LATE.scaled(MINUTE_S * self.deliveries.factor)

    def _awaiting(self, activity: Activity) -> Activity:
        """An activity with the lateness of what it waits for, as deliveries have been late before."""
        factor = self.deliveries.factor
        if activity.late is None or factor == 1.0:
            return activity
        return replace(activity, late=activity.late.scaled(factor))

    def _run(
        self, run: Run, parts: Mapping[str, Part], machines: Mapping[str, Machine]
    ) -> Activity:
        """The run, as likely to fail on each of its machines as that has been seen to."""
        materials = {parts[ident].material for ident, _ in run.cargo if ident in parts}
        choices = tuple(
            self._choice(run, choice, machines.get(choice.machine), materials)
            for choice in run.choices
        )
        return replace(run, choices=choices) if choices != run.choices else run

    def _choice(
        self, run: Run, choice: Choice, machine: Machine | None, materials: Iterable[str]
    ) -> Choice:
        """A machine with its own chances, with the worst of the materials; as told if none is known."""
        if machine is None or not self.runs.get(machine.id):
            return choice
        known = [self.failing(machine, material) for material in materials]
        if not known:
            return choice
        mine = run.at(choice)
        start, hour = max(f.start for f in known), max(f.hour for f in known)
        return replace(
            choice,
            fail_start=_moved_chance(mine.fail_start, machine.fail_start, start),
            fail_hour=_moved_rate(mine.fail_hour, _fail_hour(machine), hour),
        )

    def _task(self, task: Task, works: Mapping[str, Work]) -> Activity:
        work = works.get(task.of)
        factor = self.works.kind(kind_of(work)) if work else 1.0
        return task if factor == 1.0 else replace(task, seconds=task.seconds.scaled(factor))

    @property
    def faults(self) -> Factor:
        """How often checks find a fault against what the project says."""
        return faults_of(self.looks)

    @property
    def truths(self) -> Truths:
        """What is not known about the world, narrowed by the log."""
        runs = [run for mine in self.runs.values() for run in mine]
        failures = sum(run.failed for run in runs)
        sigma = min(PUBLISHED.failing.sigma, doubt(WORTH + failures)) if runs else None
        return replace(
            PUBLISHED,
            failing=PUBLISHED.failing if sigma is None else Factor(1.0, sigma),
            faults=self.faults,
            work=self.works.work,
            late=self.deliveries.late,
            overrun=self.works.overrun,
        )


def _moved_chance(now: float, before: float, after: float) -> float:
    """A chance of the shop file, moved to what the log says; what a part adds to it stays in it.

    The part multiplies the rate and not the chance, so that nothing becomes certain to fail.
    """
    if not 0.0 < before < 1.0 or now >= 1.0:
        return max(now, after)
    return raised(after, times_between(before, now))


def _moved_rate(now: float, before: float, after: float) -> float:
    """The same of a rate per hour."""
    return now * after / before if before else max(now, after)


def _fail_hour(machine: Machine) -> float:
    return 0.0 if isinstance(machine, Laser) else machine.fail_hour


def knowledge_of(seen: Iterable[Seen]) -> Knowledge:
    """What entries come to; they may be in any order."""
    ordered = sorted(seen, key=lambda one: (one.at_s, one.key))
    runs: dict[str, tuple[RunSeen, ...]] = {}
    for one in ordered:
        if isinstance(one, RunSeen):
            runs[one.machine] = (*runs.get(one.machine, ()), one)
    return Knowledge(
        machines=machines_of(run for mine in runs.values() for run in mine),
        runs=runs,
        works=works_of(one for one in ordered if isinstance(one, WorkSeen)),
        looks=tuple(one for one in ordered if isinstance(one, LookSeen)),
        deliveries=deliveries_of(one for one in ordered if isinstance(one, LateSeen)),
        times=tuple(one for one in ordered if isinstance(one, TimeTold)),
        chances=tuple(one for one in ordered if isinstance(one, ChanceTold)),
    )


NOTHING_KNOWN = knowledge_of(())
"""Nothing was learnt yet."""
