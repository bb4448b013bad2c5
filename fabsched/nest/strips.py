"""Layouts improved by strip packing: by our own search or, where parts have many corners, by a library.

Both know strips without an end, no holes, nothing that stays free and one gap. So bins with an outline of
their own, with areas kept out, or with parts inside of parts are left as they are. What comes of it is
checked.
"""

import pickle
import queue
import subprocess
import sys
import threading
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from importlib.util import find_spec
from time import monotonic
from typing import IO

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.nest.nofit import SNUG_MM
from fabsched.nest.place import layout_faults
from fabsched.nest.poses import MITRE, ROUND
from fabsched.nest.records import Layout, Placement, Ring, Task
from fabsched.nest.settle import settled_layout
from fabsched.nest.strip_child import Lying, Packing, StripTask
from fabsched.nest.tight import few_corners, tightened
from fabsched.nest.worth import Effort, Score, score_of

START = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from fabsched.nest.strip_child import serve; serve()"
)
"""What the child runs: it looks for modules where its parent does."""
LOOK_S = 0.2
"""How often somebody who wants an end is listened to."""
OVERRUN = 1.5
"""The library may take so many times as long as it was given (measured: up to a quarter longer)."""
SHORTEST_S = 2
"""The library finds nothing of worth in less."""
FULL = 0.88
"""Share of a bin that is tried to be filled at first (our own choice)."""
FULLER = 0.08
"""How much more of it than it was is tried to be filled after that, as a share of its area."""


def improvable() -> bool:
    """Whether the library is there."""
    return find_spec("spyrrow") is not None


def packed_again(standing: Layout, task: Task, effort: Effort, watch: Watch = UNWATCHED) -> Layout:
    """A layout at least as good as the one that stands, by `worth.score_of`.

    Args:
        standing: a sound layout.
        task: what is laid out.
        effort: how long and how hard to try.
        watch: hears how far it is; when it says stop, the best so far is returned.

    Returns:
        The best layout that passed the check; the standing one if there is none better.
    """
    if not standing.placements:
        return standing
    search = _Search(standing, task, effort, watch, monotonic())
    search.empty_last()
    search.shorten_last()
    return search.best


