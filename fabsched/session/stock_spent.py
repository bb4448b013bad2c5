"""What the runs of a log have taken from stock: what was made, and what was spoilt by failures."""

from collections.abc import Iterator
from dataclasses import dataclass

from fabsched.estimate.cut_sheet import Lying, visits
from fabsched.model.log import Event
from fabsched.model.state import State, Stint
from fabsched.session.log_lessons import HALF, with_late_failures

ENDED_WELL = frozenset({Event.FINISHED, Event.ACCEPTED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """A run that has ended.

    Attributes:
        run: its id, as the plan of that time named it.
        items: (part id, copies) on its bed or sheet.
        machine: where.
        share: how far it got, 0 to 1.
        failed: whether it came to nothing.
    """

    run: str
    items: tuple[tuple[str, int], ...]
    machine: str
    share: float
    failed: bool


def spent_by(state: State, ahead: frozenset[str]) -> Iterator[Spent]:
    """Runs that have ended, well or not.

    Args:
        state: what the log says.
        ahead: ids of what the plan still speaks of; what has stopped and lies on its machine is among
            it, and counts there.
    """
    lying = {stint.told for stint in state.uncleared.values() if stint.outcome is Event.FINISHED}
    for stint in with_late_failures(state.past):
        if not (stint.told in lying and stint.subject in ahead):
            yield Spent(
                run=stint.subject,
                items=stint.meant.items,
                machine=stint.meant.machine,
                share=_share(stint),
                failed=stint.outcome not in ENDED_WELL,
            )


def _share(stint: Stint) -> float:
    """How far it got: as was told, else by the clock; half of it where nothing is known."""
    if stint.outcome in ENDED_WELL:
        return 1.0
    if stint.share is not None:
        return stint.share
    by_clock = None if stint.taken_s is None else stint.meant.got_by(stint.taken_s)
    return HALF if by_clock is None else by_clock


def begun(lying: tuple[Lying, ...], share: float) -> frozenset[int]:
    """Numbers of the copies on a sheet that a laser has touched by a share of its time.

    Of what a laser does on a copy all counts as begun with its first line. All of them where it is not
    known what is done on them.

    Args:
        lying: everything on the sheet.
        share: how far the cut got, 0 to 1.
    """
    order = visits(lying)
    if not order:
        return frozenset(range(len(lying)))
    left_s = share * sum(visit.stretch.seconds.likely for visit in order)
    touched: set[int] = set()
    for visit in order:
        if left_s <= 0.0:
            break
        touched.add(visit.part)
        left_s -= visit.stretch.seconds.likely
    return frozenset(touched)
