"""The independent checker: every plan passes it before anyone sees it.

It knows the rules of the shop from `model.weekend` alone and shares no code with the planner or the
dispatch rule, so that a slip there cannot hide here. It reads the finished timeline like a sceptical
colleague: block by block, against windows, ways and needs.
"""

from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise

from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Run, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.checked_choice import choice_faults
from fabsched.schedule.checked_runs import (
    machine_s,
    machines_wait_to_be_cleared,
    only_waits,
    run_has_its_blocks,
    runs_are_tended,
    somebody_stays_near,
    tending_s,
)
from fabsched.schedule.checked_view import View

Rule = Callable[[View], Iterator[str]]


def check(weekend: Weekend, plan: Plan, course: Course) -> tuple[str, ...]:
    """Every rule the nominal course of a plan breaks; empty if it breaks none.

    Args:
        weekend: what was to be planned.
        plan: what was decided.
        course: what follows from it when everything takes its likely time.

    Returns:
        One sentence a broken rule, for the log and for tests.
    """
    view = View(weekend, plan, course)
    structure = [fault for rule in _STRUCTURE for fault in rule(view)]
    if structure:
        return tuple(structure)
    return tuple(fault for rule in _CLOCK for fault in rule(view))


def _order_is_complete(view: View) -> Iterator[str]:
    """The plan names every activity once, as carried out or as dropped."""
    named = sorted((*view.plan.order, *view.plan.dropped))
    wanted = sorted(view.activities)
    if named != wanted:
        yield f"the plan names {named}, the weekend has {wanted}"


def _choice_is_allowed(view: View) -> Iterator[str]:
    """What is left out may be, by swaps or as not needed, and everything is made once."""
    yield from choice_faults(view.weekend, view.plan)


def _blocks_are_sound(view: View) -> Iterator[str]:
    """Every block has length, lies after the beginning and belongs to something carried out."""
    known = {activity.id for activity in view.carried} | {""}
    for block in view.course.blocks:
        if block.start_s >= block.end_s:
            yield f"{block.id} ends before it starts"
        if block.start_s < view.weekend.begin_s:
            yield f"{block.id} starts before the beginning"
        if block.activity not in known:
            yield f"{block.id} belongs to {block.activity}, which is not carried out"


def _ids_are_unique(view: View) -> Iterator[str]:
    seen = [block.id for block in view.course.blocks]
    yield from (f"{ident} stands twice" for ident in sorted({i for i in seen if seen.count(i) > 1}))


def _everything_has_its_blocks(view: View) -> Iterator[str]:
    """A run has one machine block and its tends; a task has one piece of work or more."""
    for activity in view.carried:
        if activity.id not in view.course.done_s:
            yield f"{activity.id} is never done"
        elif isinstance(activity, Task):
            kind = Kind.GATE if activity.chance > 0 else Kind.WORK
            if not view.of(activity.id, kind):
                yield f"{activity.id} has no block"
        else:
            yield from run_has_its_blocks(view, activity)


def _lanes_do_not_overlap(view: View) -> Iterator[str]:
    for resource in {block.resource for block in view.course.blocks}:
        for before, after in pairwise(view.lane(resource)):
            if after.start_s < before.end_s:
                yield f"{before.id} and {after.id} overlap on {resource}"


def _runs_take_a_machine_that_can(view: View) -> Iterator[str]:
    for run in (a for a in view.carried if isinstance(a, Run)):
        able = {run.going.machine} if run.going else {c.machine for c in run.choices}
        for block in view.of(run.id, Kind.RUN):
            if block.resource not in able:
                yield f"{run.id} runs on {block.resource}, which cannot take it"


def _tasks_are_done_by_those_who_may(view: View) -> Iterator[str]:
    for task in (a for a in view.carried if isinstance(a, Task)):
        people = view.by_person(task.id)
        if len(people) != task.crew or not people.keys() <= set(task.people):
            yield f"{task.id} is done by {sorted(people)}"


def _crews_work_together(view: View) -> Iterator[str]:
    """Several people do a task at the same moments, and the blocks name them all."""
    for task in (a for a in view.carried if isinstance(a, Task) and a.crew > 1):
        people = view.by_person(task.id)
        if len({tuple((b.start_s, b.end_s, b.place) for b in x) for x in people.values()}) > 1:
            yield f"{task.id} is not done together"
        for block in view.hands_of(task.id):
            if sorted((block.resource, *block.others)) != sorted(people):
                yield f"{block.id} is said to be done with {block.others}"


def _durations_are_right(view: View) -> Iterator[str]:
    """Blocks add up to the likely time, hands and machine."""
    for activity in view.carried:
        hands = sum(b.end_s - b.start_s for b in view.hands_of(activity.id))
        if hands != _hands_s(view, activity):
            yield f"{activity.id} takes {hands} s of hands, not {_hands_s(view, activity)}"
        if isinstance(activity, Run) and not activity.attended and not only_waits(activity):
            (block,) = view.of(activity.id, Kind.RUN)
            if block.end_s - block.start_s != machine_s(view, activity):
                yield f"{activity.id} runs {block.end_s - block.start_s} s"


def _hands_s(view: View, activity: Activity) -> int:
    if isinstance(activity, Task):
        return activity.crew * whole_s(activity.seconds.likely)
    tends = sum(tending_s(view, activity))
    return tends + machine_s(view, activity) if activity.attended else tends


