"""From a project, a shop and estimates to an answer. Heavy: imported when a request runs."""

from fabsched.files.opening_hours import expand
from fabsched.model.plan import Answer
from fabsched.model.progress import Watch, check
from fabsched.model.project import Project
from fabsched.model.shop import Machine, Person, Place, Shop
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.planner import make_plan
from fabsched.schedule.structure import weekend_of
from fabsched.session.inputs import PlanInput
from fabsched.session.warming import make_ready

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
    horizon_s = max(given.now_s, int(given.project.deadline.timestamp())) + BEYOND_S
    weekend = weekend_of(
        given.project,
        given.shop,
        given.estimates,
        hours_of(given.project, given.shop, given.now_s, horizon_s),
        now_s=given.now_s,
        horizon_s=horizon_s,
    )
    answer = make_plan(weekend, seed=given.seed, watch=watch)
    return answer, weekend


def hours_of(project: Project, shop: Shop, start_s: int, end_s: int) -> dict[str, Windows]:
    """When each place, person and machine is open, up or may run, by id.

    Raises:
        InputError: hours cannot be read.
    """
    with_hours: tuple[Place | Person | Machine, ...] = (
        *shop.places,
        *shop.people,
        *shop.printers,
        *shop.lasers,
    )
    return {
        entry.id: expand(entry.hours, project.zone, start_s, end_s, _where(entry.id))
        for entry in with_hours
    }


def _where(ident: str) -> str:
    return f"shop.toml: '{ident}': hours"
