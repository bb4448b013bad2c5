"""Textbook problems as weekends, to hold the model against known answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabsched.model.spread import Spread
from fabsched.model.weekend import Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows

_PLACE = "shop"

_Operation = tuple[int, str, tuple[str, ...]]
"""Seconds, machine, and what it waits for."""


@dataclass(frozen=True, slots=True)
class Demand:
    """An activity that takes several units of one resource for some time.

    Attributes:
        seconds: how long; one unit of time is one second.
        resource: which.
        units: how many.
        after: what it waits for.
    """

    seconds: int
    resource: str
    units: int
    after: tuple[str, ...] = ()


def job_shop(durations: Sequence[Sequence[int]], machines: Sequence[Sequence[int]]) -> Weekend:
    """A job shop: each job visits machines in its own order, one operation after the other.

    Every operation is a run that needs no hands, on the one machine that can take it.

    Args:
        durations: of each operation, by job; one unit of time is one second.
        machines: number of the machine of each operation, by job.
    """
    operations: dict[str, _Operation] = {}
    for job, (times, stations) in enumerate(zip(durations, machines, strict=True)):
        before: tuple[str, ...] = ()
        for seconds, machine in zip(times, stations, strict=True):
            ident = f"{job}.{len(operations)}"
            operations[ident] = (seconds, f"m{machine}", before)
            before = (ident,)
    return _weekend(operations)


def project_network(durations: Mapping[str, int], after: Mapping[str, Sequence[str]]) -> Weekend:
    """A project network with room for everything at once; its shortest course is its critical path.

    Args:
        durations: of each activity; one unit of time is one second.
        after: what each activity waits for; nothing if it is missing.
    """
    return _weekend(
        {name: (seconds, name, tuple(after.get(name, ()))) for name, seconds in durations.items()}
    )


def resource_project(supplies: Mapping[str, int], demands: Mapping[str, Demand]) -> Weekend:
    """A project over limited resources: a unit is somebody who can do that kind of work.

    What takes several units is work for a crew.

    Args:
        supplies: units of each resource.
        demands: of each activity.
    """
    units = {r: tuple(f"{r}.{n}" for n in range(count)) for r, count in supplies.items()}
    weekend = _empty(sum(demand.seconds for demand in demands.values()))
    always = weekend.sites[0].windows
    people = [unit for named in units.values() for unit in named]
    return replace(
        weekend,
        hands=tuple(Hands(id=p, name=p, base=_PLACE, windows=always) for p in people),
        activities=tuple(
            Task(
                id=ident,
                name=ident,
                place=_PLACE,
                people=units[demand.resource],
                crew=demand.units,
                seconds=Spread.exactly(demand.seconds),
                after=demand.after,
            )
            for ident, demand in demands.items()
        ),
    )


def _empty(seconds: int) -> Weekend:
    """A weekend of one place with time for so much, one thing after the other."""
    horizon = 1 + seconds
    always = Windows.always(0, horizon)
    return Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=horizon,
        horizon_s=horizon,
        hands=(),
        sites=(Site(id=_PLACE, name=_PLACE, windows=always),),
        stations=(),
        activities=(),
    )


def _weekend(runs: Mapping[str, _Operation]) -> Weekend:
    """A weekend of runs without hands."""
    weekend = _empty(sum(seconds for seconds, _, _ in runs.values()))
    always = weekend.sites[0].windows
    stations = dict.fromkeys(machine for _, machine, _ in runs.values())
    return replace(
        weekend,
        stations=tuple(Station(id=m, name=m, place=_PLACE, windows=always) for m in stations),
        activities=tuple(
            Run(
                id=ident,
                name=ident,
                choices=(Choice(machine, Spread.exactly(seconds)),),
                attended=False,
                start_s=0,
                clear_s=0,
                after=after,
            )
            for ident, (seconds, machine, after) in runs.items()
        ),
    )