def _hands_work_in_open_hours(view: View) -> Iterator[str]:
    for person in view.weekend.hands:
        for block in view.lane(person.id):
            if block.kind is not Kind.TRAVEL and not _inside(view.open_to(person, block), block):
                yield f"{block.id} is outside the hours of {person.id} at {block.place}"


def _machines_run_in_their_hours(view: View) -> Iterator[str]:
    """What was started before the beginning runs on, whatever the hours."""
    going = {run.id for run in view.carried if isinstance(run, Run) and run.going}
    for station in view.weekend.stations:
        for block in (b for b in view.lane(station.id) if b.activity not in going):
            if not block.attended and not _inside(station.windows, block):
                yield f"{block.id} is outside the hours of {station.id}"


def _inside(windows: Windows, block: Block) -> bool:
    return any(start <= block.start_s and block.end_s <= end for start, end in windows)


def _unsplittable_stays_whole(view: View) -> Iterator[str]:
    for activity in view.carried:
        whole = isinstance(activity, Run) or not activity.splittable
        kinds = (Kind.WORK, Kind.GATE) if isinstance(activity, Task) else (Kind.RUN,)
        lanes = {block.resource for block in view.of(activity.id, *kinds)}
        if whole and len(view.of(activity.id, *kinds)) > len(lanes):
            yield f"{activity.id} must not be split"


def _everything_is_done_in_its_place(view: View) -> Iterator[str]:
    """A task where it belongs, hands of a run and the run itself where its machine stands."""
    for activity in view.carried:
        wanted = _belongs(view, activity)
        for block in (b for b in view.steps(activity.id) if b.place != wanted):
            yield f"{block.id} is done at {block.place}, not at {wanted}"


def _belongs(view: View, activity: Activity) -> str:
    if isinstance(activity, Task):
        return activity.place
    lanes = [block.resource for block in view.of(activity.id, Kind.RUN)]
    lanes += [activity.going.machine] if activity.going else []
    return view.weekend.station(lanes[0]).place


def _nobody_sets_out_asleep(view: View) -> Iterator[str]:
    """A way to something is begun while its person is up; the way back may end a long day."""
    for person in view.weekend.hands:
        for block in (b for b in view.lane(person.id) if b.kind is Kind.TRAVEL and b.activity):
            if not any(start <= block.start_s < end for start, end in person.windows):
                yield f"{block.id} is begun outside the hours of {person.id}"


def _people_are_where_they_work(view: View) -> Iterator[str]:
    """Nobody is in two places, and every way takes its time; one that takes none has no block."""
    for person in view.weekend.hands:
        here = person.at or person.base
        for block in view.lane(person.id):
            if block.kind is Kind.TRAVEL:
                yield from _way_is_right(view, here, block)
            elif view.weekend.way_s(here, block.place):
                yield f"{block.id} is at {block.place} while {person.id} is at {here}"
                continue
            here = block.place


def _way_is_right(view: View, here: str, block: Block) -> Iterator[str]:
    if block.place == here:
        yield f"{block.id} goes nowhere"
    elif block.end_s - block.start_s != view.weekend.way_s(here, block.place):
        yield f"{block.id} does not take the time of the way"


def _needs_come_first(view: View) -> Iterator[str]:
    """What an activity waits for is done, and brought there, before it starts."""
    for activity in (a for a in view.carried if not (isinstance(a, Run) and a.going)):
        first = _first_block(view, activity)
        if first.start_s < activity.earliest_s + _late_s(activity):
            yield f"{activity.id} starts before it may"
        for need in (n for n in activity.after if n not in view.plan.dropped):
            if not view.of(need, *Kind):  # it had nothing left to do
                continue
            way = view.weekend.way_s(_belongs(view, view.activities[need]), first.place)
            if first.start_s < view.course.done_s[need] + way:
                yield f"{activity.id} starts before {need} is there"


def _late_s(activity: Activity) -> int:
    """By how much a delivery is likely to be late."""
    return whole_s(activity.late.likely) if activity.late else 0


def _first_block(view: View, activity: Activity) -> Block:
    return (view.hands_of(activity.id) or view.of(activity.id, Kind.RUN))[0]


def _ends_are_told_truly(view: View) -> Iterator[str]:
    """`done_s` and `finish_s` say what the blocks say."""
    for activity in view.carried:
        last = max((b.end_s for b in view.steps(activity.id)), default=view.weekend.begin_s)
        if view.course.done_s[activity.id] != last:
            yield f"{activity.id} is said to be done at {view.course.done_s[activity.id]}"
    needed = [view.course.done_s[a.id] for a in view.carried if a.needed]
    if needed and view.course.finish_s != max(needed):
        yield f"the finish is said to be {view.course.finish_s}, not {max(needed)}"


_STRUCTURE: Iterable[Rule] = (
    _order_is_complete,
    _choice_is_allowed,
    _blocks_are_sound,
    _ids_are_unique,
    _everything_has_its_blocks,
    _runs_take_a_machine_that_can,
)
_CLOCK: Iterable[Rule] = (
    _lanes_do_not_overlap,
    machines_wait_to_be_cleared,
    runs_are_tended,
    somebody_stays_near,
    _tasks_are_done_by_those_who_may,
    _crews_work_together,
    _durations_are_right,
    _hands_work_in_open_hours,
    _machines_run_in_their_hours,
    _unsplittable_stays_whole,
    _everything_is_done_in_its_place,
    _nobody_sets_out_asleep,
    _people_are_where_they_work,
    _needs_come_first,
    _ends_are_told_truly,
)
