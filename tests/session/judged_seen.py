"""What a log of past projects may hold, for tests of how right it was."""

from fabsched.model.estimates import Route
from fabsched.model.experience import ChanceTold, RunSeen, Seen, TimeTold, WorkSeen
from fabsched.model.spread import Spread

TOLD = Spread(80.0, 100.0, 125.0)
"""P10, P50 and P90 of everything here."""


def run_seen(number: int, took_s: float, route: Route = Route.PRINT) -> tuple[Seen, ...]:
    """A run that ended, and what was foretold of it."""
    run = RunSeen(
        key=f"log/run/lid/{number}",
        at_s=number,
        machine="printer" if route is Route.PRINT else "laser",
        route=route,
        material="PLA",
        estimated_s=100.0,
        ran_s=took_s,
    )
    key = f"log/time/lid/{number}"
    return run, TimeTold(key=key, at_s=number, told=TOLD, actual_s=took_s)


def work_seen(number: int, took_s: float, kind: str = "solder") -> tuple[Seen, ...]:
    """A work that is done, and what was foretold of it."""
    key = "/".join(("log", "work", f"w{number}"))
    work = WorkSeen(key=key, at_s=number, kind=kind, expected=TOLD, took_s=took_s)
    return work, TimeTold(key=f"log/time/w{number}", at_s=number, told=TOLD, actual_s=took_s)


def project_seen(number: int, chance: float, *, came_true: bool) -> ChanceTold:
    """A project that has ended."""
    return ChanceTold(key=f"log{number}/chance", at_s=number, chance=chance, came_true=came_true)


def several() -> tuple[Seen, ...]:
    """Ten prints as foretold, six works slower than that, two projects."""
    prints = [run_seen(i, s) for i, s in enumerate((70, 84, 90, 95, 99, 101, 106, 111, 119, 140))]
    works = [work_seen(i, 150.0 + i) for i in range(6)]
    ended = (project_seen(0, 0.9, came_true=True), project_seen(1, 0.6, came_true=False))
    return (*(one for pair in (*prints, *works) for one in pair), *ended)
