"""What a coupon that is not in the project yet would be worth in the plan as it is."""

from dataclasses import replace

from fabsched.advise.counsel import Look
from fabsched.advise.coupon_items import PlannedCoupon
from fabsched.advise.gates import WORK
from fabsched.advise.weighing import Scales, gain_of, in_time
from fabsched.model.plan import Plan
from fabsched.model.project import Gate
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Activity, Choice, Run, Task, Weekend
from fabsched.schedule.carried import carried_out


def coupon_look(scales: Scales, planned: PlannedCoupon) -> Look | None:
    """What it would win to print a coupon and try it before its part is made.

    All else stays as the plan has it, beds included, but for a new order of urgency.

    Args:
        scales: the plan.
        planned: the coupon.

    Returns:
        None where nothing would be eased, or the plan does not begin to make the part.
    """
    gate = planned.edit.look
    settled = carried_out(scales.weekend, scales.plan)
    made = [a for a in settled.activities if isinstance(a, Run) and _makes(a, planned.part)]
    made = [run for run in made if run.going is None]
    fits = [a for a in settled.activities if isinstance(a, Task) and gate and a.of == gate.eases]
    if gate is None or not made or not fits:
        return None
    coupon, check = _coupon(planned, made[0]), _check(gate, fits[0])
    weekend = _with(settled, (coupon, check), gate, planned.part)
    plan = _first(scales.plan, (coupon.id, check.id), {run.id for run in made})
    after = in_time(weekend, scales.reordered(weekend, plan, WORK), scales.sample)
    return Look(
        swap=gate.id,
        name=gate.name,
        taken=False,
        hands_s=check.seconds.likely + coupon.tend_s,
        machine_s=coupon.choices[0].seconds.likely,
        without=float(scales.base.mean()),
        gain=gain_of(scales.base, after),
    )


def _makes(run: Run, part: str) -> bool:
    return part in {ident for ident, _ in run.cargo}


def _coupon(planned: PlannedCoupon, like: Run) -> Run:
    """A run of its own, tended and failing as the part's."""
    part = planned.edit.coupon
    choices = (Choice(ident, e.seconds) for ident, e in planned.estimates.items())
    return replace(
        like,
        id=part.id,
        name=part.name,
        choices=tuple(choices),
        cargo=((part.id, 1),),
        after=(),
        earliest_s=0,
        late=None,
        needed=False,
        going=None,
    )


def _check(gate: Gate, like: Task) -> Task:
    """Done by whoever would try the part itself, where that is done."""
    return replace(
        like,
        id=gate.id,
        name=gate.name,
        of=gate.id,
        seconds=gate.minutes.scaled(MINUTE_S),
        chance=gate.chance,
        redo=gate.redo,
        shows=gate.shows,
        after=gate.after,
        earliest_s=0,
        late=None,
        needed=False,
    )


def _with(settled: Weekend, new: tuple[Activity, ...], gate: Gate, part: str) -> Weekend:
    """The weekend with coupon and check; the part waits for them, and its gate is eased."""

    def changed(activity: Activity) -> Activity:
        if isinstance(activity, Run):
            waits = _makes(activity, part) and activity.going is None
            return replace(activity, after=(*activity.after, gate.id)) if waits else activity
        eased = activity.of == gate.eases
        return replace(activity, chance=activity.chance * gate.left) if eased else activity

    return replace(settled, activities=(*map(changed, settled.activities), *new))


def _first(plan: Plan, new: tuple[str, ...], made: set[str]) -> Plan:
    """Coupon and check right before the first bed with the part."""
    place = next(place for place, ident in enumerate(plan.order) if ident in made)
    return Plan(order=(*plan.order[:place], *new, *plan.order[place:]))
