"""What is to be expected of one activity, setbacks included: mean times, chances and their cost."""

import numpy as np

from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import AGAIN, NOTICE_S, Activity, Run, Task, Weekend
from fabsched.odds.draws import chance_of_failing


def machine_mean(spread: Spread) -> float:
    """Mean of a machine time given as P10, P50 and P90.

    Swanson's rule, 0.3 P10 + 0.4 P50 + 0.3 P90 (Hurst, Brown and Swanson, AAPG Bulletin 84(12),
    2000).

    >>> machine_mean(Spread(80, 100, 140))
    106.0
    """
    return 0.3 * spread.low + 0.4 * spread.likely + 0.3 * spread.high


def fail_chance(run: Run, seconds: float) -> float:
    """Chance that one attempt fails.

    >>> lid = Run(
    ...     id="lid", name="Lid", choices=(), attended=False, start_s=0, clear_s=0, fail_start=0.2
    ... )
    >>> round(fail_chance(lid, 3600), 3)
    0.2
    """
    return float(chance_of_failing(run, np.array(seconds / HOUR_S)))


def run_mean_s(run: Run, choice: int) -> float:
    """Mean machine seconds until a run has succeeded.

    Attempts fail independently, so there are p / (1 - p) failed ones on average. Each costs half the
    time (it fails anywhere with equal chance), the hands that start it again and, with nobody
    beside it, the time until somebody notices.
    """
    run = run.at(run.choices[choice])
    seconds = machine_mean(run.choices[0].seconds)
    chance = min(fail_chance(run, seconds), 0.99)
    notice_s = 0 if run.attended else NOTICE_S
    return seconds + chance / (1 - chance) * (seconds / 2 + run.start_s + notice_s)


def mean_s(activity: Activity) -> float:
    """Mean seconds of hands or of the preferred machine, what a gate finds left out."""
    return run_mean_s(activity, 0) if isinstance(activity, Run) else activity.seconds.mean


def fault_s(weekend: Weekend, gate: Task) -> float:
    """Seconds a gate is expected to cost beyond its own: doing things again and looking again.

    The hands' part is done one after the other, machines run side by side meanwhile.
    """
    if gate.chance <= 0:
        return 0.0
    redone = [weekend.activity(ident) for ident in gate.redo if ident != gate.id]
    hands_s = sum(mean_s(a) for a in redone if isinstance(a, Task))
    machines_s = max((tended_s(a) for a in redone if isinstance(a, Run)), default=0.0)
    rounds = gate.chance * (1 + AGAIN * gate.chance)
    return rounds * (hands_s + machines_s + mean_s(gate))


def tended_s(run: Run) -> float:
    """Mean seconds of a run from the hands that start it to the hands that clear it."""
    mine = run.at(run.choices[0])
    return mine.start_s + run_mean_s(run, 0) + mine.clear_s


def loss_s(weekend: Weekend, activity: Activity) -> float:
    """Seconds of work an activity can be expected to waste; the case for doing it early."""
    if isinstance(activity, Task):
        return fault_s(weekend, activity)
    run = activity.at(activity.choices[0])
    seconds = machine_mean(run.choices[0].seconds)
    return fail_chance(run, seconds) * seconds
