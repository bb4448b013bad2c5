"""Estimates with what the log says of the machine put to them."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from fabsched.estimate.learning import PRINT_PRIOR, Prior, Ratio, drawn_in, left_out, lesson
from fabsched.estimate.learning_motion import ENOUGH, MOST, Done, Pace, fit_pace, paced_s
from fabsched.model.estimates import ONCE, Estimate, Moves, Route
from fabsched.model.experience import NOTHING, Lesson, RunSeen
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S

CUT_PRIOR = 1.20
"""P90 over P50 of cuts, about what the feeds of the shipped tables come to (own assumption)."""
PRIORS = {Route.PRINT: Prior.reaching(PRINT_PRIOR), Route.CUT: Prior.reaching(CUT_PRIOR)}
"""What is believed of a machine before anything is logged: the spread its estimates come with."""
CLEARLY = 1.6
"""By so many times a speed and an acceleration must bring down the squares of what prints left out are
off by, else the one factor, which has less to go wrong, is kept (own choice). Asked for any gain at
all, chance alone brought them in once in nine machines on which everything takes 1.4 times as long; at
this, once in thirty, while printers that really are slow or sluggish are still told seven times in
eight at least (measured on ten prints of five parts that scatter by 3 %)."""
DOUBTFUL = 4.0
"""A run that took so many times what was computed, or as much less, says more about the log than
about the machine: its time is not learnt from (own choice)."""


ODD = 0.05
"""A run that counts for so much less, in the logarithm, does not agree with the others (own choice)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Known:
    """What is known of one machine.

    Attributes:
        prior: what was believed of it before.
        ratios: actual over computed times of its runs, none further out than it may count.
        odd: whether one of them lay further out.
        pace: how it really moves; None if that is not known.
        left: what remains between actual and computed times once `pace` is taken into account.
    """

    prior: Prior
    ratios: tuple[Ratio, ...] = ()
    odd: bool = False
    pace: Pace | None = None
    left: tuple[Ratio, ...] = ()

    def of(self, material: str) -> Lesson:
        """What is known of the times of one material.

        As long as runs do not agree the range stays as wide as it was before any.
        """
        says = lesson(self.prior, self.ratios, material)
        return replace(says, width=max(1.0, says.width)) if self.odd else says


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Machines:
    """What is known of all machines.

    Attributes:
        by_id: by machine id and route.
    """

    by_id: Mapping[tuple[str, Route], Known] = field(default_factory=dict)

    def known(self, machine: str, route: Route) -> Known:
        """What is known of one of them."""
        return self.by_id.get((machine, route)) or Known(prior=PRIORS[route])


UNKNOWN = Machines()
"""Nothing is known of any machine."""


def machines_of(runs: Iterable[RunSeen]) -> Machines:
    """What finished runs say of their machines; those that failed say nothing of times."""
    by_id: dict[tuple[str, Route], list[RunSeen]] = {}
    for run in sorted(runs, key=lambda run: (run.at_s, run.key)):
        if run.timed and not run.failed and not doubtful(run):
            by_id.setdefault((run.machine, run.route), []).append(run)
    return Machines(by_id={key: _known(PRIORS[key[1]], mine) for key, mine in by_id.items()})


def doubtful(run: RunSeen) -> bool:
    """Whether the time of a run cannot be believed."""
    if run.estimated_s <= 0.0 or run.ran_s <= 0.0:
        return True
    return abs(math.log(run.ran_s / run.estimated_s)) > math.log(DOUBTFUL)


def _known(prior: Prior, runs: Sequence[RunSeen]) -> Known:
    """Speed and acceleration count where they foretell the prints clearly better than one factor does."""
    ratios = tuple(Ratio(run.material, math.log(run.ran_s / run.estimated_s)) for run in runs)
    counted = drawn_in(prior, ratios)
    odd = any(abs(a.log - b.log) > ODD for a, b in zip(ratios, counted, strict=True))
    plain = Known(prior=prior, ratios=counted, odd=odd)
    paced = [(i, run.moves) for i, run in enumerate(runs) if run.moves is not None][-MOST:]
    if len(paced) < ENOUGH:
        return plain
    tame = [runs[i].estimated_s * math.exp(counted[i].log) for i, _ in paced]
    fit = fit_pace([Done(moves, ran_s) for (_, moves), ran_s in zip(paced, tame, strict=True)])
    by_factor = left_out(prior, [counted[i] for i, _ in paced])
    if CLEARLY * _squares(fit.left) >= _squares(by_factor):
        return plain
    left = tuple(Ratio(ratios[i].alike, log) for (i, _), log in zip(paced, fit.left, strict=True))
    return replace(plain, pace=fit.pace, left=left)