@dataclass(slots=True)
class _Search:
    best: Layout
    task: Task
    effort: Effort
    watch: Watch
    begun: float

    @property
    def left_s(self) -> int:
        """Whole seconds that are left; none once an end is wanted."""
        if self.watch.stopped():
            return 0
        return int(self.effort.seconds - (monotonic() - self.begun))

    def empty_last(self) -> None:
        """Move what lies in the last bin into the others, as long as that succeeds."""
        number = 0
        while number < self.best.bins - 1 and self.left_s > 2 * SHORTEST_S:
            share_s = max(SHORTEST_S, self.left_s // (2 * (self.best.bins - number)))
            if not any(self._filled_up(number, more, share_s) for more in self._rooms(number)):
                number += 1

    def _rooms(self, number: int) -> list[float]:
        """Areas in mm^2 of what may be added to a bin: an ambitious one, and a modest one."""
        wide, high = self.task.bins[number].size_mm
        held = sum(self._areas()[p.id] for p in self._in(number))
        rooms = {FULL * wide * high - held, FULLER * wide * high}
        return sorted((room for room in rooms if room > 0.0), reverse=True)

    def _areas(self) -> dict[str, float]:
        return {item.id: _area_mm2(item.outline) for item in self.task.items}

    def _filled_up(self, number: int, room_mm2: float, seconds: int) -> bool:
        """Whether copies of the last bin found room in this one."""
        last = self.best.bins - 1
        if number >= last:
            return False
        moved = self._portion(self._in(last), room_mm2)
        if not moved or self.left_s < SHORTEST_S:
            return False
        packing = self._packed(number, [*self._in(number), *moved], seconds, first=True)
        if packing is None:
            return False
        chosen = {(p.id, p.copy) for p in packing}
        rest = [p for p in self.best.placements if (p.id, p.copy) not in chosen]
        return self._take([*rest, *packing])

    def _portion(self, copies: Sequence[Placement], room_mm2: float) -> list[Placement]:
        """The largest copies that an area may have room for."""
        areas, taken = self._areas(), []
        for placement in sorted(copies, key=lambda p: -areas[p.id]):
            if areas[placement.id] <= room_mm2:
                room_mm2 -= areas[placement.id]
                taken.append(placement)
        return taken

    def shorten_last(self) -> None:
        """Pack the last bin again."""
        last, seconds = self.best.bins - 1, self.left_s
        if seconds < SHORTEST_S:
            return
        packing = self._packed(last, self._in(last), seconds)
        if packing is not None:
            self._take([*(p for p in self.best.placements if p.bin != last), *packing])

    def _in(self, number: int) -> list[Placement]:
        return [p for p in self.best.placements if p.bin == number]

    def _packed(
        self, number: int, copies: Sequence[Placement], seconds: int, *, first: bool = False
    ) -> list[Placement] | None:
        """Copies packed into a bin; None if the library does not know such bins, or found no room.

        With `first` the first packing that has room is taken, else the shortest.
        """
        room = self.task.bins[number]
        if room.outline or room.keep_out or self._nested(copies):
            return None
        gap_mm = self.task.gap_mm
        strip = StripTask(
            shapes=tuple(self._shapes(copies)),
            height_mm=room.size_mm[1] + 2 * gap_mm,
            gap_mm=gap_mm,
            seconds=seconds,
            threads=self.effort.threads,
            seed=self.effort.seed,
            widest_mm=room.size_mm[0] + 2 * gap_mm,
            lying=() if first else tuple(_lying(copies, gap_mm)),
        )
        if not few_corners(strip) and not improvable():
            return None
        found, search = None, tightened if few_corners(strip) else packings
        for packing in search(strip, _Part(self.watch, self.begun, self.effort.seconds)):
            if packing.length_mm <= strip.widest_mm + SNUG_MM:
                found = packing
                if first:
                    break
        return list(_placed(found.lying, copies, number, gap_mm)) if found else None

    def _nested(self, copies: Sequence[Placement]) -> bool:
        """Whether one copy lies within the box of another that has holes."""
        known = {item.id: item for item in self.task.items}
        boxes = [(p, p.outline_mm(known[p.id].outline)) for p in copies]
        hollow = [(p, ring) for p, ring in boxes if known[p.id].holes]
        return any(
            a is not b
            and bool((ring.min(axis=0) > outer.min(axis=0)).all())
            and bool((ring.max(axis=0) < outer.max(axis=0)).all())
            for a, outer in hollow
            for b, ring in boxes
        )

    def _shapes(
        self, copies: Sequence[Placement]
    ) -> Iterator[tuple[str, Ring, int, tuple[float, ...]]]:
        count = Counter(p.id for p in copies)
        for item in self.task.items:
            if count[item.id]:
                turns = tuple(item.turns_deg or self.task.turns)
                yield item.id, _snug(item.outline), count[item.id], turns

    def _take(self, placements: Iterable[Placement]) -> bool:
        """Keep a layout if it is sound and better."""
        items, bins, gap_mm = self.task.items, self.task.bins, self.task.gap_mm
        fresh = replace(self.best, placements=tuple(placements))
        pushed = settled_layout(fresh, items, bins, gap_mm)
        for layout in (pushed, fresh):
            better = self._score(layout) < self._score(self.best)
            fuller = self._fuller(layout)
            if (better or fuller) and not layout_faults(layout, items, bins, gap_mm):
                self.best = layout
                return True
        return False

    def _score(self, layout: Layout) -> Score:
        return score_of(layout, self.task.items, self.task.bins)

    def _fuller(self, layout: Layout) -> bool:
        """Whether the last bin holds less than it did, though it is not emptied yet."""
        last = self.best.bins - 1
        held = sum(p.bin == last for p in layout.placements)
        return layout.bins <= self.best.bins and held < len(self._in(last))


@dataclass(frozen=True, slots=True)
class _Part:
    """A watch that tells how much of the time is over."""

    watch: Watch
    begun: float
    seconds: float

    def report(self, done: float, stage: str) -> None:  # noqa: ARG002 - time tells better
        """Pass on how much of the time is over."""
        self.watch.report(min(1.0, (monotonic() - self.begun) / self.seconds), stage)

    def stopped(self) -> bool:
        """Whether the user wants an end."""
        return self.watch.stopped()


def _placed(
    lying: Iterable[Lying], copies: Sequence[Placement], number: int, gap_mm: float
) -> Iterator[Placement]:
    """Copies where the library put them; it leaves the gap at the border of the strip, too."""
    names: defaultdict[str, list[int]] = defaultdict(list)
    for placement in copies:
        names[placement.id].append(placement.copy)
    for ident, turn_deg, x, y in lying:
        yield Placement(
            id=ident,
            copy=names[ident].pop(0),
            bin=number,
            x_mm=x - gap_mm,
            y_mm=y - gap_mm,
            turn_deg=turn_deg % 360,
        )


def _lying(copies: Iterable[Placement], gap_mm: float) -> Iterator[Lying]:
    """Where copies lie, in the library's terms."""
    for p in copies:
        yield p.id, p.turn_deg, p.x_mm + gap_mm, p.y_mm + gap_mm


def _area_mm2(outline: Ring) -> float:
    return float(CrossSection([np.array(outline)], FillRule.NonZero).area())


def _snug(outline: Ring) -> Ring:
    """A border a little smaller; as it is where nothing would be left."""
    area = CrossSection([np.array(outline, dtype=np.float64)], FillRule.NonZero)
    pieces = area.offset(-SNUG_MM, JoinType.Miter, MITRE, ROUND).decompose()
    if len(pieces) != 1:
        return outline
    rings = pieces[0].to_polygons()
    x_y = max(rings, key=lambda ring: float(np.ptp(ring[:, 0])))
    return tuple((float(x), float(y)) for x, y in x_y)


def packings(task: StripTask, watch: Watch = UNWATCHED) -> Iterator[Packing]:
    """Ever better packings of a strip, as the library finds them.

    Args:
        task: what is packed.
        watch: hears that it goes on; when it says stop, the library is ended.
    """
    with subprocess.Popen(  # noqa: S603 - our own interpreter on our own code
        [sys.executable, "-c", START],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    ) as child:
        assert child.stdin is not None  # noqa: S101 - piped above, for the type checker
        assert child.stdout is not None  # noqa: S101 - likewise
        try:
            with suppress(OSError):  # a child that is gone already is seen by its missing answer
                child.stdin.write(pickle.dumps(sys.path) + pickle.dumps(task))
                child.stdin.flush()
            yield from _heard(child.stdout, task.seconds * OVERRUN + 5.0, watch)
        finally:
            child.kill()


def _heard(from_child: IO[bytes], limit_s: float, watch: Watch) -> Iterator[Packing]:
    """What the child tells until it ends, the time is up or an end is wanted."""
    told: queue.Queue[Packing | None] = queue.Queue()
    threading.Thread(target=_listen, args=(from_child, told), daemon=True).start()
    end = monotonic() + limit_s
    while monotonic() < end and not watch.stopped():
        watch.report(0.0, "improving-layout")
        with suppress(queue.Empty):
            packing = told.get(timeout=LOOK_S)
            if packing is None:
                return
            yield packing


def _listen(from_child: IO[bytes], told: "queue.Queue[Packing | None]") -> None:
    try:
        while True:
            told.put(pickle.load(from_child))  # noqa: S301 - our own child wrote it
    except (EOFError, OSError, ValueError, pickle.UnpicklingError):
        told.put(None)  # the child has ended
