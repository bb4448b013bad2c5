"""One weekend's luck."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabsched.model.units import whole_s
from fabsched.model.weekend import Run, Weekend


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """How long everything takes and what goes wrong.

    Ids are those of `model.network` entries: activities, and their copies in the rounds after a
    gate has found a fault.

    Attributes:
        seconds: hands' or machine seconds by entry id; for a run, on each of its choices in order.
        lost: for runs, the share of the machine time after which each failed attempt failed, in
            order; the attempt after the last of them succeeds. Missing means none fails.
        lost_on: the same by entry id and index of the choice, for runs that do not fail alike on all
            of their machines.
        left: for runs that go on already, machine seconds left of their first attempt; `lost` then
            counts that attempt as the first, and its share is of these seconds.
        faults: for gates, in how many rounds a fault is found. Missing means none.
        late: by activity id, seconds by which it may start later than told. Missing means none.
    """

    seconds: Mapping[str, tuple[int, ...]]
    lost: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    lost_on: Mapping[tuple[str, int], tuple[float, ...]] = field(default_factory=dict)
    left: Mapping[str, int] = field(default_factory=dict)
    faults: Mapping[str, int] = field(default_factory=dict)
    late: Mapping[str, int] = field(default_factory=dict)

    def failing(self, entry: str, choice: int) -> tuple[float, ...]:
        """The shares of failed attempts of an entry on one of its machines."""
        return self.lost_on.get((entry, choice), self.lost.get(entry, ()))


def nominal(weekend: Weekend) -> Scenario:
    """Everything takes its likely time and nothing goes wrong."""
    return Scenario(
        seconds={
            activity.id: tuple(whole_s(choice.seconds.likely) for choice in activity.choices)
            if isinstance(activity, Run)
            else (whole_s(activity.seconds.likely),)
            for activity in weekend.activities
        },
        left={
            activity.id: whole_s(activity.going.seconds.likely)
            for activity in weekend.activities
            if isinstance(activity, Run) and activity.going
        },
        late={
            activity.id: whole_s(activity.late.likely)
            for activity in weekend.activities
            if activity.late
        },
    )