def _squares(logs: Sequence[float]) -> float:
    return math.fsum(log * log for log in logs)


def taught(estimate: Estimate, machines: Machines, *, cost_hour: float = 0.0) -> Estimate:
    """An estimate with what is known of its machine put to its time.

    Args:
        estimate: as computed; one that has been taught already stays as it is.
        machines: what is known.
        cost_hour: what an hour of the machine costs.

    Returns:
        The estimate with its time, its breakdown and its cost changed; the same if nothing is
        known.
    """
    known = machines.known(estimate.machine, estimate.route)
    if estimate.known or not known.ratios:
        return estimate
    base, breakdown_s, says = _paced(estimate, known)
    seconds = says.applied(base)
    share = seconds.likely / base.likely if base.likely else 1.0
    more_s = seconds.likely - estimate.seconds.likely
    return replace(
        estimate,
        seconds=seconds,
        breakdown_s={key: share * spent for key, spent in breakdown_s.items()},
        cost=None if estimate.cost is None else estimate.cost + more_s / HOUR_S * cost_hour,
        learnt=seconds.likely / estimate.seconds.likely if estimate.seconds.likely else 1.0,
        known=says.known,
    )


def _paced(estimate: Estimate, known: Known) -> tuple[Spread, Mapping[str, float], Lesson]:
    """Time and breakdown at the real speed if that is known, and what is left to be said."""
    if known.pace is None or estimate.moves is None:
        return estimate.seconds, estimate.breakdown_s, known.of(estimate.stock)
    once_s, rest_s = paced_s(estimate.moves, known.pace)
    breakdown_s = _repaced(estimate.breakdown_s, once_s, rest_s)
    base = estimate.seconds.scaled((once_s + rest_s) / estimate.seconds.likely)
    return base, breakdown_s, lesson(known.prior, known.left, estimate.stock)


def _repaced(breakdown_s: Mapping[str, float], once_s: float, rest_s: float) -> dict[str, float]:
    """A breakdown with the sums of what is done once and of all the rest changed."""
    once = sum(breakdown_s.get(key, 0.0) for key in ONCE)
    rest = sum(breakdown_s.values()) - once
    shares = dict.fromkeys(ONCE, once_s / once if once else 0.0)
    others = rest_s / rest if rest else 0.0
    changed = {key: spent * shares.get(key, others) for key, spent in breakdown_s.items()}
    if not once and once_s:
        changed[ONCE[0]] = once_s
    return changed


def taught_rough(seconds: Spread, machines: Machines, machine: str, material: str) -> Spread:
    """A first figure for a print with what is known of its machine put to its middle."""
    known = machines.known(machine, Route.PRINT)
    says = known.of(material) if known.ratios else NOTHING
    return seconds.scaled(says.factor)


Load = Sequence[tuple[Estimate, int]]
"""What lies on one bed or sheet: estimates of one copy, with how many copies of each."""


def load_of(
    book: Mapping[str, Mapping[str, Estimate]], items: Iterable[tuple[str, int]], machine: str
) -> Load:
    """What lies on a bed or sheet; nothing if the estimate of a part is not known.

    Args:
        book: estimates of one copy, by part id and machine id.
        items: part ids, and how many copies.
        machine: where it runs.
    """
    found = [(book.get(part, {}).get(machine), copies) for part, copies in items]
    load = [(estimate, copies) for estimate, copies in found if estimate is not None]
    return load if len(load) == len(found) else []


def load_s(load: Load) -> float:
    """Likely machine seconds of a bed or sheet: the longest of what is done once, and the rest.

    As `schedule.beds` counts them.
    """
    ones = [(estimate.seconds.likely, _once_s(estimate), copies) for estimate, copies in load]
    return max(once for _, once, _ in ones) + sum(n * (one - once) for one, once, n in ones)


def _once_s(estimate: Estimate) -> float:
    once_s = sum(estimate.breakdown_s.get(key, 0.0) for key in ONCE)
    return min(once_s, estimate.seconds.low)


def load_moves(load: Load) -> Moves | None:
    """How the time of a bed hangs on speed and acceleration; None if that of a part is not known."""
    tables = [estimate.moves.times(n) for estimate, n in load if estimate.moves is not None]
    if len(tables) < len(load) or not load:
        return None
    rows = [
        tuple(sum(figures) for figures in zip(*row, strict=True))
        for row in zip(*(table.moving_s for table in tables), strict=True)
    ]
    return Moves(fixed_s=max(table.fixed_s for table in tables), moving_s=tuple(rows))
