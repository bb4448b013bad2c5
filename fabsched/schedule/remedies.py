"""Choices after a failure, as changes of the weekend."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from fabsched.model.log import Cure, Remedy
from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Choice, Going, Run, Task, Weekend
from fabsched.schedule.decided import decided
from fabsched.schedule.early_looks import found_later, looks_at

NO_TIME = Spread.exactly(0.0)
INSTANT = Spread.exactly(1.0)
"""Machine time of a run that only stands for a machine that has to be cleared."""

MOST_RISK = 1.0
"""No chance is more than certain."""

MADE = frozenset({Cure.AGAIN, Cure.COUPON, Cure.MACHINE, Cure.SLOWER, Cure.POSE})
"""Choices that say how the subject is made: nothing else is made in its place then."""


def coupon_of(run: Run) -> str:
    """Id of the test print that goes before a run."""
    return f"{run.id}-coupon"


def remedied(weekend: Weekend, remedies: Iterable[Remedy]) -> Weekend:
    """The weekend with the choices that were taken; those about nothing in it are passed over."""
    for remedy in remedies:
        known = {activity.id for activity in weekend.activities}
        if remedy.subject in known:
            held = remedy.cure in MADE
            weekend = _committed(weekend, {remedy.subject}) if held else weekend
            weekend = _CARRIED_OUT[remedy.cure](weekend, remedy)
    return weekend


def _as_it_is(weekend: Weekend, _: Remedy) -> Weekend:
    return weekend


def _on_machine(weekend: Weekend, remedy: Remedy) -> Weekend:
    """Only on that machine, if it is one of those that can."""

    def bound(activity: Activity) -> Activity:
        if not isinstance(activity, Run):
            return activity
        choices = tuple(c for c in activity.choices if c.machine == remedy.machine)
        return replace(activity, choices=choices) if choices else activity

    return changed(weekend, remedy.subject, bound)


def in_pose(weekend: Weekend, remedy: Remedy) -> Weekend:
    """Runs of a part that has been turned, with what that does to their chance of failing.

    What it does to their time stands in the estimates they were laid out with. A bed that holds
    other parts as well fails as often as before.
    """
    mine = {a.id for a in weekend.activities if _holds_only(a, remedy.part)}
    activities = (_eased(a, remedy) if a.id in mine else a for a in weekend.activities)
    return replace(weekend, activities=tuple(activities))


def _holds_only(activity: Activity, part: str) -> bool:
    return isinstance(activity, Run) and {ident for ident, _ in activity.cargo} == {part}


def _otherwise(weekend: Weekend, remedy: Remedy) -> Weekend:
    """Longer or shorter, and with another chance of failing."""
    return changed(weekend, remedy.subject, lambda activity: _eased(activity, remedy))


def _eased(activity: Activity, remedy: Remedy) -> Activity:
    if not isinstance(activity, Run):
        return activity
    return replace(
        activity,
        choices=tuple(_eased_on(choice, remedy) for choice in activity.choices),
        fail_start=min(MOST_RISK, activity.fail_start * remedy.risk),
        fail_hour=activity.fail_hour * remedy.risk,
    )


def _eased_on(choice: Choice, remedy: Remedy) -> Choice:
    start, hour = choice.fail_start, choice.fail_hour
    return replace(
        choice,
        seconds=choice.seconds.scaled(remedy.factor),
        fail_start=None if start is None else min(MOST_RISK, start * remedy.risk),
        fail_hour=None if hour is None else hour * remedy.risk,
    )


def _coupon_first(weekend: Weekend, remedy: Remedy) -> Weekend:
    """A small test print goes before, and takes part of the chance of failing away.

    So it does of the chance that a gate sends the part back.
    """
    run = weekend.activity(remedy.subject)
    if not isinstance(run, Run) or remedy.seconds is None:
        return weekend
    seconds = remedy.seconds
    coupon = replace(
        run,
        id=coupon_of(run),
        choices=tuple(replace(c, seconds=seconds) for c in run.choices),
        cargo=(),
        going=None,
    )
    after = _otherwise(weekend, remedy)
    after = changed(after, run.id, lambda each: replace(each, after=(*each.after, coupon.id)))
    activities = (_passed(activity, run.id, remedy.risk) for activity in after.activities)
    return replace(after, activities=(coupon, *activities))


def _passed(activity: Activity, part: str, risk: float) -> Activity:
    """A gate that would find what the coupon has shown already."""
    if isinstance(activity, Run) or part not in activity.redo:
        return activity
    return replace(activity, chance=activity.chance * risk)


def _repaired(weekend: Weekend, remedy: Remedy) -> Weekend:
    """What failed is mended by hand and used; so nothing is made in its place any more."""
    weekend = _committed(weekend, {remedy.subject})
    run = weekend.activity(remedy.subject)
    if not isinstance(run, Run):
        return weekend
    task = Task(
        id=run.id,
        name=run.name,
        place=weekend.station(run.choices[0].machine).place,
        people=tuple(hands.id for hands in weekend.hands),
        seconds=remedy.seconds or Spread.exactly(0),
        of=run.id,
        after=run.after,
        earliest_s=run.earliest_s,
        needed=run.needed,
    )
    return changed(weekend, run.id, lambda _: task)


def _dropped(weekend: Weekend, remedy: Remedy) -> Weekend:
    """It is left out, and whatever could be made in its place as well."""
    return left_out(_committed(weekend, {remedy.subject}), frozenset({remedy.subject}))


def _committed(weekend: Weekend, idents: Iterable[str]) -> Weekend:
    """The weekend with everything decided that makes some activities be carried out."""
    choice = decided(weekend, idents)
    gone = frozenset(activity.id for activity in weekend.activities) - choice.reach
    activities = tuple(freed(a, gone) for a in weekend.activities if a.id not in gone)
    return replace(weekend, activities=activities, swaps=choice.swaps)


def _other_way(weekend: Weekend, remedy: Remedy) -> Weekend:
    """The swap is taken for good; if it would bring the subject in, it is not taken for good."""
    swap = next((swap for swap in weekend.swaps if swap.id == remedy.swap), None)
    if swap is None:
        return weekend
    if remedy.subject in swap.into:
        return without(weekend, swap.into)
    if not swap.out <= weekend.standing:
        return weekend
    left = tuple(s for s in weekend.swaps if not s.out & swap.out and not s.into & swap.into)
    kept = replace(weekend, swaps=left)
    unreachable = kept_away(weekend) - kept_away(kept) - swap.into
    return _taken_out(kept, swap.out | unreachable)


def _apart(weekend: Weekend, remedy: Remedy) -> Weekend:
    """What lay on one bed is made on several, which are not put together again."""
    swap = next((swap for swap in weekend.swaps if swap.id == remedy.swap), None)
    if swap is None:
        return weekend
    if remedy.subject in swap.into:
        return _committed(without(weekend, swap.into), swap.out)
    return _committed(weekend, swap.into)


def _broken_off(weekend: Weekend, remedy: Remedy) -> Weekend:
    """What goes on is stopped, and its machine has to be cleared; it has still to be made."""
    run = weekend.activity(remedy.subject)
    if not isinstance(run, Run) or run.going is None:
        return weekend
    clearing = clearing_of(run.going.machine, run.name, run.clear_s)
    stopped = changed(weekend, run.id, lambda _: replace(run, going=None))
    return replace(stopped, activities=(clearing, *stopped.activities))


def clear_id(machine: str) -> str:
    """Id of the run that stands for a machine with something on it that has to be taken off."""
    return f"{machine}-to-clear"


def clearing_of(machine: str, name: str, clear_s: int, left: Spread = NO_TIME) -> Run:
    """A run that only has to be taken off its machine.

    Args:
        machine: id of the machine.
        name: what lies on it.
        clear_s: hands needed.
        left: machine time left, for what still runs.
    """
    return Run(
        id=clear_id(machine),
        name=name,
        choices=(Choice(machine, INSTANT),),
        attended=False,
        start_s=0,
        clear_s=clear_s,
        needed=False,
        going=Going(machine, left),
    )


def kept_away(weekend: Weekend) -> frozenset[str]:
    """Ids of the activities that are carried out only if a swap is taken."""
    return frozenset[str]().union(*(swap.into for swap in weekend.swaps))


def changed(weekend: Weekend, ident: str, change: Callable[[Activity], Activity]) -> Weekend:
    """The weekend with one activity changed."""
    activities = (change(a) if a.id == ident else a for a in weekend.activities)
    return replace(weekend, activities=tuple(activities))


def without(weekend: Weekend, gone: frozenset[str]) -> Weekend:
    """The weekend without some activities and any mention of them.

    Decisions that would make them after all are gone as well.
    """
    swaps = tuple(s for s in weekend.swaps if not s.into or not (s.out | s.into) & gone)
    kept = replace(weekend, swaps=swaps)
    return _taken_out(kept, gone | (kept_away(weekend) - kept_away(kept)))


def left_out(weekend: Weekend, gone: frozenset[str]) -> Weekend:
    """The same, and without early looks that were to look at them; see `found_later`."""
    rest = without(weekend, gone)
    stay = {activity.id for activity in rest.activities}
    blind = [look for look in looks_at(weekend, gone) if look.id in stay]
    for look in blind:
        rest = found_later(rest, look)
    return without(rest, frozenset(look.id for look in blind)) if blind else rest


def _taken_out(weekend: Weekend, gone: frozenset[str]) -> Weekend:
    activities = tuple(
        freed(activity, gone) for activity in weekend.activities if activity.id not in gone
    )
    swaps = (replace(swap, out=swap.out - gone) for swap in weekend.swaps)
    return replace(weekend, activities=activities, swaps=tuple(s for s in swaps if s.out))


def freed(activity: Activity, gone: frozenset[str]) -> Activity:
    """The activity, waiting for nothing that is gone and doing nothing of it again."""
    after = tuple(ident for ident in activity.after if ident not in gone)
    if isinstance(activity, Run):
        return replace(activity, after=after)
    redo = tuple(ident for ident in activity.redo if ident not in gone)
    return replace(activity, after=after, redo=redo)


_CARRIED_OUT: Mapping[Cure, Callable[[Weekend, Remedy], Weekend]] = {
    Cure.AGAIN: _as_it_is,
    Cure.COUPON: _coupon_first,
    Cure.MACHINE: _on_machine,
    Cure.SLOWER: _otherwise,
    Cure.POSE: _as_it_is,
    Cure.APART: _apart,
    Cure.FORK: _other_way,
    Cure.REPAIR: _repaired,
    Cure.DROP: _dropped,
    Cure.CANCEL: _broken_off,
}
