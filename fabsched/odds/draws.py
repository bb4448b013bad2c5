"""The luck of many weekends: common random numbers.

Each thing has a stream of its own, found by its id, so that it has the same luck whatever the plan
is and whatever else there is. Two plans, or a weekend with and without one setback, are compared
under the same luck, which makes small differences visible (common random numbers: Law and Kelton,
Simulation Modeling and Analysis, from memory).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeVar
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from fabsched.model.network import Entry
from fabsched.model.scenario import Scenario
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S, whole_s
from fabsched.model.weekend import AGAIN, MAX_ROUNDS, Run, Task
from fabsched.odds.compile import MOST_FAILURES, Frame
from fabsched.odds.lateness import informed, lateness_of, promised_s
from fabsched.odds.pert import pert_places
from fabsched.odds.tables import Ints, Luck, Reals
from fabsched.odds.truths import AS_TOLD, SHARED, Factor, Truths

Key = TypeVar("Key")
Found = TypeVar("Found")

Z90 = 1.2815515655446004
"""Standard normal quantile at 0.9."""
LEAST_S = 1.0
"""Machine times are taken to be no shorter, since a log-normal knows no zero."""
MOST_S = 2**30
"""Longest draw, about 34 years; keeps the tail of absurd spreads in 32 bits."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Draws:
    """Luck, and whose it is.

    Attributes:
        frame: the weekend.
        scenarios: how many weekends were drawn.
        luck: the tables.
    """

    frame: Frame
    scenarios: int
    luck: Luck

    def head(self, scenarios: int) -> "Draws":
        """The first so many scenarios.

        They are copied, since the simulator is compiled for arrays without gaps.
        """
        return self.sorted(np.arange(min(scenarios, self.scenarios)))

    def sorted(self, order: Ints) -> "Draws":
        """Some scenarios in an order, (scenarios,) places among these."""
        tables = ("seconds", "failed", "shares", "faults", "left", "due")
        taken = {name: getattr(self.luck, name).take(order, axis=1) for name in tables}
        return replace(self, scenarios=len(order), luck=self.luck._replace(**taken))


def draw(
    frame: Frame, scenarios: int, seed: int, *, truths: Truths = AS_TOLD, threads: int = 1
) -> Draws:
    """Draw the luck of many weekends.

    Args:
        frame: the weekend.
        scenarios: how many to draw.
        seed: not below zero; the same seed gives the same luck bit for bit.
        truths: what is not known about the world; each weekend has a truth of its own.
        threads: how many share the things that have luck; the luck does not depend on it.
    """
    worlds = _Worlds.of(frame, truths, scenarios, seed, threads)
    seconds, left = _lengths(frame, worlds)
    failed, shares, first_share = _failures(frame, seconds, left, worlds)
    faults = np.array(worlds.each(partial(_faults, frame, worlds), frame.gates), np.uint8)
    due = np.array([_due(frame, ident, worlds) for ident in frame.due], np.int64)
    luck = Luck(
        seconds=seconds,
        failed=failed,
        shares=shares,
        first_share=first_share,
        faults=faults.reshape(-1, scenarios),
        left=left,
        due=due.reshape(-1, scenarios),
    )
    return Draws(frame=frame, scenarios=scenarios, luck=luck)


