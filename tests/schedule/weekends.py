"""Weekends to plan: one like a maker's own, others at random."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st
from numpy.random import Generator

from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows

MINUTE = 60
HOUR = 3600
DAY = 24 * HOUR
BEGIN = 1_804_266_000
"""Friday, 5 March 2027, 18:00 in Berlin (17:00 UTC)."""


def clock(*spans: tuple[float, float]) -> Windows:
    """Windows given in hours since the beginning."""
    return Windows.of((BEGIN + round(a * HOUR), BEGIN + round(b * HOUR)) for a, b in spans)


def awake(days: int = 4) -> Windows:
    """Friday evening, then every day from eight to eleven with two pauses for meals."""
    meals = ((14, 18.5), (19.25, 24.5), (25.25, 29))
    daily = [(24 * day + a, 24 * day + b) for day in range(days) for a, b in meals]
    return clock((0, 5), *daily)


def spread(minutes: float) -> Spread:
    """A guess at some handwork, skew as such guesses are."""
    return Spread(minutes * 42, minutes * 60, minutes * 108)


def printed(ident: str, minutes: float, *machines: str, after: tuple[str, ...] = ()) -> Run:
    """A print with an uncertainty of a tenth and our usual chances of failing."""
    seconds = Spread(minutes * 54, minutes * 60, minutes * 69)
    return Run(
        id=ident,
        name=ident.title(),
        choices=tuple(Choice(machine, seconds) for machine in machines),
        attended=False,
        start_s=10 * MINUTE,
        clear_s=5 * MINUTE,
        fail_start=0.03,
        fail_hour=0.015,
        after=after,
    )


def cut(ident: str, minutes: float, *, after: tuple[str, ...] = ()) -> Run:
    """A sheet under the laser, somebody beside it."""
    return Run(
        id=ident,
        name=ident.title(),
        choices=(Choice("laser", Spread(minutes * 50, minutes * 60, minutes * 80)),),
        attended=True,
        start_s=10 * MINUTE,
        clear_s=10 * MINUTE,
        fail_start=0.05,
        after=after,
    )


def work(ident: str, minutes: float, *after: str, place: str = "home") -> Task:
    """Handwork of the maker's."""
    return Task(
        id=ident,
        name=ident.title(),
        place=place,
        people=("maker",),
        seconds=spread(minutes),
        of=ident,
        after=after,
    )


def gate(ident: str, minutes: float, chance: float, redo: tuple[str, ...], *after: str) -> Task:
    """A test that may find a fault."""
    return Task(
        id=ident,
        name=ident.title(),
        place="home",
        people=("maker",),
        seconds=spread(minutes),
        of=ident,
        chance=chance,
        redo=redo,
        after=after,
    )


def pieces(ident: str, minutes: float, count: int, *after: str) -> Iterator[Task]:
    """A splittable work as a row of equal pieces."""
    for i in range(1, count + 1):
        yield Task(
            id=f"{ident}~{i}",
            name=ident.title(),
            place="home",
            people=("maker",),
            seconds=spread(minutes / count),
            splittable=True,
            of=ident,
            share=1 / count,
            undoable=True,
            after=after if i == 1 else (f"{ident}~{i - 1}",),
        )


def maker_weekend(*, slack: float = 0.0) -> Weekend:
    """Twenty-odd activities of one maker between home and a shared workshop.

    Args:
        slack: hours the deadline is put off.
    """
    workshop = clock((0, 3), (16, 24), (42, 46))
    horizon = BEGIN + 4 * DAY + 6 * HOUR
    return Weekend(
        zone="Europe/Berlin",
        begin_s=BEGIN,
        deadline_s=BEGIN + round((51 + slack) * HOUR),
        horizon_s=horizon,
        hands=(Hands(id="maker", name="Maker", base="home", windows=awake()),),
        sites=(
            Site(id="home", name="Home", windows=Windows.always(BEGIN, horizon)),
            Site(id="workshop", name="Workshop", windows=workshop),
        ),
        stations=(
            Station(
                id="mex",
                name="Printer",
                place="home",
                windows=clock((0, 5.5), (13, 29.5), (37, 53.5), (61, 77.5)),
            ),
            Station(id="laser", name="Laser", place="workshop", windows=workshop),
        ),
        activities=maker_activities(),
        travel_s={("home", "workshop"): 1500, ("workshop", "home"): 1500},
    )


