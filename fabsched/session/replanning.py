"""From a project, its log and the plan in hand to the rest of the weekend.

Heavy: imported when a request runs.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from fabsched.advise.after_failure import choices, going_on, weighed
from fabsched.advise.options import Ground, Option
from fabsched.model.estimates import Estimate, Route
from fabsched.model.log import Event, Remedy
from fabsched.model.plan import Answer, Odds
from fabsched.model.progress import Watch, check
from fabsched.model.project import Part
from fabsched.model.state import State, state_of
from fabsched.schedule.changes import Change, changes, in_hand, meanings
from fabsched.schedule.ordering import held_by_orders, orders
from fabsched.schedule.reach import check_hours
from fabsched.schedule.remedies import in_pose
from fabsched.schedule.replan import FIRST, THOROUGH, replan
from fabsched.schedule.stretch import Stretch
from fabsched.schedule.under_way import UnderWay, under_way
from fabsched.session.following import Followed
from fabsched.session.inputs import PlanInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.planning import laid_out
from fabsched.session.replanned import Meanings, Rest, Trouble
from fabsched.session.stock import sheet_name
from fabsched.session.warming import make_ready


def replan_project(given: PlanInput, watch: Watch) -> Rest:
    """Keep what happened and plan the rest.

    Raises:
        InputError: the project cannot be carried out in this shop.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "laying-out")
    check(watch)
    state = state_of(given.entries)
    left = left_of(given)
    check_hours(left.weekend, given.project)
    effort = FIRST if given.quick else THOROUGH
    old = given.in_hand.plan if given.in_hand else None
    part = Stretch(watch, 0.1, 1.0)
    found = replan(
        left.weekend,
        old,
        seed=given.seed,
        going=left.by_hand,
        effort=effort,
        watch=part,
        live=Followed(watch),
        truths=knowledge_of(given.seen).truths,
    )
    answer = _finished(left, found.answer)
    told: tuple[Change, ...] = ()
    if given.in_hand:
        told = changes(left.weekend, given.in_hand, found.kept, answer, left.by_hand)
    return Rest(
        weekend=left.weekend,
        answer=answer,
        in_hand=in_hand(answer, left.weekend),
        changes=told,
        kept_on_time=_kept_on_time(answer, found.kept_on_time) if given.in_hand else None,
        on_time=found.on_time,
        done=left.done,
        going=left.going,
        by_hand=left.by_hand,
        trouble=_trouble(left, state),
    )


def left_of(given: PlanInput) -> UnderWay:
    """What is left of a project's weekend.

    Raises:
        InputError: the project cannot be carried out in this shop.
    """
    state, weekend = state_of(given.entries), laid_out(given, _begin_s(given))
    turns = {part.id: part.turn_deg for part in given.project.parts}
    for ident, remedy in state.turned.items():
        if turns.get(ident) == remedy.turn_deg:
            weekend = in_pose(weekend, remedy)
    known, project = knowledge_of(given.seen), given.project
    outside = (each.id for each in (*project.works, *project.gates) if each.not_before is not None)
    left = under_way(
        weekend,
        state,
        given.now_s,
        late=known.usual_late_s,
        doubt=known.truths.late,
        outside=frozenset(outside),
    )
    waiting = orders(project, given.now_s, state.earliest_s)
    held = held_by_orders(left.weekend, waiting, known.usual_late_s, left.going)
    return replace(left, weekend=held)


def _begin_s(given: PlanInput) -> int:
    """A moment before anything was told, so that hours reach back to it."""
    return min((given.now_s, *(entry.moment_s for entry in given.entries if _happened(entry.kind))))


def _happened(kind: Event) -> bool:
    return kind not in {Event.PLANNED, Event.WITHDRAWN, Event.RESTORED}


