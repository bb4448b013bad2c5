"""The jobs of a made-up weekend, before they become activities: what there is, and how long it takes."""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum, auto

AWAKE_MIN = 1920
"""What a person has on such a weekend without meals and sleep, roughly."""

WHOLE_MIN = 3120
"""From Friday at six to Sunday at ten."""

SHORTEST_MIN, LONGEST_MIN = 20, 840
"""Prints."""

FIT_CHANCES = (0.04, 0.08, 0.15, 0.25, 0.35)
"""How likely a part does not fit; from the third on, a coupon may be printed before."""

NIGHT_MIN = 240
"""Longer prints run at night as well."""

PIECE_CHANCE = 0.08
"""The same for a small part on a cut plate."""

REPAIR_CHANCE = 0.2
"""How likely the last test of a device finds something."""

REPAIR = 0.8
"""What it takes to mend that and see that it works, as a share of the whole test."""


class Kind(Enum):
    """What a job is."""

    PRINT = auto()
    CUT = auto()
    WORK = auto()


@dataclass(slots=True, kw_only=True)
class Job:
    """Something to do.

    Attributes:
        ident: its id.
        kind: what it is.
        raw: its length, in proportion to others of its kind.
        after: ids of what it waits for.
        group: of printers, for prints.
        instead: whether it is carried out only if a swap is taken.
        chance: of a fault, for gates.
        minutes: its length, once all are known.
        area: share of a bed it takes.
        fit: id of the gate that looks whether a part fits; empty if none does.
        coupon_min: length of the coupon that may be printed before a part; 0 if there is none.
        pieces: ids of the jobs that may be done instead of a part and its gate.
        of: id of the job it is a piece of; empty if it is the whole.
    """

    ident: str
    kind: Kind
    raw: float
    after: tuple[str, ...] = ()
    group: int = 0
    instead: bool = False
    chance: float = 0.0
    minutes: float = 0.0
    area: float = 0.0
    fit: str = ""
    coupon_min: float = 0.0
    pieces: tuple[str, ...] = ()
    of: str = ""

    @property
    def ends(self) -> tuple[str, ...]:
        """Ids of what others wait for who need a part: itself or its gates, whichever there will be."""
        if not self.fit:
            return (self.ident,)
        after_coupon = (eased(self.fit),) if self.coupon_min else ()
        return (self.fit, *after_coupon, *self.pieces[-1:])


def eased(fit: str) -> str:
    """Id of a fit test after a coupon."""
    return f"{fit}-eased"


def coupon(part: str) -> str:
    """Id of a part's coupon."""
    return f"coupon-{part}"


