"""The jobs of a made-up weekend, before they become activities: what there is, and how long it takes."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum, auto

from numpy.random import Generator

AWAKE_MIN = 1920
"""What a person has on such a weekend without meals and sleep, roughly."""

WHOLE_MIN = 3120
"""From Friday at six to Sunday at ten."""

SHORTEST_MIN, LONGEST_MIN = 20, 840
"""Prints."""

FIT_CHANCES = (0.04, 0.08, 0.15, 0.25, 0.35)
"""How likely a part does not fit; from the third on, a coupon may be printed before."""

PIECE_CHANCE = 0.08
"""The same for a small part on a cut plate."""

REPAIR_CHANCE = 0.2
"""How likely the last test of a device finds something."""


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
        chance, redo: for gates.
        minutes: its length, once all are known.
        area: share of a bed it takes.
        fit: id of the gate that looks whether a part fits; empty if none does.
        coupon_min: length of the coupon that may be printed before a part; 0 if there is none.
        pieces: ids of the jobs that may be done instead of a part and its gate.
    """

    ident: str
    kind: Kind
    raw: float
    after: tuple[str, ...] = ()
    group: int = 0
    instead: bool = False
    chance: float = 0.0
    redo: tuple[str, ...] = ()
    minutes: float = 0.0
    area: float = 0.0
    fit: str = ""
    coupon_min: float = 0.0
    pieces: tuple[str, ...] = ()

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
    rng: Generator
    jobs: list[Job] = field(default_factory=list)

    def add(self, ident: str, kind: Kind, raw: float, **more: object) -> Job:
        """One more job."""
        job = Job(ident=ident, kind=kind, raw=raw, **more)  # type: ignore[arg-type]  # checked by Job
        self.jobs.append(job)
        return job

    def work(self, ident: str, after: Iterable[str] = (), raw: float = 0.0, **more: object) -> Job:
        """Handwork, of a random length if none is given."""
        raw = raw or self.rng.lognormal(0, 0.5)
        return self.add(ident, Kind.WORK, raw, after=tuple(after), **more)

    def between(self, low: float, high: float) -> float:
        """Any figure in a range."""
        return float(self.rng.uniform(low, high))

    def happens(self, chance: float) -> bool:
        """Whether something does."""
        return bool(self.rng.random() < chance)


def drafted(rng: Generator, count: int) -> Draft:
    """The jobs of a weekend, with their lengths."""
    draft = Draft(size_of(count), rng)
    size = draft.size
    forked = {*rng.choice(size.parts, size.routes, replace=False).tolist()}
    parts = [_part(draft, n, forked=n in forked) for n in range(size.parts)]
    cuts = [_sheet(draft, n) for n in range(size.cuts)]
    counted = len(draft.jobs) - 2 * size.routes
    left = (count - counted) // size.devices
    ends = [
        _device(draft, n, parts[n :: size.devices], cuts[n :: size.devices], max(4, left))
        for n in range(size.devices)
    ]
    if len(ends) > 1:
        draft.work("final", ends, 1.2)
    _set_lengths(draft)
    return draft


def _part(draft: Draft, number: int, *, forked: bool) -> Job:
    """A part to print, with what is drawn before and tried on after."""
    name = f"part{number}"
    design = draft.happens(0.2)
    before = (draft.work(f"draw-{name}", raw=draft.between(0.5, 1)).ident,) if design else ()
    group = 0 if len(draft.size.printers) == 1 or draft.happens(0.7) else 1
    raw = draft.rng.lognormal(0, 0.8)
    part = draft.add(name, Kind.PRINT, max(raw, 2.5) if forked else raw, after=before, group=group)
    if forked or draft.happens(0.6):
        _add_fit(draft, part)
    if forked:
        _add_pieces(draft, part)
    return part


def _add_fit(draft: Draft, part: Job) -> None:
    """A gate that may send a part back, and perhaps a coupon that makes this less likely."""
    chance, fit = float(draft.rng.choice(FIT_CHANCES)), f"fit-{part.ident}"
    raw = draft.between(0.3, 0.6)
    after = (part.ident,)
    draft.work(fit, after, raw, chance=chance, redo=after)
    part.fit = fit
    if chance >= FIT_CHANCES[2]:
        part.coupon_min = _fives(draft.between(20, 45), 20)
        part.after = (*part.after, coupon(part.ident))


