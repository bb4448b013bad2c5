"""The checker's rules of machines that run alone: how they are started, watched, held and cleared.

Written from the words of `model.weekend` alone, like the rest of the checker.
"""

from collections.abc import Iterator
from itertools import pairwise

from fabsched.model.plan import Block, Kind
from fabsched.model.units import whole_s
from fabsched.model.weekend import Hands, Run
from fabsched.schedule.checked_view import View


def run_has_its_blocks(view: View, run: Run) -> Iterator[str]:
    """A run has one machine block and a block for each time hands are at it."""
    machine, tends = view.of(run.id, Kind.RUN), view.of(run.id, Kind.TEND)
    start_s, watch_s, clear_s = tending_s(view, run)
    wanted = 1 if run.attended else (start_s + watch_s > 0) + (clear_s > 0)
    if len(machine) != (0 if only_waits(run) else 1):
        yield f"{run.id} has {len(machine)} machine blocks"
    elif machine and machine[0].attended != run.attended:
        yield f"{run.id} is shown as attended={machine[0].attended}"
    if (len(tends) < 1) if run.attended else (len(tends) != wanted):
        yield f"{run.id} has {len(tends)} tends"


def tending_s(view: View, run: Run) -> tuple[int, int, int]:
    """Hands to start, watch and clear a run where it is; if it goes on, what is left."""
    lanes = {block.resource for block in view.of(run.id, Kind.RUN)}
    lanes |= {run.going.machine} if run.going else set()
    mine = next((run.at(choice) for choice in run.choices if choice.machine in lanes), run)
    if run.going:
        by = {hands.id for hands in view.weekend.hands}
        return 0, run.going.watch_s if run.going.by in by else 0, mine.clear_s
    watch_s = 0 if run.attended else min(mine.watch_s, whole_s(mine.choices[0].seconds.likely))
    return mine.start_s, watch_s, mine.clear_s


def only_waits(run: Run) -> bool:
    """Whether it was started before and has nothing left but to be cleared."""
    return run.going is not None and whole_s(run.going.seconds.likely) == 0


def machines_wait_to_be_cleared(view: View) -> Iterator[str]:
    """From the hands that start a run to the hands that clear it, no other run holds the machine."""
    for station in view.weekend.stations:
        held = sorted(_holding(view, station.id))
        for (_, end, before), (start, _, after) in pairwise(held):
            if start < end:
                yield f"{station.id} is held by {before} when {after} starts"


def _holding(view: View, machine: str) -> Iterator[tuple[int, int, str]]:
    """From when to when each run has the machine; what goes on already has it from the beginning."""
    begin_s = view.weekend.begin_s
    runs = (run for run in view.carried if isinstance(run, Run) and run.going)
    going = {run.id for run in runs if run.going and run.going.machine == machine}
    for ident in going:
        yield begin_s, max((b.end_s for b in view.of(ident, *Kind)), default=begin_s), ident
    for block in (b for b in view.lane(machine) if b.activity not in going):
        spans = [block, *view.of(block.activity, Kind.TEND)]
        yield min(b.start_s for b in spans), max(b.end_s for b in spans), block.activity


def runs_are_tended(view: View) -> Iterator[str]:
    """Hands start a run right before it and clear it after; attended ones have hands all along."""
    for run in (a for a in view.carried if isinstance(a, Run) and not only_waits(a)):
        (machine,) = view.of(run.id, Kind.RUN)
        tends = view.of(run.id, Kind.TEND)
        if run.attended:
            if (tends[0].start_s, tends[-1].end_s) != (machine.start_s, machine.end_s):
                yield f"{run.id} is not attended all along"
        else:
            yield from _starts_and_clears(view, run, machine, tends)


def _starts_and_clears(view: View, run: Run, machine: Block, tends: list[Block]) -> Iterator[str]:
    start_s, watch_s, clear_s = tending_s(view, run)
    if run.going and machine.start_s != view.weekend.begin_s:
        yield f"{run.id} does not go on from the beginning"
    if start_s + watch_s > 0 and tends[0].start_s + start_s != machine.start_s:
        yield f"{run.id} does not start when hands have started it"
    if watch_s > 0 and tends[0].end_s < machine.start_s + watch_s:
        yield f"{run.id} is not watched for {watch_s} s"
    if clear_s > 0 and tends[-1].start_s < machine.end_s:
        yield f"{run.id} is cleared before it ends"


def machine_s(view: View, run: Run) -> int:
    """Likely time of a run on the machine it takes; what is left of it if it goes on."""
    if run.going:
        return whole_s(run.going.seconds.likely)
    (block,) = view.of(run.id, Kind.RUN)
    choice = next(c for c in run.choices if c.machine == block.resource)
    return whole_s(choice.seconds.likely)


def somebody_stays_near(view: View) -> Iterator[str]:
    """Whoever starts a run that asks for it goes nowhere else until the machine stops."""
    for run in (a for a in view.carried if isinstance(a, Run) and not a.attended):
        for machine in view.of(run.id, Kind.RUN):
            mine = next(run.at(each) for each in run.choices if each.machine == machine.resource)
            able = _who_stays(view, run, machine) if mine.stays else []
            faults = [_leaves(view, person, run, machine) for person in able]
            if faults and all(faults):
                yield f"{run.id}: {faults[0]}"


def _who_stays(view: View, run: Run, machine: Block) -> list[Hands]:
    """Whoever started it; anybody, if that took no hands; nobody, if it is not known."""
    starts = [b for b in view.of(run.id, Kind.TEND) if b.start_s <= machine.start_s]
    by = run.going.by if run.going else "".join(block.resource for block in starts[:1])
    return [person for person in view.weekend.hands if person.id == by or not (by or run.going)]


def _leaves(view: View, person: Hands, run: Run, machine: Block) -> str:
    """Why somebody cannot have stayed near a machine while it ran; empty if they can."""
    here = person.at or person.base
    for block in (b for b in view.lane(person.id) if b.kind is Kind.TRAVEL):
        if machine.start_s < block.end_s and block.start_s < machine.end_s:
            return f"{person.id} leaves {machine.place} while it runs"
        here = block.place if block.end_s <= machine.start_s else here
    if here != machine.place:
        return f"{person.id} is not at {machine.place} while it runs"
    site = view.site_windows(machine.place)
    near = site - person.away if here == person.base else site & person.windows
    whole = any(start <= machine.start_s and machine.end_s <= end for start, end in near)
    return "" if whole or run.going else f"{person.id} cannot stay at {machine.place} while it runs"
