"""What can be done after something has failed: each choice planned, and carried out many times.

Chances and times that the choices rest on are our own assumptions; the log will tell how good they
are. What has been spent already is the same for all choices and says nothing about them; only what
is still to come is told.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from fabsched.advise.options import Ground, Option
from fabsched.model.estimates import Pose
from fabsched.model.log import Cure, Remedy
from fabsched.model.plan import Answer, Kind
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.project import Part
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Activity, Run, Turn, Weekend
from fabsched.odds.truths import AS_TOLD
from fabsched.schedule.early_looks import is_for_a_look
from fabsched.schedule.effort import Effort
from fabsched.schedule.remedies import remedied
from fabsched.schedule.replan import replan
from fabsched.schedule.stretch import Stretch

SMALL = Effort(
    solver=0.0, race=250, search=3_000_000, each=220, most_tries=10, odds=4000, last_starts=0
)
"""A second of one core for one choice on a weekend of forty activities."""

COUPON_SHARE, COUPON_LEAST_S, COUPON_MOST_S = 0.1, 10 * MINUTE_S, 30 * MINUTE_S
"""A coupon takes a tenth of the part's time, within these bounds (our own assumption)."""

COUPON_RISK = 0.5
"""What a coupon leaves of the chance that the part fails or does not fit (our own assumption)."""

SLOWER, SLOWER_RISK = 1.3, 0.6
"""A print at three quarters of its speed fails that much less often (our own assumption)."""

HOLDS_RISK = SLOWER_RISK
"""A print that stands half as high over its base fails half as often, but not less often than one at
three quarters of its speed (our own assumption)."""

REPAIR = Spread(10 * MINUTE_S, 20 * MINUTE_S, 45 * MINUTE_S)
"""Hands to mend what failed: file, glue, drill out (our own assumption)."""

WORTH_A_COUPON_S = 2 * COUPON_LEAST_S
"""What takes no longer than this is its own coupon (our own choice)."""


def choices(weekend: Weekend, subject: str, failed_on: str = "") -> tuple[Remedy, ...]:
    """Everything that could be done about an activity that failed or was found wrong.

    Args:
        weekend: what is left, see `schedule.under_way`.
        subject: id of the activity; must be among what is left.
        failed_on: id of the machine it failed on, if known.

    Raises:
        KeyError: it is not among what is left.
    """
    activity = weekend.activity(subject)
    if isinstance(activity, Run) and is_for_a_look(weekend, subject):
        return (*_of_coupon(activity, failed_on), *_stoppable(weekend, activity))
    return (
        Remedy(cure=Cure.AGAIN, subject=subject),
        *(_of_run(weekend, activity, failed_on) if isinstance(activity, Run) else ()),
        *_other_ways(weekend, subject),
        Remedy(cure=Cure.DROP, subject=subject),
        *_stoppable(weekend, activity),
    )


def _of_coupon(run: Run, failed_on: str) -> tuple[Remedy, ...]:
    """A coupon needs no coupon, and mended it would show nothing."""
    return (
        Remedy(cure=Cure.AGAIN, subject=run.id),
        *_elsewhere(run, failed_on),
        Remedy(cure=Cure.DROP, subject=run.id),
    )


def _elsewhere(run: Run, failed_on: str) -> Iterator[Remedy]:
    on = failed_on or run.choices[0].machine
    for choice in run.choices:
        if choice.machine != on:
            yield Remedy(cure=Cure.MACHINE, subject=run.id, machine=choice.machine)


def _of_run(weekend: Weekend, run: Run, failed_on: str) -> Iterator[Remedy]:
    likely_s = run.choices[0].seconds.likely
    yield from _elsewhere(run, failed_on)
    if not run.attended:
        if likely_s > WORTH_A_COUPON_S:
            yield _coupon(run.id, likely_s)
        yield Remedy(cure=Cure.SLOWER, subject=run.id, factor=SLOWER, risk=SLOWER_RISK)
    yield from _apart(weekend, run.id)
    yield Remedy(cure=Cure.REPAIR, subject=run.id, seconds=REPAIR)


