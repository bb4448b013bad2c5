"""Layouts improved while somebody looks on: by strip packing or by the placer of pixels, as the bins are.

Strips know no holes, no outlines and nothing that stays free; the placer of pixels knows them all but is
coarser. A layout that gets better is better by one measure: fewer copies left out, then fewer sheets, then
smaller ones, then less of the last one (`worth.score_of`). How good it gets depends on how fast the computer
is: it never enters a plan that has to come out the same again, unless it is kept.
"""

from dataclasses import dataclass, replace
from time import monotonic

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.nest.place import without_small_holes
from fabsched.nest.rebuild import rebuilt
from fabsched.nest.records import Layout, Task
from fabsched.nest.strips import packed_again
from fabsched.nest.worth import USUAL, Effort

HALF = 0.5
"""Share of the time for the placer of pixels where strip packing may still better what it finds."""


def improved(
    standing: Layout, task: Task, effort: Effort = USUAL, watch: Watch = UNWATCHED
) -> Layout:
    """A layout at least as good as the one that stands.

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
    share, begun, best = _share(standing, task), monotonic(), standing
    if share:
        clock = _Clock(watch, begun, share * effort.seconds, effort.portions, 1.0 / share)
        best = rebuilt(standing, task, effort.seed, clock.ended)
    left_s = round(effort.seconds - (monotonic() - begun))
    if share < 1.0 and left_s > 0 and not watch.stopped():
        rest = replace(effort, seconds=left_s)
        best = packed_again(best, task, rest, watch)
    return best


def _share(standing: Layout, task: Task) -> float:
    """Share of the time for the placer of pixels: none for plain sheets, all where none is plain."""
    used = [task.bins[number] for number in {placement.bin for placement in standing.placements}]
    special = [bool(room.outline or room.keep_out) for room in used]
    hollow = any(item.holes for item in without_small_holes(task.items))
    if all(special):
        return 1.0
    return HALF if hollow or any(special) else 0.0


@dataclass(frozen=True, slots=True)
class _Clock:
    """Tells how much of the time is over, and when it is.

    Attributes:
        watch: hears of it.
        begun: when the work began.
        seconds: how long it may take.
        portions: how many portions of work are done at most; 0 for as many as the time allows.
        parts: how many times as long the whole takes.
    """

    watch: Watch
    begun: float
    seconds: float
    portions: int
    parts: float

    def ended(self, portion: int) -> bool:
        """Whether the time is over, the work is done or an end is wanted."""
        passed = (monotonic() - self.begun) / self.seconds
        self.watch.report(min(1.0, passed) / self.parts, "improving-layout")
        enough = bool(self.portions) and portion >= self.portions
        return enough or passed >= 1.0 or self.watch.stopped()