def _add_pieces(draft: Draft, part: Job) -> None:
    """A cut plate and a small print, joined and tried on, instead of a big print."""
    name, raw = part.ident, draft.between(0.3, 0.6)
    plate = draft.add(f"plate-{name}", Kind.CUT, draft.between(0.6, 1.2), instead=True)
    small = part.raw * draft.between(0.15, 0.35)
    piece = draft.add(
        f"piece-{name}",
        Kind.PRINT,
        small,
        after=tuple(need for need in part.after if need != coupon(name)),
        group=part.group,
        instead=True,
    )
    both = (plate.ident, piece.ident)
    joined = draft.work(f"join-{name}", both, draft.between(0.5, 1), instead=True)
    fit = draft.work(
        f"fit-piece-{name}",
        (joined.ident,),
        raw,
        chance=PIECE_CHANCE,
        redo=(piece.ident,),
        instead=True,
    )
    part.pieces = (*both, joined.ident, fit.ident)


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
        row = chains if draft.happens(0.75) else groups
        place = int(draft.rng.integers(len(row)))
        row[place] = draft.work(f"work{number}.{n}", (row[place],)).ident
    build = draft.work(f"build{number}", (*groups, chains[0]), 1.3)
    test = draft.work(f"test{number}", (build.ident, *chains[1:]), 1.0, chance=REPAIR_CHANCE)
    return draft.work(f"close{number}", (test.ident,), 0.8).ident


def _groups(draft: Draft, number: int, parts: list[Job], cuts: list[Job]) -> list[str]:
    """Two to four parts at a time are put together, often with a sheet; ids of that work."""
    order = draft.rng.permutation(len(parts)).tolist()
    cuts, groups = cuts.copy(), list[str]()
    while order:
        size = int(draft.rng.integers(2, 5))
        needs = [ident for place in order[:size] for ident in parts[place].ends]
        if cuts and draft.happens(0.7):
            needs.append(cuts.pop().ident)
        groups.append(draft.work(f"group{number}.{len(groups)}", needs).ident)
        order = order[size:]
    if cuts:
        groups.append(draft.work(f"plates{number}", [cut.ident for cut in cuts]).ident)
    return groups


def _set_lengths(draft: Draft) -> None:
    """Minutes from raw lengths, so that hands and printers are as busy as they should be."""
    size = draft.size
    tended = 15 * size.parts + 2 * 30 * size.devices + 35 * size.cuts
    wanted = draft.between(*size.hands_load) * AWAKE_MIN * size.people - tended
    works = [job for job in draft.jobs if job.kind is Kind.WORK]
    scale = wanted / sum(job.raw for job in works if not job.instead)
    for job in works:
        job.minutes = min(180, _fives(job.raw * scale, 10))
    for job in draft.jobs:
        if job.kind is Kind.CUT:
            job.minutes = _fives(job.raw * 35, 10)
    load = draft.between(*size.printer_load)
    for group, printers in enumerate(size.printers):
        prints = [job for job in draft.jobs if job.kind is Kind.PRINT and job.group == group]
        _set_prints(draft, prints, load * WHOLE_MIN * printers)


def _set_prints(draft: Draft, prints: list[Job], wanted_min: float) -> None:
    """Minutes and areas of prints; they add up to what is wanted as far as their limits allow."""
    standing = [job.raw for job in prints if not job.instead]
    scale = wanted_min / max(sum(standing), 1e-9)
    for _ in range(20):
        total = sum(_limited(raw * scale) for raw in standing)
        scale *= wanted_min / max(total, 1e-9)
        if total >= LONGEST_MIN * len(standing) - 1:
            break
    for job in prints:
        job.minutes = _fives(_limited(job.raw * scale), SHORTEST_MIN)
        grown = 0.1 + 0.06 * (job.minutes / 60) ** 0.7 * draft.between(0.7, 1.6)
        job.area = min(0.9, max(0.12, grown))


def _limited(minutes: float) -> float:
    return min(LONGEST_MIN, max(SHORTEST_MIN, minutes))


def _fives(minutes: float, least: float) -> float:
    """To five minutes, but no less."""
    return max(least, round(minutes / 5) * 5)
