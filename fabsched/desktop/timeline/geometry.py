"""Where things lie: time along x, lanes along y. No Qt here, so that it can be tested as numbers.

Time runs evenly in UTC; a local day on which the clocks change is simply 23 or 25 hours wide.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S
from fabsched.session.clock import local

STEPS_S = (
    15 * MINUTE_S,
    30 * MINUTE_S,
    HOUR_S,
    2 * HOUR_S,
    3 * HOUR_S,
    6 * HOUR_S,
    12 * HOUR_S,
    DAY_S,
)
"""Distances between marks on the hour scale, finest first; each divides a day."""

CLOSEST_S = 900
"""Zoomed in furthest, the view spans a quarter of an hour."""
MOST_GROWTH = 2.4
"""How much higher a block may grow, as a share of its least height (our own choice)."""
WIDEST_S = 14 * DAY_S
"""Zoomed out furthest, the view spans two weeks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A rectangle in pixels.

    Attributes:
        x, y: upper left corner.
        w, h: extent.
    """

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """Right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return self.y + self.h

    def holds(self, x: float, y: float) -> bool:
        """Whether the point lies inside or on the edge."""
        return self.x <= x <= self.right and self.y <= y <= self.bottom

    def between(self, left: float, right: float) -> "Rect":
        """The part between two x; of no width where nothing is left."""
        start = min(max(self.x, left), right)
        return Rect(x=start, y=self.y, w=max(0.0, min(self.right, right) - start), h=self.h)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Time along x.

    Attributes:
        start_s: moment at the left edge.
        left_px: x of that edge.
        width_px: how far time runs to the right, above zero.
        span_s: seconds over that width, above zero.
    """

    start_s: float
    left_px: float
    width_px: float
    span_s: float

    @property
    def px_s(self) -> float:
        """Pixels in a second."""
        return self.width_px / self.span_s

    @property
    def end_s(self) -> float:
        """Moment at the right edge."""
        return self.start_s + self.span_s

    @property
    def right_px(self) -> float:
        """X of the right edge."""
        return self.left_px + self.width_px

    def x(self, moment_s: float) -> float:
        """Where a moment lies."""
        return self.left_px + (moment_s - self.start_s) * self.px_s

    def moment_s(self, x: float) -> float:
        """Which moment lies there."""
        return self.start_s + (x - self.left_px) / self.px_s

    def zoomed(self, factor: float, around_px: float) -> "Scale":
        """Closer by a factor above one, wider below it; what lies at `around_px` stays there."""
        span_s = min(max(self.span_s / factor, CLOSEST_S), WIDEST_S)
        kept_s = self.moment_s(around_px)
        share = (around_px - self.left_px) / self.width_px
        return replace(self, start_s=kept_s - share * span_s, span_s=span_s)

    def moved(self, px: float) -> "Scale":
        """Later by that many pixels (earlier if negative)."""
        return replace(self, start_s=self.start_s + px / self.px_s)

    def kept_within(self, first_s: float, last_s: float) -> "Scale":
        """Moved as little as possible so that it does not look past either end.

        Where the view is wider than what there is, it starts at the first moment.
        """
        start_s = max(min(self.start_s, last_s - self.span_s), first_s)
        return replace(self, start_s=start_s)

    def revealing(self, start_s: float, end_s: float) -> "Scale":
        """Moved as little as possible so that the stretch is seen, its start before its end."""
        later = replace(self, start_s=max(self.start_s, end_s - self.span_s))
        return replace(later, start_s=min(later.start_s, start_s))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Extents the drawing is built from, in pixels; they follow the font.

    Attributes:
        line: height of a line of ordinary text.
        small: height of a line of small text.
        pad: the one distance everything keeps.
        gutter: width of the names on the left.
        extra: added to the height of every block, and to the strip of likely finishes.
    """

    line: float
    small: float
    pad: float
    gutter: float
    extra: float = 0.0

    def grown(self, lanes: int, height_px: float) -> "Sizes":
        """Lanes made higher where there is room, so that longer labels fit; never lower."""
        spare = height_px - Frame(sizes=self, lanes=lanes, width_px=0).height_px
        most = MOST_GROWTH * self.block
        return replace(self, extra=float(int(min(max(spare / (lanes + 1), 0.0), most))))

    @property
    def scale(self) -> float:
        """Height of the hour scale: days above hours, with room for the flags under them."""
        return 2 * self.line + self.small + 4 * self.pad

    @property
    def foot(self) -> float:
        """Height of the strip under a block that says whether hands are with it."""
        return self._least_foot + float(int(0.12 * self.extra))

    @property
    def _least_foot(self) -> float:
        return max(6.0, 0.5 * self.line)

    @property
    def block(self) -> float:
        """Height of a block: a name, a time and the foot."""
        return self.line + self.small + self._least_foot + self.pad + self.extra

    @property
    def lane(self) -> float:
        """Height of a lane: a block between two gaps, and the numbers of narrow ones under it."""
        return self.block + self.rail + 2 * self.pad

    @property
    def rail(self) -> float:
        """Height of the numbers under the blocks, with the lines that lead to them."""
        return self.small + self.pad

    @property
    def finish(self) -> float:
        """Height of the strip of likely finishes under the lanes."""
        return 2 * self.line + 2 * self.small + 3 * self.pad + self.extra


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where the lanes lie.

    Attributes:
        sizes: extents.
        lanes: how many lanes.
        width_px: of the whole drawing.
        scroll_px: how far the lanes are scrolled up under the scale.
    """

    sizes: Sizes
    lanes: int
    width_px: float
    scroll_px: float = 0.0

    @property
    def height_px(self) -> float:
        """Height that shows everything without scrolling."""
        return self.sizes.scale + self.lanes * self.sizes.lane + self.sizes.finish

    def lane(self, index: int) -> Rect:
        """The whole width of a lane."""
        top = self.sizes.scale + index * self.sizes.lane - self.scroll_px
        return Rect(x=0.0, y=top, w=self.width_px, h=self.sizes.lane)

    @property
    def finish(self) -> Rect:
        """The strip of likely finishes."""
        top = self.lane(self.lanes).y
        return Rect(x=0.0, y=top, w=self.width_px, h=self.sizes.finish)

    def lane_at(self, y: float) -> int | None:
        """Index of the lane at a height, if there is one."""
        if y < self.sizes.scale:
            return None
        index = int((y + self.scroll_px - self.sizes.scale) // self.sizes.lane)
        return index if 0 <= index < self.lanes else None

    def slot(self, index: int) -> Rect:
        """Where the blocks of a lane lie, over its whole width."""
        top = self.lane(index).y + self.sizes.pad
        return Rect(x=0.0, y=top, w=self.width_px, h=self.sizes.block)


def stretch(slot: Rect, scale: Scale, start_s: float, end_s: float, least_px: float) -> Rect:
    """Where a stretch of time lies in a slot, at least so wide."""
    x = scale.x(start_s)
    return Rect(x=x, y=slot.y, w=max(scale.x(end_s) - x, least_px), h=slot.h)


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the hour scale.

    Attributes:
        moment_s: when.
        midnight: whether a local day begins there.
    """

    moment_s: int
    midnight: bool


