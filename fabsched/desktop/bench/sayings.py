"""What can be said of a block, as things stand. No Qt here."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from fabsched.model.log import Entry, Event, Meant, holding
from fabsched.model.plan import Block, Kind
from fabsched.model.state import State
from fabsched.model.units import MINUTE_S
from fabsched.session.bench import Bench
from fabsched.session.sayings import Verb

LATER_S = 30 * MINUTE_S
"""How much later is proposed for what is delayed (our own choice)."""

NOTHING_KNOWN: Mapping[str, Meant] = MappingProxyType({})
"""What activities mean where there is no plan in hand."""


@dataclass(frozen=True, slots=True)
class Say:
    """One thing that can be said.

    Attributes:
        verb: what.
        code: how it is called, in the wording table's `[say]`.
        asks: whether there is more to say beside it.
    """

    verb: Verb
    code: str
    asks: bool = False


STARTED, DONE = Say(Verb.START, "say-started"), Say(Verb.FINISH, "say-done")
FAILED, FOUND = Say(Verb.FAIL, "say-failed", asks=True), Say(Verb.FOUND, "say-found")
BROKEN_OFF, LEFT_OUT = Say(Verb.CANCEL, "say-cancelled"), Say(Verb.CANCEL, "say-left-out")
DELAYED = Say(Verb.DELAY, "say-delayed", asks=True)
TAKEN_OFF = Say(Verb.FINISH, "say-taken-off")
LOST = Say(Verb.LOSE, "say-lost", asks=True)


def sayings(block: Block, state: State) -> tuple[Say, ...]:
    """What can be said of a block of a plan, the likeliest first; nothing of ways."""
    if block.kind is Kind.TRAVEL or not block.activity:
        return ()
    going, lies = _stands(block, state)
    step = _step(block)
    if step == "clear" or (lies and not going):
        return (TAKEN_OFF, FAILED, DELAYED)
    begin = () if going else (STARTED,)
    end = () if step == "start" and not going else (DONE,)
    wrong: tuple[Say, ...] = (FAILED,) if block.kind in {Kind.RUN, Kind.TEND} else ()
    wrong += (FOUND,) if block.kind is Kind.GATE else ()
    return (*begin, *end, *wrong, BROKEN_OFF if going else LEFT_OUT, DELAYED)


def by_hand_now(block: Block, state: State) -> tuple[Say, ...]:
    """The same with one click each, for what is to be done now."""
    return tuple(
        say for say in sayings(block, state) if say in {STARTED, DONE, TAKEN_OFF, FAILED, FOUND}
    )


def runs_alone(block: Block) -> bool:
    """Whether a machine does it by itself once it is set up."""
    return not block.attended if block.kind is Kind.RUN else _step(block) == "start"


def _stands(block: Block, state: State) -> tuple[bool, bool]:
    """Whether it goes on, and whether it lies on its machine, finished."""
    lies = any(
        stint.subject == block.activity and stint.outcome is Event.FINISHED
        for stint in state.uncleared.values()
    )
    return block.activity in state.going, lies


def _step(block: Block) -> str:
    """Which step of a run hands do in a block; empty if it is none."""
    ending = block.id.rsplit(".", 1)[-1].split("#")[0].split("@")[0]
    return ending if block.kind is Kind.TEND and ending in {"start", "clear"} else ""


def how_far(
    block: Block, state: State, now_s: int, known: Mapping[str, Meant] = NOTHING_KNOWN
) -> tuple[float, float]:
    """How far something has got by the clock, from 0 to 1, and the seconds all of it takes.

    Args:
        block: what the plan says of it.
        state: when it was begun, if it was; else the plan's own start counts.
        now_s: the present moment.
        known: what activities mean, by id; where nothing is known the block's own length counts.
    """
    going = state.going.get(block.activity)
    meant = going.meant if going else known.get(block.activity, Meant())
    start_s = block.start_s if going is None or going.start_s is None else going.start_s
    share = meant.got_by(now_s - start_s)
    if share is not None and meant.seconds is not None:
        return share, meant.seconds.likely
    length_s = float(block.end_s - start_s)
    share = (now_s - start_s) / length_s if length_s > 0 else 1.0
    return min(1.0, max(0.0, share)), length_s


def until_s(block: Block, now_s: int) -> int:
    """The moment that is proposed for what is delayed: half an hour later than planned."""
    at_s = max(now_s, block.end_s if block.start_s <= now_s else block.start_s)
    return (at_s + LATER_S) // MINUTE_S * MINUTE_S


def entry_behind(bench: Bench, subject: str, moment_s: int) -> Entry | None:
    """The entry a stretch that lies behind rests on: the last of its subject at that moment."""
    held = [entry for entry in holding(bench.log.entries) if entry.kind is not Event.PLANNED]
    mine = [entry for entry in held if entry.subject == subject and entry.moment_s == moment_s]
    return mine[-1] if mine else None
