"""Which chain decides the finish, and what would move it.

Every block starts when it does because something held it back until then (`Block.reason`). Followed
from the block that ends last, each time to what held it back, that is the chain which decides the
finish. Hours are no link of it: where a block waited for them, the chain goes on with whatever ended
last before. A set hour (a delivery, a visit) begins the chain: nothing done sooner moves it, also
where somebody's hours come only after it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from fabsched.model.foreseen import due_s
from fabsched.model.plan import Block, Course, Kind, Plan, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Activity, Run, Weekend
from fabsched.model.windows import NEVER

QUICKER_S = 30 * MINUTE_S
"""How much quicker something is imagined to be, where no other amount does more (our own choice)."""

TRIED_S = (QUICKER_S, *(minutes * MINUTE_S for minutes in (10, 60, 120)))
"""All amounts that are looked at: a little less may do where a place closes, or much be needed."""

MOST_TRIED = 30
"""So many links of the chain, the last ones, are looked at."""

COURSES_AT_100, COURSES_POWER = 180, 2.6
"""So many courses of 100 activities may be tried, and fewer of more: our own measurement. One takes
8 ms with 89 activities and 3.8 s with 927, and all of them shall take no more than two seconds."""

MOST_COURSES = len(TRIED_S) + 7
"""For one link: all amounts, and the halvings from two hours down to a minute."""

_BY_HANDS = frozenset({Why.HANDS, Why.HANDS_THEN_WAY, Why.FIRST, Why.FIRST_THEN_WAY})
_BY_CREW = frozenset({Why.CREW, Why.CREW_THEN_WAY, Why.CREW_THEN_COMES})
_BY_NEEDS = frozenset({Why.AFTER, Why.BROUGHT})
_BY_MACHINE = frozenset({Why.MACHINE, Why.MACHINE_THEN_WAY})
_BY_THE_HOUR = frozenset(
    {
        *(Why.EARLIEST, Why.EXPECTED, Why.BEGINS, Why.PINNED, Why.PUT_OFF, Why.TO_ORDER),
        *(Why.EARLIEST_THEN_WAY, Why.EXPECTED_THEN_WAY, Why.BEGINS_THEN_WAY),
        *(Why.PINNED_THEN_WAY, Why.PUT_OFF_THEN_WAY, Why.TO_ORDER_THEN_WAY),
    }
)
_BY_ITSELF = frozenset({Why.STARTED, Why.RESUMED, Why.FAILED, Why.FOUND})


def chain(weekend: Weekend, course: Course) -> tuple[str, ...]:
    """Ids of the blocks of the chain that decides the finish, the latest first.

    Empty if the finish is never reached.

    Args:
        weekend: what was planned; its set hours begin the chain.
        course: what happens.
    """
    last = [
        block
        for block in course.blocks
        if block.end_s == course.finish_s == course.done_s.get(block.activity)
    ]
    if not last:
        return ()
    dues = {activity.id: due_s(activity) for activity in weekend.activities}
    links = _Links(course, dues)
    found = [last[-1]]
    while (before := links.before(found[-1])) is not None:
        found.append(before)
    return tuple(block.id for block in found)


@dataclass(frozen=True, slots=True)
class _Links:
    """Looks up what came before a block."""

    course: Course
    dues: Mapping[str, int]

    def before(self, block: Block) -> Block | None:
        """The block that held this one back; None if nothing did."""
        way = self._ended(self._way_to(block), block)
        if way is not None and way.end_s == block.start_s:
            return way
        if self._reason(block) in _BY_THE_HOUR:
            return None
        held = self._ended(self._named(block), block) or self._ended(self._any(block), block)
        return held if held and held.end_s > self._due_s(block) else None

    def _due_s(self, block: Block) -> int:
        """The hour it could not begin before; none for what was begun by then."""
        due_s = self.dues.get(block.activity, 0)
        return due_s if not any(b.start_s < block.start_s for b in self._own(block)) else 0

    def _ended(self, blocks: Iterable[Block], block: Block) -> Block | None:
        """The one that ended last, not after a block began; hands may watch what they started."""
        over = [b for b in blocks if _before(b, block) and b.id != block.id]
        return max(over, key=lambda b: (b.end_s, b.start_s), default=None)

    def _way_to(self, block: Block) -> Iterator[Block]:
        """The way somebody went to do it."""
        if block.kind is not Kind.TRAVEL:
            yield from (
                b
                for b in self.course.blocks
                if b.kind is Kind.TRAVEL and b.activity == block.activity
            )

    def _named(self, block: Block) -> Iterator[Block]:
        """Blocks its reason speaks of."""
        code = self._reason(block)
        if code in _BY_HANDS:
            yield from self._lane(block.resource)
        elif code in _BY_CREW:
            for each in (block.resource, *block.others):
                yield from self._lane(each)
        elif code in _BY_NEEDS:
            yield from self._needs(block)
        elif code in _BY_MACHINE:
            yield from self._on_machine(block)
        elif code in _BY_ITSELF:
            yield from self._own(block)

    def _any(self, block: Block) -> Iterator[Block]:
        """All that may have held it back."""
        yield from self._lane(block.resource)
        yield from self._needs(block)
        yield from self._on_machine(block)
        yield from self._own(block)

    def _reason(self, block: Block) -> Why:
        """A machine runs once hands have started it; for a way, why what it leads to begins."""
        if block.kind is Kind.RUN and not block.attended:
            return Why.STARTED
        if block.kind is not Kind.TRAVEL:
            return block.reason.code
        led_to = (b for b in self._own(block) if b.start_s >= block.end_s)
        return next(led_to, block).reason.code

    def _lane(self, resource: str) -> Iterator[Block]:
        return (b for b in self.course.blocks if b.resource == resource)

    def _own(self, block: Block) -> Iterator[Block]:
        if block.activity:
            yield from (
                b
                for b in self.course.blocks
                if b.activity == block.activity and b.kind is not Kind.TRAVEL
            )

    def _needs(self, block: Block) -> Iterator[Block]:
        needs = {need for b in (block, *self._own(block)) for need in b.needs}
        return (
            b
            for b in self.course.blocks
            if b.activity in needs - {block.activity} and b.kind is not Kind.TRAVEL
        )

    def _on_machine(self, block: Block) -> Iterator[Block]:
        """Runs on the machine of a run, and the hands that tended them."""
        machines = {b.resource for b in self._own(block) if b.kind is Kind.RUN}
        runs = {
            b.activity
            for b in self.course.blocks
            if b.kind is Kind.RUN and b.resource in machines and b.activity != block.activity
        }
        return (b for b in self.course.blocks if b.activity in runs and b.kind is not Kind.TRAVEL)


def precedes(course: Course) -> Mapping[str, tuple[str, ...]]:
    """Ids of the activities that wait for each activity, in order of their beginning, by its id."""
    found: dict[str, dict[str, None]] = {}
    for block in course.blocks:
        for need in block.needs:
            if need != block.activity:
                found.setdefault(need, {})[block.activity] = None
    return {need: tuple(waiting) for need, waiting in found.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What it would bring if something were quicker.

    Attributes:
        activity: id of what is quicker.
        quicker_s: by how much, in seconds of its likely time.
        sooner_s: how much sooner all would be done if all goes as expected; below zero if later,
            which happens where an earlier end lets something else go first.
    """

    activity: str
    quicker_s: int
    sooner_s: int


