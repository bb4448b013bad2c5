"""The luck of many weekends: common random numbers.

Each thing has a stream of its own, found by its id, so that it has the same luck whatever the plan
is and whatever else there is. Two plans, or a weekend with and without one setback, are compared
under the same luck, which makes small differences visible (common random numbers: Law and Kelton,
Simulation Modeling and Analysis, from memory).
"""

from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from fabsched.model.network import Entry
from fabsched.model.scenario import Scenario
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import AGAIN, MAX_ROUNDS, Run, Task
from fabsched.odds.compile import MOST_FAILURES, Frame
from fabsched.odds.tables import Luck

Reals = NDArray[np.float64]

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
        tables = ("seconds", "failed", "shares", "faults")
        first = {name: getattr(self.luck, name)[:, :scenarios].copy() for name in tables}
        kept = first["seconds"].shape[1]
        return replace(self, scenarios=kept, luck=self.luck._replace(**first))


def draw(frame: Frame, scenarios: int, seed: int) -> Draws:
    """Draw the luck of many weekends.

    Args:
        frame: the weekend.
        scenarios: how many to draw.
        seed: not below zero; the same seed gives the same luck bit for bit.
    """
    seconds = np.empty((len(frame.shop.spots), scenarios), np.int32)
    works = _Works(scenarios, seed)
    for entry, row in zip(frame.entries, frame.shop.entries, strict=True):
        mine = seconds[row["first_spot"] : row["end_spot"]]
        if isinstance(entry.activity, Task):
            mine[0] = works.seconds(entry, entry.activity)
        else:
            _machine_seconds(entry.activity, _stream(seed, entry.id), mine)
    failed, shares, first_share = _failures(frame, seconds, seed)
    faults = np.array([_faults(frame, gate, scenarios, seed) for gate in frame.gates], np.uint8)
    luck = Luck(
        seconds=seconds,
        failed=failed,
        shares=shares,
        first_share=first_share,
        faults=faults.reshape(-1, scenarios),
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
    lost = {ident: tuple(luck.shares[a:b, index].tolist()) for ident, a, b in spans}
    faults = dict(zip(frame.gates, luck.faults[:, index].tolist(), strict=True))
    return Scenario(seconds=seconds, lost=lost, faults=faults)


def _stream(seed: int, name: str) -> np.random.Generator:
    return np.random.default_rng([seed, crc32(name.encode())])


def _whole_s(seconds: Reals) -> NDArray[np.int32]:
    """`units.whole_s` of an array."""
    return np.clip(np.floor(seconds + 0.5), 0, MOST_S).astype(np.int32)


class _Works:
    """Luck of work; the pieces of one work, and of its repetition in a round, share it."""

    def __init__(self, scenarios: int, seed: int) -> None:
        self._scenarios, self._seed = scenarios, seed
        self._known: dict[str, Reals] = {}

    def seconds(self, entry: Entry, task: Task) -> NDArray[np.int32]:
        """Seconds of one task, (scenarios,)."""
        low, high = task.seconds.low, task.seconds.high
        if low == high:
            return np.full(self._scenarios, _whole_s(np.array(low)), np.int32)
        work = task.of or task.id
        name = f"{entry.gate}>{entry.round}>{work}" if entry.round else work
        if name not in self._known:
            shape = pert_shape(task.seconds)
            self._known[name] = _stream(self._seed, name).beta(*shape, self._scenarios)
        return _whole_s(low + (high - low) * self._known[name])


def pert_shape(spread: Spread) -> tuple[float, float]:
    """Both shapes of the beta distribution through three points, lambda = 4.

    1 + 4 (likely - low) / (high - low) and 6 less that (Vose, Risk Analysis, 2008; from memory).
    The place of the likely figure is rounded, so that pieces of one work share it to the bit.
    """
    place = round((spread.likely - spread.low) / (spread.high - spread.low), 9)
    return 1 + 4 * place, 5 - 4 * place


def _machine_seconds(run: Run, rng: np.random.Generator, seconds: NDArray[np.int32]) -> None:
    """Fill in machine seconds, (choices, scenarios); every machine of a run shares its luck."""
    deviates = rng.standard_normal(seconds.shape[1:])
    for mine, choice in zip(seconds, run.choices, strict=True):
        mine[:] = _whole_s(log_normal(choice.seconds, deviates))


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
    frame: Frame, seconds: NDArray[np.int32], seed: int
) -> tuple[NDArray[np.uint8], NDArray[np.float32], NDArray[np.int64]]:
    """Number of failed attempts, their shares, and the first row of each run in these."""
    failed = np.zeros((len(frame.runs), seconds.shape[1]), np.uint8)
    shares: list[NDArray[np.float32]] = []
    first_share = []
    for mine, ident in zip(failed, frame.runs, strict=True):
        row = frame.rows[ident]
        run = frame.entries[row].activity
        first_share.append(len(shares))
        if isinstance(run, Run):
            machine_s = seconds[frame.shop.entries[row]["first_spot"]]
            shares += _attempts(run, machine_s, _stream(seed, f"{ident}>attempts"), mine)
    table = np.array(shares, np.float32).reshape(-1, seconds.shape[1])
    return failed, table, np.array(first_share, np.int64)


def _attempts(
    run: Run, machine_s: NDArray[np.int32], rng: np.random.Generator, failed: NDArray[np.uint8]
) -> list[NDArray[np.float32]]:
    """Count the failed attempts of a run; give the share after which each of them failed.

    An attempt fails when a uniform draw lies below its chance; where below is uniform again, and
    tells after which share of the machine time.
    """
    chance = chance_of_failing(run, machine_s / HOUR_S)
    going, shares = np.ones(len(failed), np.bool_), []
    for _ in range(MOST_FAILURES):
        uniform = rng.random(len(failed))
        going &= uniform < chance
        if not going.any():
            break
        failed += going
        shares.append((uniform / np.maximum(chance, uniform)).astype(np.float32))
    return shares


def chance_of_failing(run: Run, hours: Reals) -> Reals:
    """Chance that an attempt of so many hours fails: at the start, or at a constant rate after.

    1 - (1 - fail_start) exp(-fail_hour hours).
    """
    chance: Reals = 1 - (1 - run.fail_start) * np.exp(-run.fail_hour * hours)
    return chance


def _faults(frame: Frame, gate: str, scenarios: int, seed: int) -> NDArray[np.uint8]:
    """In how many rounds a gate finds a fault, each time with a smaller chance."""
    task = frame.entries[frame.rows[gate]].activity
    uniform = _stream(seed, f"{gate}>faults").random(scenarios)
    rounds = np.zeros(scenarios, np.uint8)
    chance = 1.0
    for turn in range(MAX_ROUNDS):
        if isinstance(task, Task):
            chance *= min(1.0, task.chance * AGAIN**turn)
        rounds += uniform < chance
    return rounds
