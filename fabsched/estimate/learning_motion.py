"""How fast and how nimble a printer really is, by least squares over prints that are done.

A printer may keep lower speeds and accelerations than its settings say, and take longer to heat.
Long straight prints tell of the speed, short moves of the acceleration, short prints of what is
done once. Each estimate carries the time of its print at several speeds and accelerations
(`model.estimates.Moves`), so that nothing has to be simulated again.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.estimates import EASES, PACES, Moves

Reals = NDArray[np.float64]

ENOUGH = 5
"""Prints from which speed and acceleration are told apart (own choice)."""
MOST = 60
"""Prints looked at, the latest; a machine changes with time (own choice)."""
NOISE = 0.03
"""Scatter of prints on one machine in the logarithm (own assumption, as in `learning.Prior`)."""
BELIEF = (0.25, 0.6, 120.0)
"""Standard deviations before any print: of the logarithms of the speed and of the acceleration over
those of the settings, and of the seconds each print takes beside them (own assumptions). They keep
the fit sound while prints do not tell the three apart (ridge regression: Hoerl & Kennard,
Technometrics 12(1), 1970; from memory)."""
LIMITS = ((math.log(0.5), math.log(2.0)), (math.log(0.15), math.log(4.0)), (-600.0, 1800.0))
"""No further than this, whatever the prints say (own choice)."""
ROUNDS = 40
"""Steps of the fit; it needs about five."""
STILL = 1e-9
"""Step, in standard deviations of the belief, below which the fit stands still."""

_LOG_PACES, _LOG_EASES = np.log(PACES), np.log(EASES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How a printer really moves.

    Attributes:
        speed: its speeds over those of the settings.
        accel: its accelerations over those of the settings.
        extra_s: what each print takes beside heating, moving and cooling; may be below zero.
    """

    speed: float = 1.0
    accel: float = 1.0
    extra_s: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Done:
    """A print that is done.

    Attributes:
        moves: its time at several speeds and accelerations.
        ran_s: how long it ran, above zero.
    """

    moves: Moves
    ran_s: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fit:
    """What least squares found.

    Attributes:
        pace: the printer.
        left: for each print in order, the logarithm of the time it took over what the others make
            expect: residuals over one minus their leverage (Allen, Technometrics 16(1), 1974; from
            memory).
    """

    pace: Pace
    left: tuple[float, ...]


def paced_s(moves: Moves, pace: Pace) -> tuple[float, float]:
    """Seconds that a print takes once, and all the rest, on a printer that moves so.

    Between the speeds a print was timed for, the logarithm of the time is taken as straight over
    that of the speed; between the accelerations, as the parabola through all three.
    """
    table = _Table([moves])
    rest = table.moving_s(math.log(pace.speed), math.log(pace.accel))
    return max(0.0, moves.fixed_s + pace.extra_s), float(rest[0])


class _Table:
    """Times of several prints, looked up at any speed and acceleration."""

    def __init__(self, moves: Sequence[Moves]) -> None:
        self.fixed_s = np.array([each.fixed_s for each in moves])
        self._logs = np.log(np.array([each.moving_s for each in moves]))  # (prints, paces, eases)

    def moving_s(self, log_speed: float, log_accel: float) -> Reals:
        """Seconds of all that is not done once, (prints,)."""
        low, high = _LOG_PACES[0], _LOG_PACES[-1]
        speed = min(max(log_speed, low), high)
        k = min(int(np.searchsorted(_LOG_PACES, speed, side="right")) - 1, len(PACES) - 2)
        share = (speed - _LOG_PACES[k]) / (_LOG_PACES[k + 1] - _LOG_PACES[k])
        at_speed = (1.0 - share) * self._logs[:, k] + share * self._logs[:, k + 1]
        ease = min(max(log_accel - 2.0 * speed, _LOG_EASES[0]), _LOG_EASES[-1])
        moving: Reals = np.exp(at_speed @ _parabola(ease))
        return moving

    def total_s(self, values: Reals) -> Reals:
        """Seconds of the prints, given logarithms of speed and acceleration, and extra seconds."""
        once_s: Reals = np.maximum(0.0, self.fixed_s + values[2])
        return once_s + self.moving_s(float(values[0]), float(values[1]))


def _parabola(at: float) -> Reals:
    """Weights of three values in the parabola through them (Lagrange)."""
    a, b, c = _LOG_EASES
    return np.array(
        [
            (at - b) * (at - c) / ((a - b) * (a - c)),
            (at - a) * (at - c) / ((b - a) * (b - c)),
            (at - a) * (at - b) / ((c - a) * (c - b)),
        ]
    )


def fit_pace(done: Sequence[Done]) -> Fit:
    """Find the speed, acceleration and extra time that explain prints best.

    Least squares on the logarithm of the time, with the belief as three more observations, by
    Gauss-Newton steps that are halved until they help, within `LIMITS`.

    Args:
        done: at least one print.
    """
    table = _Table([each.moves for each in done])
    actual = np.log([each.ran_s for each in done])
    belief, (low, high) = np.array(BELIEF), np.array(LIMITS).T
    values = np.zeros(3)
    for _ in range(ROUNDS):
        slopes, left = _slopes(table, values, belief), _left(table, values, actual)
        normal = slopes.T @ slopes + np.eye(3)
        step = belief * np.linalg.solve(normal, slopes.T @ left / NOISE - values / belief)
        after = _shortened(table, values, step, actual)
        after = np.clip(after, low, high)
        moved = np.abs((after - values) / belief).max()
        values = after
        if moved < STILL:
            break
    slopes, left = _slopes(table, values, belief), _left(table, values, actual)
    held = np.einsum("ij,jk,ik->i", slopes, np.linalg.inv(slopes.T @ slopes + np.eye(3)), slopes)
    pace = Pace(speed=math.exp(values[0]), accel=math.exp(values[1]), extra_s=float(values[2]))
    return Fit(pace=pace, left=tuple((left / (1.0 - held)).tolist()))


def _left(table: _Table, values: Reals, actual: Reals) -> Reals:
    left: Reals = actual - np.log(table.total_s(values))
    return left


def _cost(table: _Table, values: Reals, actual: Reals) -> float:
    left = _left(table, values, actual) / NOISE
    return float(left @ left + np.sum((values / np.array(BELIEF)) ** 2))


def _shortened(table: _Table, values: Reals, step: Reals, actual: Reals) -> Reals:
    """The values after a step, shortened until it does not make things worse."""
    low, high = np.array(LIMITS).T
    before = _cost(table, values, actual)
    for _ in range(12):
        after = np.clip(values + step, low, high)
        if _cost(table, after, actual) <= before:
            return after
        step = step / 2.0
    return values


def _slopes(table: _Table, values: Reals, belief: Reals) -> Reals:
    """By how many noises the logarithm of each time grows per deviation of belief, (prints, 3)."""
    columns = []
    for k in range(3):
        nudge = np.zeros(3)
        nudge[k] = 1e-4 * belief[k]
        ahead, behind = table.total_s(values + nudge), table.total_s(values - nudge)
        columns.append((np.log(ahead) - np.log(behind)) / (2e-4 * NOISE))
    return np.stack(columns, axis=1)
