"""A plan and what follows from it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from fabsched.model.errors import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """An order of urgency, carried out by the dispatch rule of `model.replay`.

    Attributes:
        order: ids of all activities that are carried out, the most urgent first.
        dropped: ids of activities that are left out.
    """

    order: tuple[str, ...]
    dropped: frozenset[str] = frozenset()


class Kind(StrEnum):
    """What a block on the timeline is."""

    RUN = "run"
    TEND = "tend"
    WORK = "work"
    TRAVEL = "travel"
    GATE = "gate"


class Why(StrEnum):
    """Why a block starts when it does. The wording table's `[why]` has a template for each."""

    FIRST = "first"
    FIRST_THEN_WAY = "first-then-way"
    AFTER = "after"
    BROUGHT = "brought"
    MACHINE = "machine"
    MACHINE_THEN_WAY = "machine-then-way"
    HANDS = "hands"
    HANDS_THEN_WAY = "hands-then-way"
    KEPT_FREE = "kept-free"
    CREW = "crew"
    CREW_THEN_WAY = "crew-then-way"
    CREW_THEN_COMES = "crew-then-comes"
    OPENS = "opens"
    UP = "up"
    UP_THEN_WAY = "up-then-way"
    MAY_RUN = "may-run"
    FITS = "fits"
    FITS_WHO = "fits-who"
    FITS_PLACE = "fits-place"
    FITS_MACHINE = "fits-machine"
    FITS_STAY = "fits-stay"
    FITS_CREW = "fits-crew"
    EARLIEST = "earliest"
    EARLIEST_THEN_WAY = "earliest-then-way"
    EXPECTED = "expected"
    EXPECTED_THEN_WAY = "expected-then-way"
    BEGINS = "begins"
    BEGINS_THEN_WAY = "begins-then-way"
    PINNED = "pinned"
    PINNED_THEN_WAY = "pinned-then-way"
    PUT_OFF = "put-off"
    PUT_OFF_THEN_WAY = "put-off-then-way"
    TO_ORDER = "to-order"
    TO_ORDER_THEN_WAY = "to-order-then-way"
    RESUMED = "resumed"
    STARTED = "started"
    BEGUN = "begun"
    GOES_ON = "goes-on"
    FAILED = "failed"
    FOUND = "found"
    NEEDED_THERE = "needed-there"
    IN_TIME = "in-time"
    GOES_BACK = "goes-back"
    TOLD = "told"


class Doing(StrEnum):
    """What hands are at while something else waits for them.

    The wording table's `[doing]` has a template for each.
    """

    WORK = "work"
    START = "start"
    RESTART = "restart"
    CLEAR = "clear"
    STAY = "stay"
    NEAR = "near"
    BACK = "back"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a block starts when it does.

    Attributes:
        code: what held it until then.
        facts: values for the template of `code` (ids are given as names).
        doing: what the hands it waited for were at; told in the place of `{doing}`.
        cause: for a way, why it begins then and not before.
    """

    code: Why
    facts: Mapping[str, Fact] = field(default_factory=dict)
    doing: Doing | None = None
    cause: "Reason | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One uninterrupted stretch on one lane of the timeline.

    Attributes:
        id: unique; the activity's id for its main block, with a suffix for others
            (`lid.start`, `lid.clear`, `code#2`, `maker.travel.1`; `lift+bo` for the second of two
            people who lift).
        activity: id of the activity it belongs to; empty for the way back.
        kind: what it is.
        what: name shown.
        resource: id of the machine or person whose lane it is in.
        place: where; for travel, where it ends.
        start_s, end_s: moments.
        attended: for runs, whether hands stay all along.
        needs: ids of the activities it waits for.
        reason: why it starts then.
        last_start_s: latest start that keeps the odds above the wanted level or, where they are
            below it already, costs them no more than `last_cost`; None if there is none, since no
            weekend is done in time anyhow, or it was not asked for.
        last_cost: by how much starting then may lower the odds, 0 to 1; None where it keeps them
            above the wanted level.
        others: ids of the people who do it together with the one whose lane it is in.
    """

    id: str
    activity: str
    kind: Kind
    what: str
    resource: str
    place: str
    start_s: int
    end_s: int
    attended: bool = False
    needs: tuple[str, ...] = ()
    reason: Reason = field(default_factory=lambda: Reason(Why.FIRST))
    last_start_s: int | None = None
    last_cost: float | None = None
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What happens when a plan is carried out once.

    Attributes:
        blocks: in order of start.
        done_s: when each activity was done, by id.
        finish_s: when the last needed activity was done; `windows.NEVER` if that does not happen
            within the horizon.
    """

    blocks: tuple[Block, ...]
    done_s: Mapping[str, int]
    finish_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """The finish over many simulated weekends.

    Attributes:
        on_time: share of them done by the deadline.
        standard_error: of that share.
        p10_s, p50_s, p90_s: moments by which that share is done; None where it never is within the
            horizon.
        scenarios: how many were simulated.
        finishes_s: histogram as (moment, count) pairs, ascending.
        low, high: share done by the deadline if the world is less kind than in nine cases of ten,
            or kinder: how often things fail and how fast work goes is not known for sure. None
            where everything is taken as told, or it was not asked for.
        done_s: when the last of what is needed was done; None while any of it is left to do.
    """

    on_time: float
    standard_error: float
    p10_s: int | None
    p50_s: int | None
    p90_s: int | None
    scenarios: int
    finishes_s: tuple[tuple[int, int], ...] = ()
    low: float | None = None
    high: float | None = None
    done_s: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Solver:
    """What the solver says of the nominal course of a plan.

    Attributes:
        status: "optimal" if no schedule of what is carried out can finish earlier than the course,
            "feasible" if one might, "unknown" if that is not known.
        bound_s: no schedule of the nominal durations can finish earlier; None if unknown.
        gap: how far the finish of the course may be from the best, relative; None if unknown.
    """

    status: str
    bound_s: int | None
    gap: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A plan with everything a maker wants to know about it.

    Attributes:
        plan: the order of urgency.
        course: its nominal course, accepted by the checker.
        odds: on scenarios the planner has not seen.
        solver: see there.
        method: which rule or objective the chosen plan came from.
    """

    plan: Plan
    course: Course
    odds: Odds
    solver: Solver
    method: str