def gains(weekend: Weekend, plan: Plan, course: Course) -> tuple[Gain, ...]:
    """What would move the finish most for what it takes if it were quicker, that first.

    Of several amounts the one that does most for what it takes is told, the usual one on a tie.
    Where a little brings much (a place is reached before it closes), only as much as that takes.
    In the order the same measure decides, what is won by what is shaved off: half an hour less that
    brings half an hour stands before two hours less that bring one; on a tie, what wins more.

    Args:
        weekend: what was planned.
        plan: what was decided.
        course: its nominal course; only what is on the deciding chain is looked at, the last links
            first, and of a large weekend only so many that it does not take long: maybe none.
    """
    blocks = {block.id: block for block in course.blocks}
    on_chain = dict.fromkeys(blocks[ident].activity for ident in chain(weekend, course))
    usual = nominal(weekend).seconds
    able = [activity for activity in on_chain if activity in usual]
    trials = [
        _Trial(weekend, plan, course.finish_s, min(usual[activity]) - 1, activity)
        for activity in able[: most_links(len(weekend.activities))]
    ]
    found = [trial.best() for trial in trials]
    return tuple(sorted(found, key=lambda gain: (-_worth(gain), -gain.sooner_s, gain.activity)))


def most_links(activities: int) -> int:
    """How many links of the chain are looked at in a weekend of so many activities.

    >>> most_links(40), most_links(100), most_links(200), most_links(500)
    (30, 16, 2, 0)
    """
    courses = COURSES_AT_100 * (100 / max(1, activities)) ** COURSES_POWER
    return min(MOST_TRIED, int(courses / MOST_COURSES))