def scenario_of(draws: Draws, index: int) -> Scenario:
    """One of the weekends, for `model.replay`."""
    luck, frame = draws.luck, draws.frame
    seconds = {
        entry.id: tuple(luck.seconds[row["first_spot"] : row["end_spot"], index].tolist())
        for entry, row in zip(frame.entries, frame.shop.entries, strict=True)
    }
    ends = luck.first_share + luck.failed[:, index]
    spans = zip(frame.runs, luck.first_share, ends, strict=True)
    lost = {key: tuple(luck.shares[a:b, index].tolist()) for key, a, b in spans}
    told = [frame.weekend.activity(ident).earliest_s for ident in frame.due]

    def alike(ident: str) -> bool:
        run = frame.entries[frame.rows[ident]].activity
        return isinstance(run, Run) and run.fails_alike

    return Scenario(
        seconds=seconds,
        lost={ident: shares for (ident, _), shares in lost.items() if alike(ident)},
        lost_on={key: shares for key, shares in lost.items() if not alike(key[0])},
        left=dict(zip(frame.going, luck.left[:, index].tolist(), strict=True)),
        faults=dict(zip(frame.gates, luck.faults[:, index].tolist(), strict=True)),
        late=dict(zip(frame.due, (luck.due[:, index] - told).tolist(), strict=True)),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Worlds:
    """The truths of the weekends that are drawn.

    Attributes:
        scenarios, seed, threads: as for `draw`.
        truths: from which they are drawn.
        failing, faults, work, machine, late: (scenarios,) factors, or one for all.
    """

    scenarios: int
    seed: int
    threads: int
    truths: Truths
    failing: Reals
    faults: Reals
    work: Reals
    machine: Reals
    late: Reals

    @classmethod
    def of(cls, frame: Frame, truths: Truths, scenarios: int, seed: int, threads: int) -> "_Worlds":
        """Each factor has a stream of its own; what is overdue already tells of that of deliveries."""
        drawn = {}
        for name in SHARED:
            factor: Factor = getattr(truths, name)
            rng = _stream(seed, f">world>{name}")
            deviates = rng.standard_normal(scenarios) if factor.sigma else 0.0
            drawn[name] = factor.at(
                informed(deviates, frame, factor) if name == "late" else deviates
            )
        return cls(scenarios=scenarios, seed=seed, threads=threads, truths=truths, **drawn)

    def each(self, do: Callable[[Key], Found], keys: Iterable[Key]) -> list[Found]:
        """Do something for each of several things, whose luck does not depend on each other's."""
        if self.threads == 1:
            return [do(key) for key in keys]
        with ThreadPoolExecutor(self.threads) as pool:
            return list(pool.map(do, keys))

    def stream(self, name: str) -> np.random.Generator:
        """Luck of one thing."""
        return _stream(self.seed, name)


def _stream(seed: int, name: str) -> np.random.Generator:
    return np.random.default_rng([seed, crc32(name.encode())])


def _whole_s(seconds: Reals) -> NDArray[np.int32]:
    """`units.whole_s` of an array."""
    return np.clip(np.floor(seconds + 0.5), 0, MOST_S).astype(np.int32)


def _lengths(frame: Frame, worlds: _Worlds) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Seconds of every spot, and what is left of what goes on already."""
    seconds = np.empty((len(frame.shop.spots), worlds.scenarios), np.int32)
    left = np.empty((len(frame.going), worlds.scenarios), np.int32)

    def fill(name: str) -> None:
        row = rows[name][0]
        entry, table = frame.entries[row], frame.shop.entries[row]
        if isinstance(entry.activity, Run):
            mine = seconds[table["first_spot"] : table["end_spot"]]
            goes = left[table["going"]] if entry.going else None
            _machine_seconds(entry, entry.activity, worlds, mine, goes)
        else:
            _work_seconds(frame, name, rows[name], worlds, seconds)

    rows = _sharing(frame)
    worlds.each(fill, rows)
    return seconds, left


def _sharing(frame: Frame) -> Mapping[str, list[int]]:
    """Rows of what shares its luck: pieces of one work, also where it is repeated in a round."""
    rows: dict[str, list[int]] = {}
    for row, entry in enumerate(frame.entries):
        name = entry.id
        if isinstance(entry.activity, Task):
            work = entry.activity.of or entry.activity.id
            name = f"{entry.gate}>{entry.round}>{work}" if entry.round else work
        rows.setdefault(name, []).append(row)
    return rows


def _work_seconds(
    frame: Frame, name: str, rows: Sequence[int], worlds: _Worlds, seconds: NDArray[np.int32]
) -> None:
    """Fill in hands' seconds of every piece of one work."""
    overrun = _overrun(name, worlds)
    place: Reals | None = None
    for row in rows:
        task, spot = frame.entries[row].activity, frame.shop.entries[row]["first_spot"]
        if isinstance(task, Task):
            low, high = task.seconds.low, task.seconds.high
            if place is None and low < high:
                place = pert_places(task.seconds, worlds.stream(name), worlds.scenarios)
            told = low if place is None else low + (high - low) * place
            seconds[spot] = _whole_s(told * overrun)


def _overrun(name: str, worlds: _Worlds) -> Reals:
    """By which factor a work takes longer than told."""
    factor = worlds.truths.overrun
    if not factor.sigma:
        return factor.median * worlds.work
    deviates = worlds.stream(f"{name}>overrun").standard_normal(worlds.scenarios)
    return factor.at(deviates) * worlds.work


def _machine_seconds(
    entry: Entry,
    run: Run,
    worlds: _Worlds,
    seconds: NDArray[np.int32],
    left: NDArray[np.int32] | None,
) -> None:
    """Fill in machine seconds, (choices, scenarios), and what is left of them if it goes on.

    Every machine of a run shares its luck, and so does what is left: what an estimate is wrong by
    is the same for both.
    """
    deviates = worlds.stream(entry.id).standard_normal(worlds.scenarios)
    for mine, choice in zip(seconds, run.choices, strict=True):
        mine[:] = _whole_s(log_normal(choice.seconds, deviates) * worlds.machine)
    if entry.going and left is not None:
        left[:] = _whole_s(log_normal(entry.going.seconds, deviates) * worlds.machine)


def log_normal(spread: Spread, deviates: Reals) -> Reals:
    """Values of a log-normal whose halves pass through P10, P50 and P90.

    exp(ln P50 + sigma z), with one sigma below the median and one above, so that all three figures
    are met even when they are not symmetric in the logarithm.

    Args:
        spread: P10, P50 and P90.
        deviates: standard normal, of any shape.
    """
    low, likely, high = (
        max(LEAST_S, figure) for figure in (spread.low, spread.likely, spread.high)
    )
    below, above = np.log(likely / low) / Z90, np.log(high / likely) / Z90
    if spread.low == spread.high:
        return np.full_like(deviates, spread.likely)
    values: Reals = likely * np.exp(deviates * np.where(deviates < 0, below, above))
    return values


def _failures(
    frame: Frame, seconds: NDArray[np.int32], left: NDArray[np.int32], worlds: _Worlds
) -> tuple[NDArray[np.uint8], NDArray[np.float32], NDArray[np.int64]]:
    """Number of failed attempts, their shares, and the first row of each run in these."""
    failed = np.zeros((len(frame.runs), worlds.scenarios), np.uint8)

    def attempts(number: int) -> list[NDArray[np.float32]]:
        ident, choice = frame.runs[number]
        row = frame.rows[ident]
        run, table = frame.entries[row].activity, frame.shop.entries[row]
        if not isinstance(run, Run):
            return []
        spot = table["going_spot"] if run.fails_alike else table["first_spot"] + choice
        goes = left[table["going"]] if frame.entries[row].going else None
        chances = _chances(run.at(run.choices[choice]), seconds[spot], goes, worlds.failing)
        return _attempts(chances, worlds.stream(f"{ident}>attempts"), failed[number])

    found = worlds.each(attempts, range(len(frame.runs)))
    shares = np.array([share for each in found for share in each], np.float32)
    first_share = np.cumsum([0, *(len(each) for each in found)])[:-1]
    return failed, shares.reshape(-1, worlds.scenarios), first_share.astype(np.int64)


def _chances(
    run: Run, machine_s: NDArray[np.int32], left: NDArray[np.int32] | None, failing: Reals
) -> tuple[Reals, Reals]:
    """Chance that the first attempt fails, and each after it.

    What goes on already has been started well: it may only fail in the time left.
    """
    again = chance_of_failing(run, machine_s / HOUR_S, failing)
    if left is None:
        return again, again
    return chance_of_failing(replace(run, fail_start=0.0), left / HOUR_S, failing), again


def _attempts(
    chances: tuple[Reals, Reals], rng: np.random.Generator, failed: NDArray[np.uint8]
) -> list[NDArray[np.float32]]:
    """Count the failed attempts of a run; give the share after which each of them failed.

    An attempt fails when a uniform draw lies below its chance; where below is uniform again, and
    tells after which share of the machine time.
    """
    still, shares = np.ones(len(failed), np.bool_), []
    for attempt in range(MOST_FAILURES):
        uniform, chance = rng.random(len(failed)), chances[min(attempt, 1)]
        still &= uniform < chance
        if not still.any():
            break
        failed += still
        shares.append((uniform / np.maximum(chance, uniform)).astype(np.float32))
    return shares


def chance_of_failing(run: Run, hours: Reals, failing: Reals | float = 1.0) -> Reals:
    """Chance that an attempt of so many hours fails: at the start, or at a constant rate after.

    1 - ((1 - fail_start) exp(-fail_hour hours))^failing, so that a factor of two on the rate lets a
    run fail as often as one of two such runs would.

    Args:
        run: for its chances.
        hours: machine time, of any shape.
        failing: factor on the rate, of a shape that goes with it.
    """
    chance: Reals = 1 - (1 - run.fail_start) ** failing * np.exp(-run.fail_hour * failing * hours)
    return chance


def _faults(frame: Frame, worlds: _Worlds, gate: str) -> NDArray[np.uint8]:
    """In how many rounds a gate finds a fault, each time with a smaller chance."""
    task = frame.entries[frame.rows[gate]].activity
    uniform = worlds.stream(f"{gate}>faults").random(worlds.scenarios)
    rounds = np.zeros(worlds.scenarios, np.uint8)
    chance = np.ones(1)
    for turn in range(MAX_ROUNDS):
        if isinstance(task, Task):
            chance = chance * (1 - (1 - min(1.0, task.chance * AGAIN**turn)) ** worlds.faults)
        rounds += uniform < chance
    return rounds


def _due(frame: Frame, ident: str, worlds: _Worlds) -> NDArray[np.int64]:
    """Moment before which something that may be late does not start.

    What is told for the same moment comes together, so that it shares its luck.
    """
    activity = frame.entries[frame.rows[ident]].activity
    told_s, late = promised_s(activity), activity.late or Spread(0.0, 0.0, 0.0)
    if late.low == late.high and activity.awaited is None:
        return np.full(worlds.scenarios, told_s + whole_s(late.low), np.int64)
    rng = worlds.stream(f">late>{told_s}")
    late_s = _whole_s(lateness_of(activity, worlds.late, rng, worlds.scenarios))
    return np.maximum(activity.earliest_s, told_s + late_s.astype(np.int64))