def _coupon(subject: str, likely_s: float) -> Remedy:
    seconds = Spread.exactly(min(COUPON_MOST_S, max(COUPON_LEAST_S, COUPON_SHARE * likely_s)))
    return Remedy(cure=Cure.COUPON, subject=subject, seconds=seconds, risk=COUPON_RISK)


def _other_ways(weekend: Weekend, subject: str) -> Iterator[Remedy]:
    """As a cut plate with pieces, or whatever other way the project knows.

    Also of what lay on a shared bed: the rest of that is then made as usual. Each way once: how its
    runs then share beds is left to the planner.
    """
    beds, named = _usual_beds(weekend, subject), set[str]()
    for swap in weekend.swaps:
        mine = subject in swap.out or swap.out <= beds
        takes = bool(swap.out) and mine and swap.out <= weekend.standing
        if swap.kind is Turn.ROUTE and (takes or subject in swap.into) and swap.name not in named:
            named.add(swap.name)
            yield Remedy(cure=Cure.FORK, subject=subject, swap=swap.id, detail=swap.name)


def _usual_beds(weekend: Weekend, subject: str) -> frozenset[str]:
    """The beds that a shared one stands for; none if it is no shared one."""
    shared = (s.out for s in weekend.swaps if s.kind is Turn.BED and s.into == {subject})
    return next(shared, frozenset[str]())


def _apart(weekend: Weekend, subject: str) -> Iterator[Remedy]:
    """What lay on one bed on several, so that one failure no longer spoils all of it."""
    names = {each.id: each.name for each in weekend.activities}
    for swap in weekend.swaps:
        split = swap.into if swap.out == {subject} else swap.out if swap.into == {subject} else ()
        if swap.kind is Turn.BED and len(split) > 1:
            detail = ", ".join(name for ident, name in names.items() if ident in split)
            yield Remedy(
                cure=Cure.APART, subject=subject, swap=swap.id, beds=len(split), detail=detail
            )


def _stoppable(weekend: Weekend, activity: Activity) -> Iterator[Remedy]:
    """Runs that hold a machine this one could have."""
    able = {c.machine for c in activity.choices} if isinstance(activity, Run) else set()
    for run in weekend.activities:
        if isinstance(run, Run) and run.cargo and run.going and run.going.machine in able:
            yield from (
                [Remedy(cure=Cure.CANCEL, subject=run.id)] if run.going.seconds.likely else []
            )


def weighed(
    ground: Ground, remedies: Iterable[Remedy], *, watch: Watch = UNWATCHED
) -> Iterator[Option]:
    """Plan each choice, and carry it out on the same luck as the others; one after the other.

    Raises:
        Cancelled: the watch said stop.
    """
    todo = tuple(remedies)
    for place, remedy in enumerate(todo):
        check(watch)
        part = Stretch(watch, place / len(todo), (place + 1) / len(todo))
        yield weighed_as(ground, remedied(ground.weekend, [remedy]), remedy, watch=part)


def weighed_as(
    ground: Ground, after: Weekend, remedy: Remedy, *, watch: Watch = UNWATCHED
) -> Option:
    """One choice, planned and carried out on the same luck as the others.

    Args:
        ground: what all choices start from; its masses are those that hold with the choice.
        after: what is left to do with the choice.
        remedy: the choice.
        watch: told of the progress.

    Raises:
        Cancelled: the watch said stop.
    """
    known = {activity.id for activity in after.activities}
    found = replan(
        after,
        ground.plan,
        seed=ground.seed,
        going=(ident for ident in ground.going if ident in known),
        effort=SMALL,
        watch=watch,
        truths=ground.truths or AS_TOLD,
    )
    return _option(ground, after, remedy, found.answer)