def _worth(gain: Gain) -> float:
    """What is won by what is shaved off."""
    return gain.sooner_s / max(1, gain.quicker_s)


@dataclass(frozen=True, slots=True)
class _Trial:
    """Looks at what comes of it if one activity is quicker, by `most_s` at most."""

    weekend: Weekend
    plan: Plan
    finish_s: int
    most_s: int
    activity: str

    def best(self) -> Gain:
        """The amount that does most for what it takes."""
        amounts = dict.fromkeys(min(each, self.most_s) for each in TRIED_S)
        found = [self._gain(quicker_s) for quicker_s in amounts]
        best = max(found, key=_worth)
        return best if best.sooner_s <= best.quicker_s else self._least(best)

    def _least(self, gain: Gain) -> Gain:
        """The fewest whole minutes that bring the leap, if more of them bring no less."""
        short, best = 0, gain
        while best.quicker_s - short * MINUTE_S > MINUTE_S:
            middle = (short + -(-best.quicker_s // MINUTE_S)) // 2
            tried = self._gain(middle * MINUTE_S)
            if tried.sooner_s - tried.quicker_s >= gain.sooner_s - gain.quicker_s:
                best = tried
            else:
                short = middle
        return best

    def _gain(self, quicker_s: int) -> Gain:
        """It is known to be quicker: so it is begun in hours that were too short for it before."""
        activities = tuple(
            _quicker(each, quicker_s) if each.id == self.activity else each
            for each in self.weekend.activities
        )
        weekend = replace(self.weekend, activities=activities)
        finish_s = replay(weekend, self.plan, nominal(weekend)).finish_s
        sooner_s = self.finish_s - finish_s if finish_s < NEVER else 0
        return Gain(activity=self.activity, quicker_s=quicker_s, sooner_s=sooner_s)


def _quicker(activity: Activity, seconds: int) -> Activity:
    """The same with a likely time so much shorter."""
    if isinstance(activity, Run):
        choices = (replace(c, seconds=_shorter(c.seconds, seconds)) for c in activity.choices)
        return replace(activity, choices=tuple(choices))
    return replace(activity, seconds=_shorter(activity.seconds, seconds))


def _shorter(spread: Spread, seconds: int) -> Spread:
    likely = max(0.0, spread.likely - seconds)
    return Spread(min(spread.low, likely), likely, spread.high)


def _before(first: Block, block: Block) -> bool:
    """Whether one block was over when another began, or hands began it that then watched it."""
    started = first.kind is Kind.TEND and block.kind is Kind.RUN and not block.attended
    watched = started and first.activity == block.activity and first.start_s < block.start_s
    return first.end_s <= block.start_s or watched
