"""From a project, a shop and estimates to an answer. Heavy: imported when a request runs."""

from fabsched.model.plan import Answer
from fabsched.model.progress import Watch, check
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.model.state import state_of
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.ordering import held_by_orders, orders
from fabsched.schedule.planner import make_plan
from fabsched.schedule.structure import weekend_of
from fabsched.schedule.under_way import not_come
from fabsched.session.following import Followed
from fabsched.session.inputs import PlanInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.warming import make_ready
from fabsched.session.working_hours import WithHours, busy_hours, open_hours

BEYOND_S = 14 * DAY_S
"""Hours are known for two weeks after the deadline, so that a missed one is missed by a figure even
where a place opens once a week (our own choice)."""


def plan_project(given: PlanInput, watch: Watch) -> tuple[Answer, Weekend]:
    """Plan a project.

    Returns:
        The plan with what follows from it, and what was planned.

    Raises:
        InputError: the project cannot be carried out in this shop.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "laying-out")
    check(watch)
    weekend, truths = laid_out_now(given), knowledge_of(given.seen).truths
    live = Followed(watch)
    answer = make_plan(weekend, seed=given.seed, watch=watch, live=live, truths=truths)
    return answer, weekend


def laid_out_now(given: PlanInput) -> Weekend:
    """The project as a weekend that is still to begin.

    What was to come by now has not, and what is not in hand is ordered now.

    Raises:
        InputError: the project cannot be carried out in this shop.
    """
    known, told = knowledge_of(given.seen), state_of(given.entries).earliest_s
    weekend = not_come(laid_out(given, given.now_s), given.now_s, known.truths.late)
    return held_by_orders(weekend, orders(given.project, given.now_s, told), known.usual_late_s, {})


def laid_out(given: PlanInput, begin_s: int) -> Weekend:
    """The project as a weekend, with what was learnt put to it.

    Args:
        given: what is to be planned.
        begin_s: nothing happens before; may lie before the present moment.

    Raises:
        InputError: the project cannot be carried out in this shop.
    """
    horizon_s = max(given.now_s, int(given.project.deadline.timestamp())) + BEYOND_S
    weekend = weekend_of(
        given.project,
        given.shop,
        given.estimates,
        hours_of(given.project, given.shop, begin_s, horizon_s),
        now_s=begin_s,
        horizon_s=horizon_s,
        away=away_of(given.project, given.shop, begin_s, horizon_s),
    )
    return knowledge_of(given.seen).weekend(weekend, given.project, given.shop)


def hours_of(project: Project, shop: Shop, start_s: int, end_s: int) -> dict[str, Windows]:
    """When each place, person and machine is open, up or may run, by id.

    Raises:
        InputError: hours cannot be read.
    """
    with_hours: tuple[WithHours, ...] = (
        *shop.places,
        *shop.people,
        *shop.printers,
        *shop.lasers,
    )
    return {entry.id: open_hours(entry, project.zone, start_s, end_s) for entry in with_hours}


def away_of(project: Project, shop: Shop, start_s: int, end_s: int) -> dict[str, Windows]:
    """When people are somewhere else by their calendars, by id.

    Raises:
        InputError: a calendar cannot be read.
    """
    return {each.id: busy_hours(each, project.zone, start_s, end_s) for each in shop.people}