def maker_activities() -> tuple[Activity, ...]:
    """What the maker does."""
    return (
        printed("louvre-1", 185, "mex"),
        printed("louvre-2", 185, "mex"),
        printed("roof", 150, "mex"),
        printed("funnel", 240, "mex"),
        printed("cradle", 95, "mex"),
        printed("feet", 120, "mex"),
        cut("acrylic-3-sheet-1", 12),
        cut("plywood-3-sheet-1", 18),
        work("solder", 90),
        work("wire", 90, "solder"),
        *pieces("code", 150, 3),
        work("oil", 30, "plywood-3-sheet-1", "fit-panel"),
        work("stack", 60, "louvre-1", "louvre-2", "roof", "fit-cradle"),
        work("base", 45, "acrylic-3-sheet-1", "feet", "oil"),
        work("assemble", 90, "stack", "base", "funnel", "test-wiring"),
        *(replace(piece, needed=False) for piece in pieces("page", 90, 2, "code~3")),
        gate("fit-cradle", 10, 0.2, ("cradle",), "cradle"),
        gate("fit-panel", 10, 0.12, (), "acrylic-3-sheet-1", "plywood-3-sheet-1"),
        gate("test-wiring", 30, 0.25, ("wire",), "wire"),
        gate("test-station", 45, 0.2, ("code~3",), "assemble", "code~3"),
    )


def random_weekend(rng: Generator, count: int) -> Weekend:
    """A weekend of `count` activities, drawn at random; everything fits somewhere."""
    people, printers = int(rng.integers(1, 3)), int(rng.integers(1, 3))
    horizon = BEGIN + 10 * DAY
    workshop = clock(*((24 * day + 16, 24 * day + 23) for day in range(9)))
    activities: list[Activity] = []
    for i in range(count):
        before = [a.id for a in activities if rng.random() < min(0.35, 2.0 / count)]
        activities.append(_random_activity(rng, f"a{i}", tuple(before), people, printers))
    return Weekend(
        zone="Europe/Berlin",
        begin_s=BEGIN,
        deadline_s=BEGIN + int(rng.integers(30, 80)) * HOUR,
        horizon_s=horizon,
        hands=tuple(
            Hands(id=f"p{i}", name=f"P{i}", base="home", windows=awake(10)) for i in range(people)
        ),
        sites=(
            Site(id="home", name="Home", windows=Windows.always(BEGIN, horizon)),
            Site(id="workshop", name="Workshop", windows=workshop),
        ),
        stations=(
            *(
                Station(
                    id=f"m{i}", name=f"M{i}", place="home", windows=Windows.always(BEGIN, horizon)
                )
                for i in range(printers)
            ),
            Station(id="laser", name="Laser", place="workshop", windows=workshop),
        ),
        activities=tuple(activities),
        travel_s={("home", "workshop"): 1800, ("workshop", "home"): 1800},
    )


def _random_activity(
    rng: Generator, ident: str, after: tuple[str, ...], people: int, printers: int
) -> Activity:
    kind = rng.random()
    if kind < 0.3:
        able = [f"m{i}" for i in range(printers)]
        return printed(ident, float(rng.integers(20, 600)), *able, after=after)
    if kind < 0.4:
        return cut(ident, float(rng.integers(5, 60)), after=after)
    chance = 0.3 if after and rng.random() < 0.2 else 0.0
    return Task(
        id=ident,
        name=ident,
        place="workshop" if rng.random() < 0.15 else "home",
        people=tuple(f"p{i}" for i in range(people))[: int(rng.integers(1, people + 1))],
        seconds=spread(float(rng.integers(5, 120))),
        splittable=bool(rng.random() < 0.3),
        of=ident,
        chance=chance,
        redo=after[:2] if chance else (),
        after=after,
        needed=bool(rng.random() < 0.9),
    )


def weekends(most: int = 9) -> st.SearchStrategy[Weekend]:
    """Random weekends of up to `most` activities."""
    return st.builds(
        lambda seed, count: random_weekend(np.random.default_rng(seed), count),
        st.integers(0, 2**32 - 1),
        st.integers(1, most),
    )