@dataclass(frozen=True, slots=True)
class Size:
    """How big everything is.

    Attributes:
        count: jobs that are carried out, about.
        people: how many there are.
        printers: how many of each group.
        hands_load, printer_load: ranges of the share of hours that would be used if nothing failed.
    """

    count: int
    people: int
    printers: tuple[int, ...]
    hands_load: tuple[float, float]
    printer_load: tuple[float, float]

    @property
    def devices(self) -> int:
        """How many things are built."""
        return 1 if self.count <= 60 else max(2, self.count // 45)

    @property
    def parts(self) -> int:
        """How many parts are printed."""
        return max(4, round(0.28 * self.count))

    @property
    def cuts(self) -> int:
        """How many sheets are cut."""
        return max(1, round(0.08 * self.count))

    @property
    def routes(self) -> int:
        """How many parts can be made in two ways."""
        return max(1, round(self.count / 20)) if self.count > 10 else 0


def size_of(count: int) -> Size:
    """People and printers for so many jobs."""
    busy, calm = ((0.60, 0.76), (0.44, 0.58)), ((0.46, 0.60), (0.34, 0.46))
    if count <= 20:
        return Size(count, 1, (2,), (0.50, 0.66), (0.26, 0.38))
    if count <= 60:
        return Size(count, 1, (3,), *busy)
    if count <= 150:
        return Size(count, 3, (5, 2), *calm)
    if count <= 350:
        return Size(count, 7, (14, 6), *calm)
    return Size(count, 11, (20, 10), *calm)


@dataclass(slots=True)
class Draft:
    """Jobs being thought up."""

    size: Size
    rng: random.Random
    jobs: list[Job] = field(default_factory=list)
    way_min: int = 0

    def add(self, ident: str, kind: Kind, raw: float, **more: object) -> Job:
        """One more job."""
        job = Job(ident=ident, kind=kind, raw=raw, **more)  # type: ignore[arg-type]  # checked by Job
        self.jobs.append(job)
        return job

    def work(self, ident: str, after: Iterable[str] = (), raw: float = 0.0, **more: object) -> Job:
        """Handwork, of a random length if none is given."""
        raw = raw or self.rng.lognormvariate(0, 0.5)
        return self.add(ident, Kind.WORK, raw, after=tuple(after), **more)

    def between(self, low: float, high: float) -> float:
        """Any figure in a range."""
        return self.rng.uniform(low, high)

    def happens(self, chance: float) -> bool:
        """Whether something does."""
        return self.rng.random() < chance

    def group(self) -> int:
        """A group of printers."""
        return 0 if len(self.size.printers) == 1 or self.happens(0.7) else 1


def drafted(count: int, seed: int) -> Draft:
    """The jobs of a weekend, with their lengths."""
    draft = Draft(size_of(count), random.Random(1000 * count + seed))  # noqa: S311  # made up, not secret
    size = draft.size
    loads = draft.between(*size.hands_load), draft.between(*size.printer_load)
    forked = {*draft.rng.sample(range(size.parts), size.routes)}
    prints = [_print(draft, n) for n in range(size.parts)]
    for number, part in enumerate(prints):
        _add_around(draft, part, forked=number in forked)
    cuts = [_sheet(draft, n) for n in range(size.cuts)]
    left = max(4, (count - len(draft.jobs) + 2 * size.routes) // size.devices)
    ends = [
        _device(draft, n, prints[n :: size.devices], cuts[n :: size.devices], left)
        for n in range(size.devices)
    ]
    if len(ends) > 1:
        draft.work("final", ends, 1.2)
    _set_lengths(draft, *loads)
    _set_chances(draft)
    _set_needs(draft)
    draft.way_min = _fives(draft.between(20, 40), 5)
    return draft


def _print(draft: Draft, number: int) -> Job:
    """A part to print."""
    group = draft.group()
    draft.between(0.15, 0.6)  # every part draws once more, whatever becomes of it
    raw = draft.rng.lognormvariate(0, 0.8)
    return draft.add(f"part{number}", Kind.PRINT, raw, group=group)


def _add_around(draft: Draft, part: Job, *, forked: bool) -> None:
    """What is drawn before a part and tried on after, and how else it may be made."""
    if draft.happens(0.2):
        part.after = (draft.work(f"draw-{part.ident}", raw=draft.between(0.5, 1)).ident,)
    if forked:
        part.raw = max(part.raw, 2.5)
        _add_pieces(draft, part)
    elif draft.happens(0.6):
        _add_fit(draft, part, draft.between(0.3, 0.6))


def _add_fit(draft: Draft, part: Job, raw: float) -> None:
    """A gate that may send a part back."""
    part.fit = draft.work(f"fit-{part.ident}", (part.ident,), raw).ident


def _add_pieces(draft: Draft, part: Job) -> None:
    """A cut plate and a small print, joined and tried on, instead of a big print."""
    name = part.ident
    plate = draft.add(f"plate-{name}", Kind.CUT, draft.between(0.6, 1.2), instead=True)
    small = part.raw * draft.between(0.15, 0.35)
    draft.group()
    draft.between(0.15, 0.6)
    piece = draft.add(f"piece-{name}", Kind.PRINT, small, group=part.group, instead=True)
    both = (plate.ident, piece.ident)
    joined = draft.work(f"join-{name}", both, draft.between(0.5, 1), instead=True)
    raw = draft.between(0.3, 0.6)
    _add_fit(draft, part, raw)
    piece.fit = draft.work(f"fit-{piece.ident}", (joined.ident,), raw, instead=True).ident
    part.pieces = (*both, joined.ident, piece.fit)


def _sheet(draft: Draft, number: int) -> Job:
    """A sheet to cut, sometimes laid out first."""
    lay = draft.happens(0.4)
    before = (draft.work(f"lay-{number}", raw=draft.between(0.3, 0.8)).ident,) if lay else ()
    return draft.add(f"cut{number}", Kind.CUT, draft.between(0.6, 1.4), after=before)


def _device(draft: Draft, number: int, parts: list[Job], cuts: list[Job], left: int) -> str:
    """Parts and sheets into groups, groups into a device, with other work beside; id of its end."""
    end = len(draft.jobs) + left - 3
    groups = _groups(draft, number, parts, cuts)
    spare = end - len(draft.jobs)
    chains = [draft.work(f"prepare{number}.{n}").ident for n in range(max(1, min(3, spare // 3)))]
    for n in range(max(0, end - len(draft.jobs))):
        place = draft.rng.randrange(len(chains))
        row = chains if draft.happens(0.75) else groups
        place = place if row is chains else draft.rng.randrange(len(groups))
        row[place] = draft.work(f"work{number}.{n}", (row[place],)).ident
    build = draft.work(f"build{number}", (*groups, chains[0]), 1.3)
    test = draft.work(f"test{number}", (build.ident, *chains[1:]), 1.0, chance=REPAIR_CHANCE)
    return draft.work(f"close{number}", (test.ident,), 0.8).ident


def _groups(draft: Draft, number: int, parts: list[Job], cuts: list[Job]) -> list[str]:
    """Two to four parts at a time are put together, often with a sheet; ids of that work."""
    parts, cuts, groups = parts.copy(), cuts.copy(), list[Job]()
    draft.rng.shuffle(parts)
    while parts:
        size = draft.rng.choice((2, 3, 4))
        needs = tuple(part.ident for part in parts[:size])
        if cuts and draft.happens(0.7):
            needs += (cuts.pop().ident,)
        groups.append(draft.work(f"group{number}.{len(groups)}", needs))
        parts = parts[size:]
    if cuts:
        groups.append(draft.work(f"plates{number}", [cut.ident for cut in cuts]))
    return [group.ident for group in groups]


def _set_needs(draft: Draft) -> None:
    """Who needs a part waits for whatever tells that it is good."""
    parts = {job.ident: job for job in draft.jobs if job.kind is Kind.PRINT and job.fit}
    tried = {ident for job in parts.values() for ident in (job.fit, *job.pieces)}
    for job in draft.jobs:
        if job.ident not in tried:
            ends = (parts[x].ends if x in parts else (x,) for x in job.after)
            job.after = tuple(ident for some in ends for ident in some)


def _set_lengths(draft: Draft, hands_load: float, printer_load: float) -> None:
    """Minutes from raw lengths, so that hands and printers are as busy as they should be."""
    size = draft.size
    tended = 15 * size.parts + 2 * 30 * size.devices + 35 * size.cuts
    wanted = hands_load * AWAKE_MIN * size.people - tended
    works = [job for job in draft.jobs if job.kind is Kind.WORK]
    scale = wanted / sum(job.raw for job in works if not job.instead)
    for job in works:
        job.minutes = min(180, _fives(job.raw * scale, 10))
        if job.chance:
            _set_up(draft, job, _fives(REPAIR * job.raw * scale, 15))
    for job in draft.jobs:
        if job.kind is Kind.CUT:
            job.minutes = _fives(job.raw * 35, 10)
    for group, printers in enumerate(size.printers):
        prints = [job for job in draft.jobs if job.kind is Kind.PRINT and job.group == group]
        _set_prints(prints, printer_load * WHOLE_MIN * printers)


def _set_up(draft: Draft, test: Job, again_min: int) -> None:
    """Take what is not done again when a test has found something as a piece of its own."""
    before = test.minutes - min(again_min, test.minutes - 5)
    rig = Job(
        ident=f"rig-{test.ident}",
        kind=Kind.WORK,
        raw=0.0,
        after=test.after,
        minutes=before,
        of=test.ident,
    )
    draft.jobs.insert(draft.jobs.index(test), rig)
    test.minutes, test.after = test.minutes - before, (rig.ident,)


def _set_prints(prints: list[Job], wanted_min: float) -> None:
    """Minutes of prints; they add up to what is wanted as far as their limits allow."""
    standing = [job.raw for job in prints if not job.instead]
    scale = wanted_min / max(sum(standing), 1e-9)
    for _ in range(20):
        total = sum(_limited(raw * scale) for raw in standing)
        scale *= wanted_min / max(total, 1e-9)
        if total >= LONGEST_MIN * len(standing) - 1:
            break
    for job in prints:
        job.minutes = _fives(_limited(job.raw * scale), SHORTEST_MIN)


def _set_chances(draft: Draft) -> None:
    """How large every part is, how likely it does not fit, and the coupons that would tell."""
    works = {job.ident: job for job in draft.jobs}
    prints = [job for job in draft.jobs if job.kind is Kind.PRINT]
    for part in sorted(prints, key=lambda job: job.instead):
        if part.minutes <= NIGHT_MIN:
            draft.happens(0.6)  # whether it may run at night, which no part of a weekend can tell
        grown = 0.1 + 0.06 * (part.minutes / 60) ** 0.7 * draft.between(0.7, 1.6)
        part.area = min(0.9, max(0.12, grown))
        if part.fit:
            _set_chance(draft, part, works[part.fit])


def _set_chance(draft: Draft, part: Job, fit: Job) -> None:
    fit.chance = PIECE_CHANCE if part.instead else draft.rng.choice(FIT_CHANCES)
    if fit.chance >= FIT_CHANCES[2]:
        part.coupon_min = _fives(draft.between(20, 45), 20)
        part.after = (*part.after, coupon(part.ident))


def _limited(minutes: float) -> float:
    return min(LONGEST_MIN, max(SHORTEST_MIN, minutes))


def _fives(minutes: float, least: int) -> int:
    """To five minutes, but no less."""
    return max(least, round(minutes / 5) * 5)
