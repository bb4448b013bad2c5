"""What is left of each activity that goes on, or lies finished on its machine."""

from dataclasses import dataclass, replace

from fabsched.model.spread import Spread
from fabsched.model.state import State, Stint
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Choice, Going, Run, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.happened import Matched
from fabsched.schedule.progress import left_of_run, left_of_work
from fabsched.schedule.remedies import NO_TIME


@dataclass(frozen=True, slots=True)
class Now:
    """A weekend, what happened in it, and the moment.

    Attributes:
        weekend: as laid out for its beginning, its hours reaching back to it.
        state: what happened.
        now_s: the moment.
        done: what is done.
        going: what is worked on.
        waiting: what a machine has finished and hands have still to take off.
    """

    weekend: Weekend
    state: State
    now_s: int
    done: Matched
    going: Matched
    waiting: Matched


def shortened(now: Now, activity: Activity) -> Activity:
    """An activity that goes on or waits to be cleared, with what is left of it."""
    if activity.id in now.waiting.stints:
        return _waiting(activity, now.waiting.stints[activity.id])
    stint = now.going.stints.get(activity.id)
    if stint is None or stint.start_s is None:
        return activity
    if isinstance(activity, Task):
        return _task_going(now, activity, stint)
    return (
        _attended_going(now, activity, stint) if activity.attended else _going(now, activity, stint)
    )


def _waiting(activity: Activity, stint: Stint) -> Activity:
    if not isinstance(activity, Run) or activity.attended:
        return activity
    return replace(_able(activity, stint), going=Going(stint.meant.machine, NO_TIME))


def _able(run: Run, stint: Stint) -> Run:
    """A run that can be on the machine it is on."""
    machine = stint.meant.machine
    if any(choice.machine == machine for choice in run.choices):
        return run
    seconds = stint.meant.seconds or run.choices[0].seconds
    return replace(run, choices=(*run.choices, Choice(machine, seconds)))


def _going(now: Now, run: Run, stint: Stint) -> Run:
    """It goes on by itself, for what is left of its own estimate."""
    run = _able(run, stint)
    choice = next(c for c in run.choices if c.machine == stint.meant.machine)
    seconds = stint.meant.seconds or choice.seconds
    spent_s = now.now_s - (stint.start_s or now.now_s)
    left = _until(now, stint) or left_of_run(seconds, spent_s)
    return replace(run, going=Going(choice.machine, left, spent_s))


def _until(now: Now, stint: Stint) -> Spread | None:
    """What is left of something whose end was told; None if it was not, or that has passed."""
    left_s = (stint.until_s or 0) - now.now_s
    return Spread.exactly(float(left_s)) if left_s > 0 else None


def _attended_going(now: Now, run: Run, stint: Stint) -> Run:
    """Somebody stands beside it: it stays on that machine, and takes what is left of each step.

    Setting it up comes first; the machine stops by itself, and clearing begins once it surely has.
    """
    run = _able(run, stint)
    choice = next(c for c in run.choices if c.machine == stint.meant.machine)
    own, seconds = run.at(choice), stint.meant.seconds or choice.seconds
    told = _until(now, stint)
    if told is not None:
        return replace(own, choices=(Choice(choice.machine, _some(told)),), start_s=0)
    spent_s = _worked_s(now, stint, choice.machine)
    ran_s = max(0, spent_s - own.start_s)
    left = left_of_run(seconds, ran_s) if ran_s < seconds.high else NO_TIME
    return replace(
        own,
        choices=(Choice(choice.machine, _some(left)),),
        start_s=max(0, own.start_s - spent_s),
        clear_s=max(0, own.clear_s - max(0, whole_s(ran_s - seconds.high))),
    )


def _some(left: Spread) -> Spread:
    """What goes on takes a moment at least."""
    return Spread(max(1.0, left.low), max(1.0, left.likely), max(1.0, left.high))


def _task_going(now: Now, task: Task, stint: Stint) -> Task:
    """It stays with whoever does it; with all of them, whoever was to, if they were told to be several."""
    left = _left_of_hands(now, stint, stint.meant.seconds or task.seconds)
    task, busy = replace(task, seconds=left, earliest_s=0, after=()), stint.meant.people
    if len(busy) > 1 and set(busy) <= {hands.id for hands in now.weekend.hands}:
        return replace(task, people=busy, crew=len(busy))
    known = len(busy) == task.crew and set(busy) <= set(task.people)
    return replace(task, people=busy) if known else task


def _left_of_hands(now: Now, stint: Stint, seconds: Spread) -> Spread:
    """What is left of what hands do."""
    told = _until(now, stint)
    if told is not None:
        return _some(told)
    return left_of_work(seconds, _worked_s(now, stint))


def _worked_s(now: Now, stint: Stint, machine: str = "") -> int:
    """How long hands have been at it; pauses and closed hours have not counted."""
    windows = _open_to(now.weekend, stint, machine)
    return windows.open_s(stint.start_s or now.now_s, now.now_s)


def _open_to(weekend: Weekend, stint: Stint, machine: str) -> Windows:
    """When it could be worked on."""
    always = Windows.always(weekend.begin_s - 2**40, weekend.horizon_s)
    hands = [h.windows for h in weekend.hands if h.id in stint.meant.people]
    sites = [s.windows for s in weekend.sites if s.id == stint.meant.place]
    stations = [s.windows for s in weekend.stations if s.id == machine]
    for windows in (*hands, *sites, *stations):
        always &= windows
    return always