def step_s(px_s: float, least_px: float) -> int:
    """The finest step whose marks lie at least so many pixels apart; a day if none do."""
    return next((step for step in STEPS_S if step * px_s >= least_px), DAY_S)


@lru_cache(maxsize=4)
def ticks(zone: ZoneInfo, start_s: float, end_s: float, every_s: int) -> tuple[Tick, ...]:
    """Marks at round local times inside [start, end].

    Local times that are skipped when the clocks go forward get no mark; those that come twice
    when they go back get one each.

    Args:
        zone: zone of the local times.
        start_s: the first moment.
        end_s: the last one.
        every_s: one of `STEPS_S`.
    """
    found = {
        moment_s: Tick(moment_s, midnight=second == 0)
        for day in _local_days(zone, start_s, end_s)
        for second in range(0, DAY_S, every_s)
        for moment_s in _moments(day + timedelta(seconds=second), zone)
        if start_s <= moment_s <= end_s
    }
    return tuple(found[moment_s] for moment_s in sorted(found))


def days(zone: ZoneInfo, start_s: float, end_s: float) -> tuple[tuple[int, int], ...]:
    """Every local day that meets [start, end], as (start, end) moments."""
    starts = [
        _day_start(day, zone) for day in _local_days(zone, start_s, end_s + DAY_S + 2 * HOUR_S)
    ]
    return tuple(span for span in pairwise(starts) if span[1] > start_s and span[0] < end_s)


def _local_days(zone: ZoneInfo, start_s: float, end_s: float) -> Iterator[datetime]:
    """Midnights, without zone, of every local day that meets [start, end]."""
    day = _midnight(int(start_s), zone)
    last = _midnight(int(end_s), zone)
    while day <= last:
        yield day
        day += timedelta(days=1)


def _midnight(moment_s: int, zone: ZoneInfo) -> datetime:
    there = local(moment_s, zone)
    return datetime(there.year, there.month, there.day)  # noqa: DTZ001 - wall clock on purpose


def _moments(wall: datetime, zone: ZoneInfo) -> set[int]:
    """All moments at which the clocks on the wall show this: none, one or two."""
    both = (int(wall.replace(tzinfo=zone, fold=fold).timestamp()) for fold in (0, 1))
    return {moment_s for moment_s in both if local(moment_s, zone).replace(tzinfo=None) == wall}


def _day_start(day: datetime, zone: ZoneInfo) -> int:
    """The first moment of a local day; where midnight is skipped, the end of the gap.

    `fold=1` reads a skipped time with the offset after the gap, which lands before it, so the
    later of both readings is taken then.
    """
    exact = _moments(day, zone)
    if exact:
        return min(exact)
    return max(int(day.replace(tzinfo=zone, fold=fold).timestamp()) for fold in (0, 1))
