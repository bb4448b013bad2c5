"""Other ways to share beds: fuller ones save hands, emptier ones lose less when they fail.

The usual beds hold copies of one part, as many as fit. Instead of one of them there may be a bed for
each copy, or two that are half as full; these also go onto smaller printers. Instead of two or three
of different parts there may be one that holds all. Only parts of one filament that wait for the
same things come together: so nothing can end up waiting for itself. Coupons and the checks of them make
no difference there, since they wait for nothing else: a bed that holds a part with a coupon waits for
the check, if that is carried out.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

from fabsched.model.estimates import Route
from fabsched.model.project import Part, Project
from fabsched.model.shop import Printer
from fabsched.model.weekend import Run
from fabsched.schedule.beds import (
    Filling,
    Load,
    able_printers,
    of_a_kind,
    room_for,
    shared_out,
)
from fabsched.schedule.items import ways_of
from fabsched.schedule.names import Namer, bed_names
from fabsched.schedule.nesting import covered_mm2, in_rows, together_on_bed

PAIRS, TRIPLES, SPLITS = 2, 1, 2
"""Pairs, triples and beds of copies kept apart, for each usual bed at most: more keep the search
busy without a gain (tried on synthetic weekends)."""

FEW = 12
"""Beds that may be kept apart even where there are few usual ones."""

TRIED = 2
"""Tight layouts that are tried, for each usual bed at most: each takes some milliseconds."""

ALONE = 8
"""Beds of more copies are halved, not taken apart copy by copy (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing:
    """Runs that can be carried out instead of others.

    Attributes:
        name: what it is about, as shown.
        out: ids of the runs they replace.
        into: the runs.
    """

    name: str
    out: tuple[str, ...]
    into: tuple[Run, ...]


@dataclass
class Bench:
    """What beds are shared with.

    Attributes:
        project: with all that is waited for spelled out.
        filling: makes the runs.
        namer: gives the ids.
        layouts_left: how many tight layouts may still be tried.
    """

    project: Project
    filling: Filling
    namer: Namer
    layouts_left: int = 0
    _able: dict[str, list[Printer]] = field(default_factory=dict)

    def part(self, run: Run) -> Part:
        """The first part on a bed."""
        return self._parts[run.cargo[0][0]]

    @cached_property
    def _parts(self) -> Mapping[str, Part]:
        return {part.id: part for part in self.project.parts}

    @cached_property
    def ways(self) -> Mapping[str, tuple[str, ...]]:
        """Ids of the fork and the way a part belongs to; what is in none is missing."""
        return ways_of(self.project)

    @cached_property
    def loose(self) -> frozenset[str]:
        """Ids of early gates that wait for coupons alone, and of those coupons."""
        coupons = {p.id for p in self.project.parts if not p.needed and not p.after}
        checks = [
            gate
            for gate in self.project.gates
            if gate.eases and not gate.needed and gate.after and coupons.issuperset(gate.after)
        ]
        return frozenset(ident for gate in checks for ident in (gate.id, *gate.after))

    def waits_for(self, part: Part) -> frozenset[str]:
        """What keeps a part from sharing a bed with one that waits for other things."""
        return frozenset(part.after) - self.loose

    def printers(self, part: Part) -> list[Printer]:
        """Printers that take one copy, those that run alone before all others."""
        if part.id not in self._able:
            estimates = self.filling.estimates.get(part.id, {})
            able = able_printers(part, estimates, self.filling.shop)
            roomy = [p for p in able if room_for(part, estimates.get(p.id), p)]
            self._able[part.id] = of_a_kind(roomy)
        return self._able[part.id]


def sharings(bench: Bench, runs: Sequence[Run]) -> tuple[Sharing, ...]:
    """Other ways to share beds.

    Args:
        bench: what they are shared with.
        runs: the usual beds, each with copies of one part.
    """
    bench.layouts_left = TRIED * len(runs)
    return (*_splits(bench, runs), *_merges(bench, runs))


def _splits(bench: Bench, runs: Sequence[Run]) -> Iterator[Sharing]:
    """Beds of several copies taken apart, the longest first, since they have most to lose."""
    full = [run for run in runs if run.cargo[0][1] > 1]
    left = max(SPLITS * len(runs), FEW)
    copies_before = _copies_before(runs)
    for run in sorted(full, key=lambda run: (-run.choices[0].seconds.likely, run.id)):
        for shares in _shares(run.cargo[0][1]):
            if len(shares) <= left:
                left -= len(shares)
                yield _apart(bench, run, shares, copies_before[run.id])


def _shares(copies: int) -> list[tuple[int, ...]]:
    """Copies on each bed of those a full one is taken apart into.

    >>> _shares(2), _shares(5), _shares(20)
    ([(1, 1)], [(1, 1, 1, 1, 1), (3, 2)], [(10, 10)])
    """
    single = [(1,) * copies] if copies <= ALONE else []
    halves = [shared_out(copies, -(-copies // 2))] if copies > 3 else []
    return single + halves


def _copies_before(runs: Sequence[Run]) -> Mapping[str, int]:
    """How many copies of the same part lie on beds listed before, by run."""
    seen: dict[str, int] = {}
    before = {}
    for run in runs:
        part, copies = run.cargo[0]
        before[run.id] = seen.get(part, 0)
        seen[part] = before[run.id] + copies
    return before


def _apart(bench: Bench, run: Run, shares: tuple[int, ...], before: int) -> Sharing:
    part = bench.part(run)
    made, first = [], before + 1
    names = bed_names(part.name, shares, before, part.copies)
    for copies, name in zip(shares, names, strict=True):
        numbers = f"{first}" if copies == 1 else f"{first}-{first + copies - 1}"
        ident = bench.namer.fresh(f"{part.id}-copy-{numbers}")
        able = [p for p in bench.printers(part) if _has_room(bench, [(part, copies)], p)]
        made.append(bench.filling.run(ident, name, [(part, copies)], able))
        first += copies
    return Sharing(name=run.name, out=(run.id,), into=tuple(made))


def _merges(bench: Bench, runs: Sequence[Run]) -> Iterator[Sharing]:
    """Beds of different parts put together, the shortest first, since they have least to lose."""
    last = {run.cargo[0][0]: run for run in runs if _may_be_shared(bench, run)}
    beds = sorted(last.values(), key=lambda run: (run.choices[0].seconds.likely, run.id))
    pairs: dict[frozenset[str], tuple[Run, ...]] = {}
    near = sorted(combinations(beds, 2), key=_likely_s)
    for group, sharing in _fitting(bench, near, PAIRS * len(beds)):
        pairs[frozenset(run.id for run in group)] = group
        yield sharing
    triples = [
        group
        for group in combinations(beds, 3)
        if all(frozenset(run.id for run in two) in pairs for two in combinations(group, 2))
    ]
    near3 = sorted(triples, key=_likely_s)
    yield from (s for _, s in _fitting(bench, near3, TRIPLES * len(beds)))


def _likely_s(group: Sequence[Run]) -> float:
    return sum(run.choices[0].seconds.likely for run in group)


def _may_be_shared(bench: Bench, run: Run) -> bool:
    """Whether the shapes are known and another part may lie beside them."""
    part = bench.part(run)
    estimates = bench.filling.estimates.get(part.id, {})
    return (
        part.route is Route.PRINT
        and bool(estimates)
        and not any(estimate.whole_run for estimate in estimates.values())
    )


def _fitting(
    bench: Bench, groups: Sequence[tuple[Run, ...]], most: int
) -> Iterator[tuple[tuple[Run, ...], Sharing]]:
    """Groups of beds whose parts fit one bed, with the run that takes them."""
    for group in groups:
        if not most:
            return
        if not all(_go_together(bench, *two) for two in combinations(group, 2)):
            continue
        load = [(bench.part(run), run.cargo[0][1]) for run in group]
        able = _common(bench, load)
        if able:
            most -= 1
            ident = bench.namer.fresh("+".join(run.id for run in group))
            run = bench.filling.run(ident, " + ".join(run.name for run in group), load, able)
            yield group, Sharing(name=run.name, out=tuple(r.id for r in group), into=(run,))


def _go_together(bench: Bench, one: Run, other: Run) -> bool:
    """Whether two beds are of one filament, wait for the same and are not either-or.

    What lies beside a coupon must not wait at all, as the coupon does not, lest two coupons wait for
    the checks of each other.
    """
    a, b = bench.part(one), bench.part(other)
    if {a.id, b.id} & bench.loose and (a.after or b.after):
        return False
    ways = bench.ways.get(a.id, ()), bench.ways.get(b.id, ())
    either = ways[0][:1] == ways[1][:1] and ways[0] != ways[1]
    return a.material == b.material and bench.waits_for(a) == bench.waits_for(b) and not either


def _common(bench: Bench, load: Load) -> list[Printer]:
    """Printers that take all of a load on one bed."""
    common = [
        printer
        for printer in bench.printers(load[0][0])
        if all(printer in bench.printers(part) for part, _ in load)
    ]
    return [printer for printer in common if _has_room(bench, load, printer)]


def _has_room(bench: Bench, load: Load, printer: Printer) -> bool:
    """Whether a bed takes a load; a single copy has been tried before."""
    if sum(copies for _, copies in load) == 1:
        return True
    found = {part.id: bench.filling.estimates.get(part.id, {}).get(printer.id) for part, _ in load}
    known = {ident: estimate for ident, estimate in found.items() if estimate}
    x_mm, y_mm, _ = printer.bed_mm
    if len(known) < len(found):
        return all(part.per_run for part, _ in load)
    area = sum(copies * covered_mm2(known[part.id]) for part, copies in load)
    if area > x_mm * y_mm:
        return False
    if in_rows(load, known, printer):
        return True
    if not bench.layouts_left:
        return False
    bench.layouts_left -= 1
    lying = together_on_bed(load, known, printer)
    return len(lying) == sum(copies for _, copies in load)
