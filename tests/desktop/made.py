"""A weekend made up for the desktop's tests: two printers at home, a laser in a shared workshop."""

from datetime import datetime
from zoneinfo import ZoneInfo

from fabsched.model.plan import (
    Answer,
    Block,
    Course,
    Kind,
    Odds,
    Plan,
    Reason,
    Solver,
    Why,
)
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.told import Outlook

ZONE = ZoneInfo("Europe/Vienna")


def at(day: int, hour: int, minute: int = 0) -> int:
    """A moment of that March: the 13th is a Friday, the clocks go forward early on the 29th."""
    return int(datetime(2026, 3, day, hour, minute, tzinfo=ZONE).timestamp())


BEGIN, DEADLINE, HORIZON = at(13, 18), at(15, 21), at(17, 12)


def _windows(*spans: tuple[int, int]) -> Windows:
    return Windows.of(spans)


def _run(ident: str, name: str, machine: str, minutes: float, *, attended: bool = False) -> Run:
    return Run(
        id=ident,
        name=name,
        choices=(Choice(machine, Spread(minutes * 60 * 0.9, minutes * 60.0, minutes * 60 * 1.2)),),
        attended=attended,
        start_s=600,
        clear_s=300,
    )


def _task(ident: str, name: str, minutes: float, *, chance: float = 0.0) -> Task:
    return Task(
        id=ident,
        name=name,
        place="home",
        people=("mira",),
        seconds=Spread(minutes * 45, minutes * 60.0, minutes * 90),
        splittable=True,
        of=ident,
        chance=chance,
    )


def weekend() -> Weekend:
    """What was to be planned."""
    return Weekend(
        zone=ZONE.key,
        begin_s=BEGIN,
        deadline_s=DEADLINE,
        horizon_s=HORIZON,
        hands=(
            Hands(
                id="mira",
                name="Mira",
                base="home",
                windows=_windows(
                    (at(13, 18), at(13, 23)),
                    (at(14, 8), at(14, 12, 30)),
                    (at(14, 13, 15), at(14, 18, 30)),
                    (at(14, 19, 15), at(14, 23)),
                    (at(15, 8), at(15, 12, 30)),
                    (at(15, 13, 15), at(15, 18, 30)),
                    (at(15, 19, 15), at(15, 23)),
                    (at(16, 8), at(16, 12)),
                ),
            ),
        ),
        sites=(
            Site(id="home", name="Home", windows=_windows((BEGIN, HORIZON))),
            Site(
                id="workshop",
                name="Harbour workshop",
                windows=_windows((at(14, 10), at(14, 18)), (at(15, 12), at(15, 16))),
            ),
        ),
        stations=(
            Station(
                id="large", name="Large printer", place="home", windows=_windows((BEGIN, HORIZON))
            ),
            Station(
                id="small",
                name="Small printer",
                place="home",
                windows=_windows(
                    (BEGIN, at(13, 22)),
                    (at(14, 7), at(14, 22)),
                    (at(15, 7), at(15, 22)),
                    (at(16, 7), HORIZON),
                ),
            ),
            Station(
                id="laser",
                name="Laser",
                place="workshop",
                windows=_windows((at(14, 10), at(14, 18)), (at(15, 12), at(15, 16))),
            ),
        ),
        activities=(
            _run("louvres", "Louvre plates (6)", "large", 745),
            _run("funnel", "Rain funnel", "large", 340),
            _run("cradle", "Sensor cradle", "small", 95),
            _run("feet", "Feet (4)", "small", 38),
            _run("spare", "Spare louvre", "small", 120),
            _run("plates", "Base plate and back panel", "laser", 24, attended=True),
            _task("wire", "Wire the sensors", 150),
            _task("bench", "Bench test of the wiring", 40, chance=0.3),
            _task("code", "Logger code", 240),
            _task("fit", "Test fit of the cradle", 20, chance=0.2),
            _task("assemble", "Assemble the station", 130),
            _task("last", "Run for an hour and watch", 60, chance=0.1),
        ),
        travel_s={("home", "workshop"): 1500, ("workshop", "home"): 1500},
    )


Clock = tuple[int, int, int]


def _block(  # noqa: PLR0913 - one line for each block of the table below
    ident: str,
    what: str,
    kind: Kind,
    lane: str,
    start: Clock,
    end: Clock,
    *,
    place: str = "home",
    attended: bool = False,
    needs: tuple[str, ...] = (),
    reason: Reason | None = None,
) -> Block:
    return Block(
        id=ident,
        activity=ident.partition(".")[0].partition("#")[0],
        kind=kind,
        what=what,
        resource=lane,
        place=place,
        start_s=at(*start),
        end_s=at(*end),
        attended=attended,
        needs=needs,
        reason=reason or Reason(Why.FIRST),
    )


def _tended(
    ident: str, what: str, lane: str, start: Clock, run: tuple[Clock, Clock], clear: Clock
) -> tuple[Block, ...]:
    begin, end = run
    done = (clear[0], clear[1], clear[2] + 6)
    return (
        _block(f"{ident}.start", what, Kind.TEND, "mira", start, begin),
        _block(ident, what, Kind.RUN, lane, begin, end, reason=Reason(Why.FIRST)),
        _block(f"{ident}.clear", what, Kind.TEND, "mira", clear, done),
    )


