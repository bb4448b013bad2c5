"""Made-up weekends of any size, with everything a planner may decide: our yardstick.

All figures are our own assumptions about what makers do; none is fitted to any planner. Whoever
plans well on them has dealt with few hands, prints that fail the more often the longer they take, fit
tests that send parts back, a workshop with hours of its own, and a fixed end: a weekend begins on
Friday at six in the evening and has to be done by ten on Sunday. Decisions are

* a route for some parts: one big print, or a small one joined to a cut plate;
* a coupon for parts that often do not fit: a short print that takes most of the gate's chance;
* two or three parts on one bed: hands are saved, but one failure scraps all of them. What does not
  fit is printed again alone.
"""

from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any

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
from tests.schedule.synthetic_draft import (
    LONGEST_MIN,
    Draft,
    Job,
    Kind,
    Size,
    coupon,
    drafted,
    eased,
)
from tests.schedule.weekends import BEGIN, DAY, HOUR, MINUTE, clock

DAYS = 6
"""Hours are known for so long, so that lateness can be measured."""

START_MIN, CLEAR_MIN, LOOK_MIN = 10, 5, 10
"""Hands to start a print, to clear it, and to look at a coupon."""

FAIL_START, FAIL_HOUR = 0.02, 0.012
"""A print of 14 hours fails in one case of six."""

COUPON_FAILS, CUT_FAILS = 0.03, 0.05

EASED = 0.25
"""What a coupon leaves of the chance that a part does not fit."""

TOGETHER = 0.95
"""Machine time of parts on one bed, as a share of all of them alone."""

MOST_BEDS, MOST_THIRDS = 4, 3
"""A part can share a bed with so many of the next ones, and with two of so many at once."""

MANY_PARTS = 20
"""Where there are more, half as many beds will do."""

PRINT = Spread(0.99, 1.03, 1.07)
"""Machine time of a print as a share of the minutes it is given."""

CUT = Spread(1.02, 1.05, 1.1)
WORK = Spread(0.5, 1.0, 2.0)
"""Handwork: a mean of 1.08 and a deviation of 0.27."""


def synthetic_weekend(count: int, seed: int) -> Weekend:
    """A weekend of about so many activities that are carried out.

    Args:
        count: activities if no swap is taken.
        seed: not below zero; the same seed gives the same weekend.
    """
    draft = drafted(count, seed)
    made = _Made(draft)
    made.add_all()
    horizon, way_s = BEGIN + DAYS * DAY, draft.way_min * MINUTE
    lab, always = _lab(), Windows.always(BEGIN, horizon)
    names = people(draft.size)
    return Weekend(
        zone="Europe/Berlin",
        begin_s=BEGIN,
        deadline_s=BEGIN + 52 * HOUR,
        horizon_s=horizon,
        hands=tuple(Hands(id=who, name=who, base="home", windows=_up()) for who in names),
        sites=(
            Site(id="home", name="Home", windows=_home()),
            Site(id="lab", name="Lab", windows=lab),
        ),
        stations=(
            *(
                Station(id=name, name=name, place="home", windows=always)
                for group in range(len(draft.size.printers))
                for name in printers(draft.size, group)
            ),
            *(Station(id=name, name=name, place="lab", windows=lab) for name in lasers(draft.size)),
        ),
        activities=made.listed(),
        travel_s={("home", "lab"): way_s, ("lab", "home"): way_s},
        swaps=tuple(made.swaps),
        settled=tuple(made.again),
    )


def people(size: Size) -> tuple[str, ...]:
    """Ids of everybody."""
    return tuple(f"person{n}" for n in range(size.people))


def printers(size: Size, group: int) -> tuple[str, ...]:
    """Ids of the printers of a group."""
    return tuple(f"printer{group}.{n}" for n in range(size.printers[group]))


def lasers(size: Size) -> tuple[str, ...]:
    """Ids of the lasers: one for each person, since hands are what is short."""
    return tuple(f"laser{n}" for n in range(size.people))


def _up() -> Windows:
    """From eight until half past eleven."""
    return clock((0, 5.5), *((24 * day + 14, 24 * day + 29.5) for day in range(DAYS)))


def _home() -> Windows:
    """The same without two meals, which are eaten at home: in the lab one goes on cutting."""
    meals = ((14, 18.5), (19.25, 24.5), (25.25, 29.5))
    daily = [(24 * day + a, 24 * day + b) for day in range(DAYS) for a, b in meals]
    return clock((0, 5.5), *daily)


def _lab() -> Windows:
    """From ten to six; on Sunday from twelve to four."""
    days = (day for day in range(DAYS) if day != 1)
    return clock((42, 46), *((24 * day + 16, 24 * day + 24) for day in days))


