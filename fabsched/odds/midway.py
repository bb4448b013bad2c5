"""The rest of a weekend of which everything so far has gone as in a course."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fabsched.model.foreseen import due_s
from fabsched.model.plan import Block, Course, Kind, Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import Activity, Choice, Going, Hands, Run, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.lateness import overdue


def midway(weekend: Weekend, plan: Plan, course: Course, moment_s: int) -> tuple[Weekend, Plan]:
    """The weekend that begins at a moment of a course, and the plan for it.

    What is done is settled, runs go on, hands carry on with what they are at. What was to come by
    then, as late as likely, has come; what has not is no sooner. Tending that is under way is taken as not begun, a matter of
    minutes.

    Args:
        weekend: what was planned.
        plan: what was decided.
        course: how it went so far; later blocks matter not.
        moment_s: from the beginning on.
    """
    view = _View(weekend, plan, course, moment_s)
    done = {ident for ident, end_s in course.done_s.items() if end_s <= moment_s}
    left = tuple(view.rest(each) for each in weekend.activities if each.id not in done)
    later = replace(
        weekend,
        begin_s=moment_s,
        hands=tuple(view.now(hands) for hands in weekend.hands),
        activities=left,
        settled=(
            *weekend.settled,
            *(activity for activity in weekend.activities if activity.id in done),
        ),
        swaps=(),
    )
    order = [ident for ident in plan.order if ident not in done and ident not in plan.dropped]
    order.sort(key=lambda ident: ident not in view.under_way)
    return later, Plan(order=tuple(order), dropped=plan.dropped)


@dataclass(frozen=True, slots=True)
class _View:
    """A course up to a moment."""

    weekend: Weekend
    plan: Plan
    course: Course
    moment_s: int

    @property
    def under_way(self) -> frozenset[str]:
        """What hands are at."""
        begun = {
            b.activity for b in self.course.blocks if _by_hand(b) and b.start_s < self.moment_s
        }
        ended = {i for i, end_s in self.course.done_s.items() if end_s <= self.moment_s}
        return frozenset(begun - ended)

    def now(self, hands: Hands) -> Hands:
        """Somebody where they are; on a way, they are there and not free until it ends."""
        mine = [
            b for b in self.course.blocks if b.resource == hands.id and b.start_s < self.moment_s
        ]
        if not mine:
            return hands
        last = max(mine, key=lambda block: block.start_s)
        here = replace(hands, at=last.place)
        if last.kind is not Kind.TRAVEL or last.end_s <= self.moment_s:
            return here
        away = Windows.always(self.moment_s, last.end_s)
        return replace(here, windows=hands.windows - away)

    def rest(self, activity: Activity) -> Activity:
        """What is left of something that is not done."""
        if activity.late and due_s(activity) <= self.moment_s:
            activity = replace(activity, earliest_s=0, late=None)
        activity = overdue(activity, self.moment_s)
        blocks = [b for b in self.course.blocks if b.activity == activity.id]
        if isinstance(activity, Run) and not activity.attended:
            return self._going(activity, blocks)
        mine = [block for block in blocks if _by_hand(block)]
        spent_s = sum(max(0, min(b.end_s, self.moment_s) - b.start_s) for b in mine)
        if not spent_s:
            return activity
        if isinstance(activity, Run):
            machine = next(block.resource for block in blocks if block.kind is Kind.RUN)
            return _rest_of_cut(activity, machine, spent_s)
        whole_s = sum(block.end_s - block.start_s for block in mine)
        return _rest_of_task(activity, mine[0], 1 - spent_s / whole_s)

    def _going(self, run: Run, blocks: Iterable[Block]) -> Run:
        """A run that was started goes on; one that has ended waits to be cleared."""
        for block in blocks:
            if block.kind is Kind.RUN and block.id == run.id and block.start_s <= self.moment_s:
                share = max(0, block.end_s - self.moment_s) / max(1, block.end_s - block.start_s)
                whole = run.going.seconds if run.going else _on(run, block.resource)
                going = Going(block.resource, whole.scaled(share))
                return replace(run, going=self._watched(block, going))
        return run

    def _watched(self, run: Block, going: Going) -> Going:
        """With whoever began it, and for how long they still stay beside it."""
        for block in self.course.blocks:
            tends = block.activity == run.activity and block.kind is Kind.TEND
            if tends and block.start_s < run.end_s and block.start_s <= self.moment_s:
                watch_s = max(0, block.end_s - self.moment_s)
                return replace(going, by=block.resource, watch_s=watch_s)
        return going


def _by_hand(block: Block) -> bool:
    """Whether hands work at something that can be taken up again: no way, no start, no clearing."""
    attends = block.kind is Kind.TEND and block.id.startswith(f"{block.activity}.hands")
    return block.kind in (Kind.WORK, Kind.GATE) or attends


def _on(run: Run, machine: str) -> Spread:
    return next(choice.seconds for choice in run.choices if choice.machine == machine)


def _rest_of_task(task: Task, begun: Block, share: float) -> Task:
    """The rest is done by whoever has begun."""
    people = (begun.resource, *begun.others)
    return replace(
        task, people=people, seconds=task.seconds.scaled(share), share=task.share * share
    )


def _rest_of_cut(run: Run, machine: str, spent_s: int) -> Run:
    """What is left of an attended run: of its start, its machine time and its clearing."""
    run = run.at(next(choice for choice in run.choices if choice.machine == machine))
    whole = run.choices[0].seconds
    cut_s = max(0, spent_s - run.start_s)
    share = max(0.0, 1 - cut_s / whole.likely) if whole.likely else 0.0
    cleared_s = max(0, cut_s - round(whole.likely))
    return replace(
        run,
        choices=(Choice(machine, whole.scaled(share)),),
        start_s=max(0, run.start_s - spent_s),
        clear_s=max(0, run.clear_s - cleared_s),
    )