def blocks() -> tuple[Block, ...]:
    """Nominal course of the weekend."""
    run, tend, work, gate, travel = Kind.RUN, Kind.TEND, Kind.WORK, Kind.GATE, Kind.TRAVEL
    found = (
        *_tended(
            "louvres",
            "Louvre plates (6)",
            "large",
            (13, 18, 0),
            ((13, 18, 10), (14, 6, 35)),
            (14, 8, 0),
        ),
        *_tended(
            "cradle",
            "Sensor cradle",
            "small",
            (13, 18, 10),
            ((13, 18, 20), (13, 19, 55)),
            (13, 20, 40),
        ),
        *_tended(
            "feet", "Feet (4)", "small", (13, 20, 46), ((13, 20, 56), (13, 21, 34)), (13, 22, 50)
        ),
        *_tended(
            "funnel",
            "Rain funnel",
            "large",
            (14, 8, 6),
            ((14, 8, 16), (14, 13, 56)),
            (14, 16, 0),
        ),
        *_tended(
            "spare",
            "Spare louvre",
            "small",
            (14, 8, 16),
            ((14, 8, 26), (14, 10, 26)),
            (14, 16, 6),
        ),
        _block("code#1", "Logger code", work, "mira", (13, 18, 20), (13, 20, 40)),
        _block("code#2", "Logger code", work, "mira", (13, 20, 56), (13, 22, 36)),
        _block("wire#1", "Wire the sensors", work, "mira", (14, 8, 26), (14, 9, 35)),
        _block("mira.travel.1", "to Harbour workshop", travel, "mira", (14, 9, 35), (14, 10, 0), place="workshop"),
        _block("plates", "Base plate and back panel", run, "laser", (14, 10, 0), (14, 10, 44), attended=True, place="workshop", reason=Reason(Why.OPENS, {"what": "Harbour workshop"})),
        _block("plates.tend", "Base plate and back panel", tend, "mira", (14, 10, 0), (14, 10, 44), place="workshop"),
        _block("mira.travel.2", "to Home", travel, "mira", (14, 10, 44), (14, 11, 9), place="home"),
        _block("wire#2", "Wire the sensors", work, "mira", (14, 11, 9), (14, 12, 30), needs=("wire#1",)),
        _block("bench", "Bench test of the wiring", gate, "mira", (14, 13, 15), (14, 13, 55), needs=("wire",), reason=Reason(Why.AFTER, {"what": "Wire the sensors"})),
        _block("fit", "Test fit of the cradle", gate, "mira", (14, 13, 55), (14, 14, 15), needs=("cradle",)),
        _block("assemble#1", "Assemble the station", work, "mira", (14, 14, 15), (14, 16, 0), needs=("fit", "bench", "plates")),
        _block("assemble#2", "Assemble the station", work, "mira", (14, 16, 12), (14, 16, 37)),
        _block("last", "Run for an hour and watch", gate, "mira", (14, 16, 37), (14, 17, 37), needs=("assemble",)),
    )  # fmt: skip
    return tuple(sorted(found, key=lambda block: block.start_s))


def finishes() -> tuple[tuple[int, int], ...]:
    """A histogram of 2560 finishes: Saturday evening, Sunday, and 180 of them too late."""
    saturday = (2, 9, 22, 20, 22, 17, 9, 4, 1, 0, 0, 0, 0, 0)
    sunday = (3, 12, 21, 24, 19, 14, 10, 8, 6, 5, 4, 3, 2, 1)
    late = (6, 5, 4, 2, 1)
    start = at(14, 17)
    bins = enumerate((*saturday, *sunday, *late))
    return tuple((start + 3600 * i, 10 * n) for i, n in bins if n)


def answer() -> Answer:
    """The plan a maker would see."""
    course = blocks()
    done = {block.activity: block.end_s for block in course}
    return Answer(
        plan=Plan(order=tuple(activity.id for activity in weekend().activities)),
        course=Course(blocks=course, done_s=done, finish_s=at(14, 17, 37)),
        odds=Odds(
            on_time=0.93,
            standard_error=0.004,
            p10_s=at(14, 19, 40),
            p50_s=at(15, 9, 40),
            p90_s=at(15, 17, 30),
            scenarios=2560,
            finishes_s=finishes(),
        ),
        solver=Solver(status="optimal", bound_s=at(14, 17, 37), gap=0.0),
        method="test",
    )


def outlooks() -> tuple[Outlook, ...]:
    """Six moments; at the first, one weekend in ten needs more time than there is."""
    span = DEADLINE - BEGIN
    return tuple(
        Outlook(
            moment_s=BEGIN + span * step // 6,
            left_s=span - span * step // 6,
            p10_s=max(0, 30 * HOUR_S - 6 * HOUR_S * step),
            p50_s=max(0, 38 * HOUR_S - 7 * HOUR_S * step),
            p90_s=max(0, 56 * HOUR_S - 10 * HOUR_S * step) if step else None,
            on_time=0.9,
        )
        for step in range(6)
    )
