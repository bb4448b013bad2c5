"""A weekend as it is to be expected by those who know that things take longer than they are told."""

from dataclasses import replace

from fabsched.estimate.raising import raised
from fabsched.model.weekend import Activity, Choice, Run, Task, Weekend
from fabsched.odds.truths import AS_TOLD, Truths
from fabsched.schedule.reach import has_time


def foreseen(weekend: Weekend, truths: Truths) -> Weekend:
    """The weekend in which every time and rate is multiplied by the mean of what is true of it.

    Rules and the solver look at this one. What would then find no open hours any more stays as told:
    it still has to be put somewhere.

    Args:
        weekend: as told.
        truths: what is not known about the world.
    """
    if truths == AS_TOLD:
        return weekend
    activities = (_foreseen(activity, truths) for activity in weekend.activities)
    pairs = zip(weekend.activities, activities, strict=True)
    kept = tuple(longer if has_time(weekend, longer) else told for told, longer in pairs)
    return replace(weekend, activities=kept)


def _foreseen(activity: Activity, truths: Truths) -> Activity:
    return _task(activity, truths) if isinstance(activity, Task) else _run(activity, truths)


def _task(task: Task, truths: Truths) -> Task:
    return replace(
        task,
        seconds=task.seconds.scaled(truths.work_mean),
        chance=raised(task.chance, truths.faults.mean),
    )


def _run(run: Run, truths: Truths) -> Run:
    rate = truths.failing.mean
    return replace(
        run,
        choices=tuple(_choice(choice, truths) for choice in run.choices),
        fail_start=raised(run.fail_start, rate),
        fail_hour=run.fail_hour * rate,
    )


def _choice(choice: Choice, truths: Truths) -> Choice:
    rate, start, hour = truths.failing.mean, choice.fail_start, choice.fail_hour
    return replace(
        choice,
        seconds=choice.seconds.scaled(truths.machine.mean),
        fail_start=None if start is None else raised(start, rate),
        fail_hour=None if hour is None else hour * rate,
    )
