"""Weekends put together by hand for tests of planning."""

from collections.abc import Mapping, Sequence
from typing import Any

from fabsched.model.plan import Block, Course, Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows

H = 3600
MIN = 60
END = 200 * H
ALWAYS = Windows.always(0, END)

WAY_S = 30 * MIN
"""From home to the workshop and back again, each."""


def hours(*spans: tuple[float, float]) -> Windows:
    """Windows from hours since the beginning."""
    return Windows.of((round(a * H), round(b * H)) for a, b in spans)


def task(ident: str, seconds: float | Spread = H, **more: Any) -> Task:
    """Work at home for Ada or Bo."""
    spread = seconds if isinstance(seconds, Spread) else Spread.exactly(seconds)
    fields: dict[str, Any] = {"name": ident.title(), "place": "home", "people": ("ada", "bo")}
    return Task(id=ident, seconds=spread, **{**fields, **more})


def printing(ident: str, seconds: float | Spread = 2 * H, **more: Any) -> Run:
    """A print that hands start in ten minutes and clear in five."""
    spread = seconds if isinstance(seconds, Spread) else Spread.exactly(seconds)
    fields: dict[str, Any] = {
        "name": ident.title(),
        "choices": (Choice("printer", spread),),
        "attended": False,
        "start_s": 10 * MIN,
        "clear_s": 5 * MIN,
    }
    return Run(id=ident, **{**fields, **more})


def cutting(ident: str, seconds: float = H, **more: Any) -> Run:
    """A cut in the workshop, attended."""
    choices = (Choice("laser", Spread.exactly(seconds)),)
    return printing(ident, **{"attended": True, "choices": choices, **more})


def weekend(
    *activities: Activity,
    people: Sequence[str] = ("ada",),
    up: Windows = ALWAYS,
    open_: Mapping[str, Windows] | None = None,
    machines: Mapping[str, str] | None = None,
    deadline_s: int = 48 * H,
) -> Weekend:
    """A home with printers and a workshop with a laser.

    Args:
        activities: what is to be done.
        people: ids, all based at home.
        up: when they are.
        open_: windows of places and machines that are not always open.
        machines: places by machine, besides a printer at home and a laser in the workshop.
        deadline_s: the wall.
    """
    windows = open_ or {}
    stand = {"printer": "home", "laser": "workshop", **(machines or {})}
    return Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=deadline_s,
        horizon_s=END,
        hands=tuple(Hands(id=p, name=p.title(), base="home", windows=up) for p in people),
        sites=tuple(
            Site(id=p, name=p.title(), windows=windows.get(p, ALWAYS)) for p in ("home", "workshop")
        ),
        stations=tuple(
            Station(id=m, name=m.title(), place=place, windows=windows.get(m, ALWAYS))
            for m, place in stand.items()
        ),
        activities=activities,
        travel_s={("home", "workshop"): WAY_S, ("workshop", "home"): WAY_S},
    )


def as_listed(week: Weekend) -> Plan:
    """The plan that takes everything in the order it is listed."""
    return Plan(order=tuple(activity.id for activity in week.activities))


def block(course: Course, ident: str) -> Block:
    """The block of that id."""
    return next(block for block in course.blocks if block.id == ident)


def span(course: Course, ident: str) -> tuple[float, float]:
    """Start and end of a block in hours."""
    found = block(course, ident)
    return found.start_s / H, found.end_s / H
