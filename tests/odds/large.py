"""Weekends of any size, for timing: prints of up to ten hours, cuts, work and gates."""

from dataclasses import replace
from random import Random

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import (
    Activity,
    Choice,
    Hands,
    Run,
    Site,
    Station,
    Swap,
    Task,
    Turn,
    Weekend,
)
from fabsched.model.windows import Windows
from tests.model.made import MIN, H

DAY = 24 * H
UP = ((10, 14), (15, 20), (21, 25))
"""When people are up, in hours of the day; meals left out."""


def large_weekend(size: int, *, printers: int = 3, seed: int = 0, spare: int = 0) -> Weekend:
    """A weekend for one person with so many activities, the workshop open in the afternoon.

    Args:
        size: how many are carried out.
        printers: how many there are at home.
        seed: of everything made up.
        spare: how many more could be carried out instead of others, one for one.
    """
    random = Random(seed)  # noqa: S311 - made-up weekends keep no secrets
    up = Windows.of(_daily(*UP))
    prints = [_print(random, n, printers) for n in range(round(0.28 * size))]
    cuts = [_cut(n) for n in range(round(0.08 * size))]
    activities: list[Activity] = [*prints, *cuts]
    for number in range(size - len(activities)):
        activities.append(_task(random, number, activities))
    swaps = [_swap(number, activities[number % size]) for number in range(spare)]
    instead = [replace(activities[number % size], id=f"spare{number}") for number in range(spare)]
    always = Windows.always(0, 4 * DAY)
    stations = [
        Station(id=f"m{n}", name=f"M{n}", place="home", windows=always) for n in range(printers)
    ]
    return Weekend(
        zone="UTC",
        begin_s=10 * H,
        deadline_s=62 * H,
        horizon_s=4 * DAY,
        hands=(Hands(id="ada", name="Ada", base="home", windows=up),),
        sites=(
            Site(id="home", name="Home", windows=always),
            Site(id="lab", name="Lab", windows=Windows.of(_daily((12, 20)))),
        ),
        stations=(*stations, Station(id="laser", name="Laser", place="lab", windows=always)),
        activities=(*activities, *instead),
        swaps=tuple(swaps),
        travel_s={("home", "lab"): 30 * MIN, ("lab", "home"): 30 * MIN},
    )


def standing_plan(week: Weekend) -> Plan:
    """The plan that takes no swap, everything in the order it is listed."""
    listed = [activity.id for activity in week.activities]
    standing = week.standing
    return Plan(
        order=tuple(ident for ident in listed if ident in standing),
        dropped=frozenset(listed) - standing,
    )


def _swap(number: int, activity: Activity) -> Swap:
    spare = frozenset({f"spare{number}"})
    return Swap(
        id=f"swap{number}", kind=Turn.ROUTE, name="", out=frozenset({activity.id}), into=spare
    )


def _daily(*spans: tuple[int, int]) -> list[tuple[int, int]]:
    return [(day * DAY + a * H, day * DAY + b * H) for day in range(4) for a, b in spans]


def _print(random: Random, number: int, printers: int) -> Run:
    seconds = Spread(0.95, 1.0, 1.1).scaled(random.uniform(20, 600) * MIN)
    return Run(
        id=f"print{number}",
        name=f"Print {number}",
        choices=tuple(Choice(f"m{n}", seconds) for n in range(printers)),
        attended=False,
        start_s=10 * MIN,
        clear_s=5 * MIN,
        fail_start=0.02,
        fail_hour=0.012,
    )


def _cut(number: int) -> Run:
    return Run(
        id=f"cut{number}",
        name=f"Cut {number}",
        choices=(Choice("laser", Spread(25, 30, 40).scaled(MIN)),),
        attended=True,
        start_s=10 * MIN,
        clear_s=5 * MIN,
        fail_start=0.05,
    )


def _task(random: Random, number: int, before: list[Activity]) -> Task:
    """Work that waits for up to three things; every eighth is a gate on the prints among them."""
    after = tuple(activity.id for activity in random.sample(before, random.randint(0, 3)))
    redo = tuple(ident for ident in after if ident.startswith("print")) if number % 8 == 7 else ()
    return Task(
        id=f"task{number}",
        name=f"Task {number}",
        place="home",
        people=("ada",),
        seconds=Spread(0.7, 1.0, 1.9).scaled(random.uniform(15, 60) * MIN),
        splittable=random.random() < 0.5,
        chance=0.15 if redo else 0.0,
        redo=redo,
        after=after,
    )