def turned_round(subject: str, part: Part, pose: Pose, now: Pose) -> Remedy:
    """The choice to print a part in another pose.

    Args:
        subject: id of the run that failed.
        part: the part, as the project has it turned.
        pose: how it would stand.
        now: how it stands.
    """
    risk = min(1.0, max(HOLDS_RISK, pose.lever / now.lever))
    return Remedy(
        cure=Cure.POSE,
        subject=subject,
        risk=risk,
        part=part.id,
        turn_deg=pose.turn_deg,
        was_deg=part.turn_deg,
    )


def going_on(ground: Ground, subject: str, answer: Answer) -> Option:
    """Making it again as it was, as a plan that has been made says already; so it can be seen at once.

    Args:
        ground: what all choices start from.
        subject: id of what failed.
        answer: the plan of `ground.weekend`.
    """
    return _option(ground, ground.weekend, Remedy(cure=Cure.AGAIN, subject=subject), answer)


def _option(ground: Ground, after: Weekend, remedy: Remedy, answer: Answer) -> Option:
    subject = ground.weekend.activity(remedy.subject)
    fresh = _made(ground.weekend, after, remedy)
    mine = (b for b in answer.course.blocks if _is_hands(after, b.resource, b.kind))
    option = Option(
        remedy=remedy,
        name=subject.name,
        detail=_detail(ground.weekend, remedy),
        answer=answer,
        hands_s=sum(block.end_s - block.start_s for block in mine),
        machine_s=round(sum(run.choices[0].seconds.likely for run in fresh)),
        mass_g=_mass_g(_printed(ground, fresh), ground.mass_g),
        sheets=tuple(ground.sheets[run.cargo[0][0]] for run in fresh if _is_cut(ground, run)),
    )
    return _with_lost(option, subject, ground.mass_g) if remedy.cure is Cure.CANCEL else option


def _is_hands(weekend: Weekend, resource: str, kind: Kind) -> bool:
    return kind is not Kind.TRAVEL and any(resource == hands.id for hands in weekend.hands)


def _made(weekend: Weekend, after: Weekend, remedy: Remedy) -> tuple[Run, ...]:
    """The runs a choice carries out that are about it."""
    mine = _instead(weekend, remedy) or (after.standing - weekend.standing) | {remedy.subject}
    return tuple(
        a for a in after.activities if a.id in mine and isinstance(a, Run) and a.going is None
    )


def _instead(weekend: Weekend, remedy: Remedy) -> frozenset[str]:
    """What is made in place of the subject, by the swap that a choice takes or takes back."""
    for swap in weekend.swaps:
        if swap.id == remedy.swap:
            beside = _usual_beds(weekend, remedy.subject) - swap.out
            return swap.out if remedy.subject in swap.into else swap.into | beside
    return frozenset()


def _printed(ground: Ground, runs: Iterable[Run]) -> tuple[Run, ...]:
    return tuple(run for run in runs if not _is_cut(ground, run))


def _is_cut(ground: Ground, run: Run) -> bool:
    return bool(run.cargo) and run.cargo[0][0] in ground.sheets


def _mass_g(runs: Iterable[Run], mass_g: Mapping[str, float]) -> float | None:
    """Material of some runs; None if that of a part is not known. Coupons weigh next to nothing."""
    parts = [(part, copies) for run in runs for part, copies in run.cargo]
    if any(part not in mass_g for part, _ in parts):
        return None
    return float(sum(copies * mass_g[part] for part, copies in parts))


def _with_lost(option: Option, broken_off: Activity, mass_g: Mapping[str, float]) -> Option:
    """The choice with the machine time and the material that are gone with a run that is broken off.

    Material is taken to be laid down evenly over the run.
    """
    if not isinstance(broken_off, Run) or broken_off.going is None:
        return option
    going, whole_g = broken_off.going, _mass_g([broken_off], mass_g)
    whole_s = going.spent_s + going.seconds.likely
    lost_g = None if whole_g is None or not whole_s else whole_g * going.spent_s / whole_s
    return replace(option, spent_s=going.spent_s, lost_g=lost_g)


def _detail(weekend: Weekend, remedy: Remedy) -> str:
    if remedy.cure is Cure.MACHINE:
        return weekend.station(remedy.machine).name
    return remedy.detail