@dataclass(slots=True)
class _Made:
    """Activities and swaps made of a draft."""

    draft: Draft
    sheets: list[Run] = field(default_factory=list)
    prints: list[Run] = field(default_factory=list)
    tasks: list[Task] = field(default_factory=list)
    again: list[Run] = field(default_factory=list)
    swaps: list[Swap] = field(default_factory=list)

    def listed(self) -> tuple[Activity, ...]:
        """Sheets, prints, work."""
        return (*self.sheets, *self.prints, *self.tasks)

    def add_all(self) -> None:
        """Every job, then what may be done instead."""
        parts = []
        for job in self.draft.jobs:
            if job.kind is Kind.PRINT:
                self.prints.append(self._print(job.ident, job.minutes, job))
                if job.fit:
                    self.again.append(self._print(again(job.ident), job.minutes, job, after=()))
                parts += [] if job.instead else [job]
            elif job.kind is Kind.CUT:
                self.sheets.append(self._cut(job))
            else:
                self.tasks.append(self._work(job))
        for job in parts:
            self._add_route(job)
            self._add_coupon(job)
        for place, job in enumerate(parts):
            self._add_beds(job, parts[place + 1 :])

    def _swap(self, kind: Turn, name: str, out: set[str], into: set[str]) -> None:
        ident = f"{kind}-{name}"
        swap = Swap(id=ident, kind=kind, name=name, out=frozenset(out), into=frozenset(into))
        self.swaps.append(swap)

    def _print(self, ident: str, minutes: float, job: Job, **more: Any) -> Run:
        seconds = PRINT.scaled(minutes * MINUTE)
        names = printers(self.draft.size, job.group)
        fields: dict[str, Any] = {
            "clear_s": CLEAR_MIN * MINUTE,
            "fail_start": FAIL_START,
            "fail_hour": FAIL_HOUR,
            "after": job.after,
            "cargo": ((job.ident, 1),),
        }
        return Run(
            id=ident,
            name=ident,
            choices=tuple(Choice(name, seconds) for name in names),
            attended=False,
            start_s=START_MIN * MINUTE,
            **(fields | more),
        )

    def _cut(self, job: Job) -> Run:
        seconds = CUT.scaled(job.minutes * MINUTE)
        return Run(
            id=job.ident,
            name=job.ident,
            choices=tuple(Choice(name, seconds) for name in lasers(self.draft.size)),
            attended=True,
            start_s=0,
            clear_s=0,
            fail_start=CUT_FAILS,
            after=job.after,
        )

    def _work(self, job: Job) -> Task:
        return Task(
            id=job.ident,
            name=job.ident,
            place="home",
            people=people(self.draft.size),
            seconds=WORK.scaled(job.minutes * MINUTE),
            splittable=True,
            of=job.of or job.ident,
            chance=job.chance,
            redo=self._redo(job),
            after=job.after,
        )

    def _add_route(self, part: Job) -> None:
        if part.pieces:
            self._swap(Turn.ROUTE, part.ident, {part.ident, part.fit}, {*part.pieces})

    def _add_coupon(self, part: Job) -> None:
        """A short print before a part, and the same fit test with a smaller chance."""
        if not part.coupon_min:
            return
        ident = coupon(part.ident)
        after = tuple(need for need in part.after if need != ident)
        clear_s = (CLEAR_MIN + LOOK_MIN) * MINUTE
        fails = {"fail_start": COUPON_FAILS, "fail_hour": 0.0, "cargo": ((ident, 1),)}
        run = self._print(ident, part.coupon_min, part, after=after, clear_s=clear_s, **fails)
        self.prints.append(run)
        fit = next(task for task in self.tasks if task.id == part.fit)
        self.tasks.append(replace(fit, id=eased(fit.id), chance=EASED * fit.chance))
        self._swap(Turn.GATE, part.ident, {fit.id}, {ident, eased(fit.id)})

    def _redo(self, fit: Job) -> tuple[str, ...]:
        """What does not fit is printed again alone, whatever it was printed with."""
        return tuple(again(job.ident) for job in self.draft.jobs if job.fit == fit.ident)

    def _add_beds(self, part: Job, later: list[Job]) -> None:
        """Beds with one of the next parts that fit, and on from the first few with a third."""
        few = 1 + (self.draft.size.parts > MANY_PARTS)
        others = [other for other in later if _fit(part, other)][: MOST_BEDS // few]
        for other in others:
            self._add_bed((part, other), {part.ident, other.ident})
        for other, third in combinations(others[: MOST_THIRDS // few], 2):
            if _fit(part, other, third):
                self._add_bed((part, other, third), {_bed(part, other), third.ident})

    def _add_bed(self, parts: tuple[Job, ...], out: set[str]) -> None:
        ident = _bed(*parts)
        bed = self._print(
            ident,
            _minutes(*parts),
            parts[0],
            after=tuple(dict.fromkeys(need for part in parts for need in part.after)),
            fail_start=1 - (1 - FAIL_START) ** len(parts),
            fail_hour=FAIL_HOUR / TOGETHER,
            cargo=tuple((part.ident, 1) for part in parts),
        )
        self.prints.append(bed)
        alone = {part.ident for part in parts}
        self.tasks = [_with_bed(task, ident, alone) for task in self.tasks]
        self._swap(Turn.BED, ident, out, {ident})


def again(part: str) -> str:
    """Id of a part that is printed again."""
    return f"again-{part}"


def _bed(*parts: Job) -> str:
    """Id of parts on one bed."""
    return "+".join(part.ident for part in parts)


def _minutes(*parts: Job) -> float:
    return TOGETHER * sum(part.minutes for part in parts)


def _fit(*parts: Job) -> bool:
    """Whether parts share a bed."""
    areas = sum(part.area for part in parts)
    return len({p.group for p in parts}) == 1 and areas <= 1 and _minutes(*parts) <= LONGEST_MIN


def _with_bed(task: Task, bed: str, alone: set[str]) -> Task:
    """Whoever waits for a part does so with its bed as well."""
    return replace(task, after=(*task.after, bed)) if alone & {*task.after} else task
