"""How long things take in the model: as likely, or as to be expected with all setbacks."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from fabsched.model.scenario import Scenario, nominal
from fabsched.model.units import HOUR_S, whole_s
from fabsched.model.weekend import Activity, Run, Task, Weekend
from fabsched.schedule.expected import fault_s, loss_s, mean_s, run_mean_s

PER_HOUR = 100
"""Weight of one hour that is likely to be lost."""


class Objective(StrEnum):
    """What the solver looks for."""

    NOMINAL = "nominal"
    EXPECTED = "expected"
    RISK = "risk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Whole seconds and weights the model is built from.

    Attributes:
        seconds: of hands or machine, by activity id; for a run, on each of its choices in order.
        lag_s: what a gate is expected to cost before others can go on, by id.
        weight: what a late end costs beside the finish, by id.
        left: machine seconds left of what goes on already, by id; the likely ones.
    """

    seconds: Mapping[str, tuple[int, ...]]
    lag_s: Mapping[str, int] = field(default_factory=dict)
    weight: Mapping[str, int] = field(default_factory=dict)

    left: Mapping[str, int] = field(default_factory=dict)

    @property
    def scenario(self) -> Scenario:
        """The weekend on which everything takes this long and nothing goes wrong."""
        return Scenario(seconds=self.seconds, left=self.left)


def times_of(weekend: Weekend, objective: Objective) -> Times:
    """The figures an objective works with.

    - nominal: everything takes its likely time;
    - expected: everything takes its mean time, failed attempts and faults found included;
    - risk: the same, and what can go wrong is done early: a late end costs in proportion to the
      work that is likely to be lost.
    """
    likely = nominal(weekend)
    if objective is Objective.NOMINAL:
        return Times(seconds=likely.seconds, left=likely.left)
    weekend = _with_usual_redo(weekend)
    activities = weekend.activities
    gates = [a for a in activities if isinstance(a, Task) and a.chance > 0]
    risky = activities if objective is Objective.RISK else ()
    return Times(
        seconds={activity.id: _expected(activity) for activity in activities},
        lag_s={gate.id: whole_s(fault_s(weekend, gate)) for gate in gates},
        weight={a.id: round(PER_HOUR * loss_s(weekend, a) / HOUR_S) for a in risky},
        left=likely.left,
    )


def _with_usual_redo(weekend: Weekend) -> Weekend:
    """What a gate does again, where it could be made in several ways, counted once: as usual.

    Which way will be taken is not known before; where none is usual, all that is named counts.
    """
    standing = weekend.standing

    def usual(activity: Activity) -> Activity:
        if isinstance(activity, Run):
            return activity
        redo = tuple(ident for ident in activity.redo if ident in standing)
        return replace(activity, redo=redo) if redo else activity

    return replace(weekend, activities=tuple(usual(a) for a in weekend.activities))


def likely_s(activity: Activity) -> tuple[int, ...]:
    """Likely seconds of hands or machine, on each choice."""
    if isinstance(activity, Run):
        return tuple(whole_s(choice.seconds.likely) for choice in activity.choices)
    return (whole_s(activity.seconds.likely),)


def _expected(activity: Activity) -> tuple[int, ...]:
    if isinstance(activity, Run):
        choices = range(len(activity.choices))
        return tuple(whole_s(run_mean_s(activity, choice)) for choice in choices)
    return (whole_s(mean_s(activity)),)
