"""Reasons are true: what a block is said to have waited for was over just then, or opened then."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hypothesis import given, settings

from fabsched.model.plan import Block, Course, Kind, Plan, Reason, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Hands, Site, Station, Weekend
from fabsched.model.windows import Windows
from tests.model.weekends import planned


@dataclass(frozen=True, slots=True)
class Audit:
    """Looks at what lies around the blocks of a course."""

    weekend: Weekend
    course: Course

    def is_true(self, block: Block, reason: Reason) -> bool:  # noqa: PLR0911 - a line for each code
        """Whether what a reason says can be seen in the course."""
        match reason.code:
            case Why.HANDS | Why.CREW | Why.HANDS_THEN_WAY | Why.CREW_THEN_WAY:
                return self._hands(block, reason)
            case Why.AFTER | Why.FOUND:
                return block.kind is Kind.TRAVEL or self._ended(block, reason, block.needs)
            case Why.MACHINE | Why.MACHINE_THEN_WAY:
                return self._machine(block, reason)
            case Why.OPENS:
                return self._opened(self._windows()[str(reason.facts["what"])], block.start_s)
            case Why.MAY_RUN:
                return self._opened(self._windows()[str(reason.facts["machine"])], block.start_s)
            case Why.UP | Why.UP_THEN_WAY:
                moment_s = self._set_out_s(block, str(reason.facts["who"]))
                return self._opened(self._windows()[str(reason.facts["who"])], moment_s)
            case Why.FITS_WHO | Why.FITS_PLACE | Why.FITS_MACHINE:
                return self._too_short(block, reason)
            case _:
                return True

    def _hands(self, block: Block, reason: Reason) -> bool:
        """Who is waited for ended something of that name when this begins, or when they set out.

        With several people somebody may wait beside what another then takes: that is not looked at.
        """
        if len(self.weekend.hands) > 1:
            return True
        who = str(reason.facts["who"])
        moment_s = self._set_out_s(block, who)
        done = [b for b in self._lane(who) if b.what == reason.facts["what"] and b.id != block.id]
        # What takes no time leaves no block behind.
        return not done or any(b.end_s == moment_s for b in done)

    def _ended(self, block: Block, reason: Reason, needs: tuple[str, ...]) -> bool:
        """What was needed is done, and neither long before nor after it is set out for this."""
        ways_s = max(self.weekend.travel_s.values(), default=0)
        ends = [self.course.done_s[need] for need in needs if need in self.course.done_s]
        named = {a.id for a in self.weekend.activities if a.name == reason.facts["what"]}
        return any(block.start_s - 2 * ways_s <= end_s <= block.start_s for end_s in ends) and bool(
            named & {*needs}
        )

    def _machine(self, block: Block, reason: Reason) -> bool:
        """What took the machine up was off it just then."""
        named = {a.id for a in self.weekend.activities if a.name == reason.facts["what"]}
        ends = [b.end_s for b in self.course.blocks if b.activity in named]
        ways_s = max(self.weekend.travel_s.values(), default=0)
        return any(block.start_s - ways_s <= end_s <= block.start_s for end_s in ends)

    def _set_out_s(self, block: Block, who: str) -> int:
        ways = (
            b.start_s
            for b in self._lane(who)
            if b.kind is Kind.TRAVEL and b.end_s == block.start_s and b.activity == block.activity
        )
        return next(ways, block.start_s)

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

    def _too_short(self, block: Block, reason: Reason) -> bool:
        """The stretch it begins in is the first one that is long enough, and starts with it."""
        name = next(str(v) for k, v in reason.facts.items() if k in {"who", "what", "machine"})
        windows = self._windows()[name]
        return any(block.start_s <= start <= block.end_s for start, _ in windows)


@settings(max_examples=150, deadline=None)
@given(planned())
def test_reasons_are_true(case: tuple[Weekend, Plan]) -> None:
    """What somebody was at ended just then; what opened was closed a second before."""
    weekend, plan = case
    course = replay(weekend, plan, nominal(weekend))
    audit = Audit(weekend, course)
    for block in course.blocks:
        assert audit.is_true(block, block.reason), (block, course)
        if block.reason.cause:
            assert audit.is_true(block, block.reason.cause), (block, course)
