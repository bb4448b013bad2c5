"""Reasons are true: what a block is said to have waited for was over just then, or opened then."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from hypothesis import given, settings

from fabsched.model.plan import Block, Course, Doing, Kind, Plan, Reason, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Hands, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from tests.model.weekends import planned, planned_in_the_middle

THEN_WAY = {why for why in Why if why.endswith("-then-way")}
BUSY = {Why.HANDS, Why.HANDS_THEN_WAY, Why.CREW, Why.CREW_THEN_WAY, Why.CREW_THEN_COMES}
FREED = {Why.MACHINE, Why.MACHINE_THEN_WAY}
AT_ONCE = {Why.HANDS, Why.CREW, Why.MACHINE}
SET_HOUR = {Why.EARLIEST, Why.BEGINS, Why.PINNED, Why.PUT_OFF, Why.TO_ORDER}
SET_THEN_WAY = {
    *(Why.EARLIEST_THEN_WAY, Why.BEGINS_THEN_WAY, Why.PINNED_THEN_WAY, Why.PUT_OFF_THEN_WAY),
    Why.TO_ORDER_THEN_WAY,
}


@dataclass(frozen=True, slots=True)
class Audit:
    """Looks at what lies around the blocks of a course."""

    weekend: Weekend
    course: Course

    def is_true(self, block: Block, reason: Reason) -> bool:
        """Whether what a reason says can be seen in the course."""
        goes = len(self._outs(block)) > 1 or block.kind is Kind.TRAVEL
        if reason.code in THEN_WAY and not goes:
            return False
        return next(
            (tells(self, block, reason) for codes, tells in LOOKS if reason.code in codes), True
        )

    def _outs(self, block: Block) -> set[int]:
        """When it begins, and when those who do it set out for it."""
        hands = {block.resource, *block.others}
        if block.kind is Kind.RUN:
            hands = {b.resource for b in self._own(block) if b.kind is Kind.TEND}
        ways = [
            b
            for b in self.course.blocks
            if b.kind is Kind.TRAVEL
            and b.activity == block.activity
            and b.resource in hands
            and b.end_s <= block.start_s
        ]
        last = {way.resource: way.start_s for way in ways}
        return {block.start_s, *last.values()}

    def first(self, block: Block, _: Reason) -> bool:
        """It begins, or is set out for, as soon as the weekend does."""
        return self.weekend.begin_s in self._outs(block)

    def opens(self, block: Block, reason: Reason) -> bool:
        """What is named was closed until then."""
        name = next(str(reason.facts[key]) for key in ("what", "machine") if key in reason.facts)
        return self._opened(self._windows()[name], block.start_s)

    def gets_up(self, block: Block, reason: Reason) -> bool:
        """Who is named was not free until it begins, or until they set out."""
        windows = self._windows()[str(reason.facts["who"])]
        return any(self._opened(windows, out_s) for out_s in self._outs(block))

    def in_time(self, block: Block, _: Reason) -> bool:
        """What one sets out for begins once one is there."""
        return any(b.start_s >= block.end_s for b in self._own(block))

    def busy(self, block: Block, reason: Reason) -> bool:
        """What hands or a machine were at ended when this begins, or when somebody sets out."""
        done = [b for b in self._did(reason) if b.id != block.id and b.start_s <= block.start_s]
        at_once = reason.code in AT_ONCE and block.kind is not Kind.TRAVEL
        moments = {block.start_s} if at_once else self._outs(block)
        # What takes no time leaves no block behind.
        return not done or any(b.end_s in moments for b in done)

    def _did(self, reason: Reason) -> Iterator[Block]:
        """Blocks of that name, in the lane of whoever is named; a run is on a lane of its own."""
        who = reason.facts.get("who")
        anyhow = who is None or reason.doing is Doing.NEAR
        for block in self.course.blocks if anyhow else self._lane(str(who)):
            if block.what == reason.facts["what"]:
                yield block

    def ended(self, block: Block, reason: Reason) -> bool:
        """What was needed was done when it begins or is set out for; else it had to be brought."""
        outs = self._outs(block)
        ends = [self.course.done_s.get(need.id, -1) for need in self._named(reason)]
        if reason.code is Why.FOUND:
            ends = [b.end_s for b in self.course.blocks if b.what == reason.facts["what"]]
        if reason.code is not Why.BROUGHT:
            return any(end_s in outs for end_s in ends)
        ways_s = [0, *self.weekend.travel_s.values()]
        later_s = {a - b for a in ways_s for b in ways_s if a > b}
        return any(out_s - end_s in later_s for out_s in outs for end_s in ends)

    def set_hour(self, block: Block, reason: Reason) -> bool:
        """The hour set for it is when it begins, or when somebody sets out."""
        hours = {a.earliest_s for a in self._all() if a.id == block.activity}
        begins = reason.code in SET_HOUR and block.kind is not Kind.TRAVEL
        return bool(hours & ({block.start_s} if begins else self._outs(block)))

    def stopped(self, block: Block, _: Reason) -> bool:
        """Its machine stopped just then; what runs no time leaves no block behind."""
        runs = [b for b in self._own(block) if b.kind is Kind.RUN]
        return not runs or any(b.end_s in self._outs(block) for b in runs)

    def paused(self, block: Block, _: Reason) -> bool:
        """Something of it was done before by the same hands, who or whose place then paused."""
        pieces = [b for b in self._own(block) if b.resource == block.resource]
        return any(b.end_s < block.start_s for b in pieces)

    def too_short(self, block: Block, reason: Reason) -> bool:
        """The stretch it begins in is the first one that is long enough, and starts with it."""
        name = next(str(v) for k, v in reason.facts.items() if k in {"who", "what", "machine"})
        windows = self._windows()[name]
        return any(block.start_s <= start <= block.end_s for start, _ in windows)

    def too_short_for_all(self, block: Block, _: Reason) -> bool:
        """A moment before it would not have fitted into the hours that all of them share."""
        site = next(site for site in self.weekend.sites if site.id == block.place)
        windows = site.windows
        for hands in self.weekend.hands:
            if hands.id in {block.resource, *block.others}:
                windows &= hands.windows
        task = next(a for a in self._all() if a.id == block.activity)
        assert isinstance(task, Task)
        return windows.first_fit(block.start_s - 1, whole_s(task.seconds.likely)) == block.start_s

    def _own(self, block: Block) -> list[Block]:
        """Blocks of the same activity, ways apart."""
        blocks = self.course.blocks
        return [b for b in blocks if b.activity == block.activity and b.kind is not Kind.TRAVEL]

    def _all(self) -> tuple[Activity, ...]:
        return (*self.weekend.activities, *self.weekend.settled)

    def _named(self, reason: Reason) -> list[Activity]:
        return [a for a in self._all() if a.name == reason.facts["what"]]

    def _lane(self, who: str) -> Iterable[Block]:
        ident = next(h.id for h in self.weekend.hands if h.name == who)
        return [b for b in self.course.blocks if b.resource == ident]

    def _windows(self) -> Mapping[str, Windows]:
        lanes: tuple[Hands | Site | Station, ...]
        lanes = (*self.weekend.hands, *self.weekend.sites, *self.weekend.stations)
        return {lane.name: lane.windows for lane in lanes}

    @staticmethod
    def _opened(windows: Windows, moment_s: int) -> bool:
        return windows.is_open(moment_s) and not windows.is_open(moment_s - 1)


LOOKS: tuple[tuple[set[Why], Callable[[Audit, Block, Reason], bool]], ...] = (
    (BUSY | FREED, Audit.busy),
    ({Why.AFTER, Why.FOUND, Why.BROUGHT}, Audit.ended),
    (SET_HOUR | SET_THEN_WAY, Audit.set_hour),
    ({Why.FIRST, Why.FIRST_THEN_WAY}, Audit.first),
    ({Why.STARTED}, Audit.stopped),
    ({Why.OPENS, Why.MAY_RUN}, Audit.opens),
    ({Why.UP, Why.UP_THEN_WAY}, Audit.gets_up),
    ({Why.FITS_WHO, Why.FITS_PLACE, Why.FITS_MACHINE}, Audit.too_short),
    ({Why.FITS_CREW}, Audit.too_short_for_all),
    ({Why.RESUMED}, Audit.paused),
    ({Why.IN_TIME}, Audit.in_time),
)
"""What can be seen of each reason; the others say what is told or set."""


def check(weekend: Weekend, plan: Plan) -> None:
    """Every reason, and the reason of every way, can be seen in the course."""
    course = replay(weekend, plan, nominal(weekend))
    audit = Audit(weekend, course)
    for block in course.blocks:
        alone = block.kind is Kind.RUN and not block.attended and block.reason.code is not Why.BEGUN
        assert alone or audit.is_true(block, block.reason), (block, course)
        if block.reason.cause:
            assert audit.is_true(block, block.reason.cause), (block, course)


@settings(max_examples=150, deadline=None)
@given(planned())
def test_reasons_are_true(case: tuple[Weekend, Plan]) -> None:
    """What somebody was at ended just then; what opened was closed a second before.

    Several people, common tasks, machines, closed hours and set hours among them.
    """
    check(*case)


@settings(max_examples=100, deadline=None)
@given(planned_in_the_middle())
def test_reasons_are_true_in_the_middle(case: tuple[Weekend, Plan]) -> None:
    """The same where runs go on, people are away, and deliveries are late."""
    check(*case)
