"""What is on the timeline: lanes, closed hours, stretches on which a machine is held, threads.

Made once for each answer, without Qt and without pixels; painting and picking both read it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from zoneinfo import ZoneInfo

from fabsched.desktop.timeline.past import Past
from fabsched.desktop.timeline.steps import Step, steps_of
from fabsched.desktop.timeline.tails import tails_of
from fabsched.model.plan import Answer, Block, Kind, Odds
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Hands, Station, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.schedule.chains import chain

BEFORE_S, AFTER_S = HOUR_S // 2, 3 * HOUR_S
"""Shown before the first and after the last thing worth seeing."""


LATE_S = 12 * HOUR_S
"""So far past the deadline one looks for where nine in ten weekends are done; what is later is late
by days, and would press everything else flat (our own choice)."""


class LaneKind(StrEnum):
    """Whose lane it is."""

    MACHINE = "machine"
    PERSON = "person"


class Shut(StrEnum):
    """Why nothing starts in a shaded stretch."""

    CLOSED = "closed"
    QUIET = "quiet"
    OFF = "off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shade:
    """A stretch of closed hours.

    Attributes:
        start_s, end_s: moments.
        why: what is closed.
    """

    start_s: int
    end_s: int
    why: Shut


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A stretch on which a machine is blocked though nothing runs.

    Attributes:
        activity: id of the run it belongs to.
        start_s, end_s: moments.
        clearing: whether the run is over and waits to be cleared; else it is being set up.
    """

    activity: str
    start_s: int
    end_s: int
    clearing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One machine or one person.

    Attributes:
        id: of the machine or person.
        title: name shown.
        note: where it stands or where they are based.
        kind: whose lane it is.
        shades, blocks, holds: in order of start.
        sorts: of each block, a number that blocks which look alike share.
    """

    id: str
    title: str
    note: str
    kind: LaneKind
    shades: tuple[Shade, ...]
    blocks: tuple[Block, ...]
    holds: tuple[Hold, ...] = ()
    sorts: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Sort the blocks once: a number is looked up quicker than what it stands for."""
        kinds = list(Kind)
        sorts = (2 * kinds.index(block.kind) + block.attended for block in self.blocks)
        object.__setattr__(self, "sorts", tuple(sorts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """Hands touching a machine: joins a person's lane to a machine's.

    Attributes:
        block: id of the person's block.
        hands: index of the person's lane.
        machine: index of the machine's lane.
        moment_s: where on both.
    """

    block: str
    hands: int
    machine: int
    moment_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """All of it.

    Attributes:
        zone: zone of every clock time shown.
        begin_s, deadline_s, horizon_s: of the weekend.
        finish_s: nominal finish; None if it is never done within the horizon.
        odds: where the finish lies over many weekends.
        lanes: machines first, then people.
        threads: hands touching machines.
        shown_s: first and last moment worth seeing.
        steps: all blocks told in order.
        numbers: number of each block's step, by id.
        tails: until when each block lasts in nine of ten cases, by id, where that is later.
        ends: id of the last block of each activity, by the activity's id.
        chain: ids of the blocks that decide the finish, the first one first.
        pinned: ids of the blocks the maker has pinned.
        past: what has happened, by id of its block.
        places: every block with the index of its lane, by id.
    """

    zone: ZoneInfo
    begin_s: int
    deadline_s: int
    horizon_s: int
    finish_s: int | None
    odds: Odds
    lanes: tuple[Lane, ...]
    threads: tuple[Thread, ...]
    shown_s: tuple[int, int]
    steps: tuple[Step, ...] = ()
    numbers: Mapping[str, int] = field(default_factory=dict)
    tails: Mapping[str, int] = field(default_factory=dict)
    ends: Mapping[str, str] = field(default_factory=dict)
    chain: tuple[str, ...] = ()
    pinned: frozenset[str] = frozenset()
    past: Mapping[str, Past] = field(default_factory=dict)
    places: Mapping[str, tuple[int, Block]] = field(default_factory=dict)

    def block(self, ident: str) -> Block | None:
        """The block of that id, if there is one."""
        return self.places[ident][1] if ident in self.places else None

    def lane_of(self, ident: str) -> int | None:
        """Index of the lane that block lies in, if there is one."""
        return self.places[ident][0] if ident in self.places else None


def scene(weekend: Weekend, answer: Answer, past: Iterable[Past] = ()) -> Scene:
    """Lay out an answer on lanes.

    Args:
        weekend: what was planned.
        answer: its plan; blocks of resources the weekend does not know are left out.
        past: what has happened before.
    """
    behind = {each.block.id: each for each in past}
    everything = (*(each.block for each in behind.values()), *answer.course.blocks)
    blocks = _by_resource(everything)
    tends = _tends(answer.course.blocks, {hands.id for hands in weekend.hands})
    lanes = (
        *(_machine_lane(weekend, station, blocks, tends) for station in weekend.stations),
        *(_person_lane(weekend, hands, blocks) for hands in weekend.hands),
    )
    finish_s = answer.course.finish_s if answer.course.finish_s < NEVER else None
    steps = steps_of(weekend, answer, {lane.id: lane.blocks for lane in lanes})
    places = {block.id: (i, block) for i, lane in enumerate(lanes) for block in lane.blocks}
    tails = tails_of(weekend, answer.course.blocks)
    done = {block.activity: block for block in answer.course.blocks if block.kind != Kind.TRAVEL}
    return Scene(
        zone=ZoneInfo(weekend.zone),
        begin_s=weekend.begin_s,
        deadline_s=weekend.deadline_s,
        horizon_s=weekend.horizon_s,
        finish_s=finish_s,
        odds=answer.odds,
        lanes=lanes,
        threads=_threads(lanes, tends),
        shown_s=_shown(weekend, answer, finish_s, everything),
        steps=steps,
        numbers={step.block.id: step.number for step in steps},
        tails={ident: until_s for ident, until_s in tails.items() if ident in places},
        ends={activity: block.id for activity, block in done.items()},
        chain=tuple(reversed(chain(weekend, answer.course))),
        pinned=frozenset(b.id for b in answer.course.blocks if b.activity in weekend.first),
        past=behind,
        places=places,
    )


def _by_resource(blocks: Iterable[Block]) -> Mapping[str, tuple[Block, ...]]:
    lanes: defaultdict[str, list[Block]] = defaultdict(list)
    for block in sorted(blocks, key=lambda block: (block.start_s, block.end_s, block.id)):
        lanes[block.resource].append(block)
    return {resource: tuple(found) for resource, found in lanes.items()}


def _tends(blocks: Iterable[Block], people: set[str]) -> Mapping[str, tuple[Block, ...]]:
    """Blocks in which hands start, watch or clear a run, by activity."""
    found: defaultdict[str, list[Block]] = defaultdict(list)
    for block in sorted(blocks, key=lambda block: block.start_s):
        if block.kind == Kind.TEND and block.resource in people:
            found[block.activity].append(block)
    return {activity: tuple(tends) for activity, tends in found.items()}


def _machine_lane(
    weekend: Weekend,
    station: Station,
    blocks: Mapping[str, tuple[Block, ...]],
    tends: Mapping[str, tuple[Block, ...]],
) -> Lane:
    own = blocks.get(station.id, ())
    return Lane(
        id=station.id,
        title=station.name,
        note=_place_name(weekend, station.place),
        kind=LaneKind.MACHINE,
        shades=_machine_shades(weekend, station),
        blocks=own,
        holds=tuple(hold for block in own for hold in _holds(block, tends)),
    )


def _person_lane(weekend: Weekend, hands: Hands, blocks: Mapping[str, tuple[Block, ...]]) -> Lane:
    closed = hands.windows.closed_within(weekend.begin_s, weekend.horizon_s)
    return Lane(
        id=hands.id,
        title=hands.name,
        note=_place_name(weekend, hands.base),
        kind=LaneKind.PERSON,
        shades=_shades(closed, Shut.OFF),
        blocks=blocks.get(hands.id, ()),
    )


def _place_name(weekend: Weekend, ident: str) -> str:
    return next((site.name for site in weekend.sites if site.id == ident), ident)


def _machine_shades(weekend: Weekend, station: Station) -> tuple[Shade, ...]:
    """Closing times of the place, then quiet hours of the machine while the place is open."""
    whole = (weekend.begin_s, weekend.horizon_s)
    site = next((site for site in weekend.sites if site.id == station.place), None)
    opened = site.windows.clipped(*whole) if site else Windows.always(*whole)
    quiet = opened & station.windows.closed_within(*whole)
    shades = (*_shades(opened.closed_within(*whole), Shut.CLOSED), *_shades(quiet, Shut.QUIET))
    return tuple(sorted(shades, key=lambda shade: shade.start_s))


def _shades(closed: Windows, why: Shut) -> tuple[Shade, ...]:
    return tuple(Shade(start_s=start, end_s=end, why=why) for start, end in closed)


def _holds(run: Block, tends: Mapping[str, tuple[Block, ...]]) -> tuple[Hold, ...]:
    """From the first hands on the machine to the run, and from the run until it is cleared."""
    if run.kind != Kind.RUN or not (own := tends.get(run.activity)):
        return ()
    before = [tend.start_s for tend in own if tend.start_s < run.start_s]
    after = [tend.end_s for tend in own if tend.end_s > run.end_s]
    spans = (
        *((start, run.start_s, False) for start in before[-1:]),
        *((run.end_s, end, True) for end in after[:1]),
    )
    return tuple(
        Hold(activity=run.activity, start_s=start, end_s=end, clearing=clearing)
        for start, end, clearing in spans
    )


def _threads(lanes: tuple[Lane, ...], tends: Mapping[str, tuple[Block, ...]]) -> tuple[Thread, ...]:
    hands = {lane.id: index for index, lane in enumerate(lanes) if lane.kind == LaneKind.PERSON}
    return tuple(
        Thread(block=tend.id, hands=hands[tend.resource], machine=index, moment_s=_touch(tend, run))
        for index, lane in enumerate(lanes)
        if lane.kind == LaneKind.MACHINE
        for run in lane.blocks
        for tend in tends.get(run.activity, ())
    )


def _touch(tend: Block, run: Block) -> int:
    """The middle of a short tending; where hands stay with the run, its start."""
    overlap = tend.start_s < run.end_s and run.start_s < tend.end_s
    return max(tend.start_s, run.start_s) if overlap else (tend.start_s + tend.end_s) // 2


def _shown(
    weekend: Weekend, answer: Answer, finish_s: int | None, blocks: Sequence[Block]
) -> tuple[int, int]:
    ends = [weekend.deadline_s, *(block.end_s for block in blocks)]
    ends += [] if finish_s is None else [finish_s]
    if answer.odds.p90_s is not None:
        ends.append(min(answer.odds.p90_s, weekend.deadline_s + LATE_S))
    starts = [weekend.begin_s, *(block.start_s for block in blocks)]
    return min(starts) - BEFORE_S, max(ends) + AFTER_S