def _finished(left: UnderWay, answer: Answer) -> Answer:
    """When nothing needed is left, it was done when the last of it was, for sure."""
    done_s = left.finished_s
    if done_s is None:
        return answer
    on_time = float(done_s <= left.weekend.deadline_s)
    odds = Odds(
        on_time=on_time,
        standard_error=0.0,
        p10_s=done_s,
        p50_s=done_s,
        p90_s=done_s,
        scenarios=answer.odds.scenarios,
        finishes_s=((done_s, answer.odds.scenarios),),
        done_s=done_s,
    )
    return replace(answer, odds=odds, course=replace(answer.course, finish_s=done_s))


def _kept_on_time(answer: Answer, found: float) -> float:
    """The chance of the plan before; when nothing needed is left, no plan changes it."""
    return found if answer.odds.done_s is None else answer.odds.on_time


def _trouble(left: UnderWay, state: State) -> Trouble | None:
    """What failed or was found wrong last, if nothing has been decided or done about it since."""
    ids = {activity.id for activity in left.weekend.activities}
    for stint in reversed(state.past):
        mine = (stint.subject, *(stint.meant.redo if stint.outcome is Event.FOUND else ()))
        open_ = [i for i in mine if i in ids and i not in left.going and i not in state.remedies]
        if stint.outcome is Event.FAILED and stint.subject in open_:
            return Trouble(stint.subject, stint.meant.machine)
        if stint.outcome is Event.FOUND and len(open_) > 1:
            return Trouble(open_[1], "")
    return None


def ground_of(rest: Rest, given: PlanInput) -> Ground:
    """What the choices after a failure start from."""
    return Ground(
        weekend=rest.weekend,
        plan=rest.answer.plan,
        seed=given.seed,
        mass_g=mass_g(given.estimates),
        sheets={part.id: sheet_name(part) for part in given.project.parts if _is_cut(part)},
        going=rest.by_hand,
        truths=knowledge_of(given.seen).truths,
    )


def _is_cut(part: Part) -> bool:
    return part.route is Route.CUT


def mass_g(estimates: Mapping[str, Mapping[str, Estimate]]) -> dict[str, float]:
    """Material of one copy of each part, on its first machine, where known."""
    first = {part: next(iter(machines.values()), None) for part, machines in estimates.items()}
    return {part: e.mass_g for part, e in first.items() if e is not None and e.mass_g is not None}


def remedies_of(rest: Rest) -> tuple[Remedy, ...]:
    """The choices there are, before they are planned; none without trouble."""
    if rest.trouble is None:
        return ()
    return choices(rest.weekend, rest.trouble.subject, rest.trouble.machine)


def first_option(rest: Rest, ground: Ground) -> Option | None:
    """The choice that needs no planning of its own, since the plan is that already; see `weighed`.

    None if the plan makes something else in place of what failed.
    """
    if rest.trouble is None or rest.trouble.subject not in rest.answer.plan.order:
        return None
    return going_on(ground, rest.trouble.subject, rest.answer)


def choices_of(given: PlanInput, watch: Watch) -> tuple[Remedy, ...]:
    """The choices after what went wrong last, none of them planned; none without trouble.

    Raises:
        InputError: the project cannot be carried out in this shop.
        Cancelled: the watch said stop.
    """
    watch.report(0.0, "laying-out")
    check(watch)
    state, left = state_of(given.entries), left_of(given)
    trouble = _trouble(left, state)
    return choices(left.weekend, trouble.subject, trouble.machine) if trouble else ()


def options_of(ground: Ground, remedies: tuple[Remedy, ...], watch: Watch) -> Iterator[Option]:
    """Each choice planned, one after the other.

    Raises:
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    return weighed(ground, remedies, watch=watch)


def meanings_of(given: PlanInput, watch: Watch) -> Meanings:
    """What the project's activities mean, for a log that has no plan yet.

    Raises:
        InputError: the project cannot be carried out in this shop.
        Cancelled: the watch said stop.
    """
    watch.report(0.0, "laying-out")
    check(watch)
    return meanings(laid_out(given, _begin_s(given)))
