"""What hands do, block by block, in words: for the calendar and for paper."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.shop import Shop
from fabsched.model.weekend import Hands, Run, Site, Station, Task, Weekend
from fabsched.session.wording import caution, phrase, why

CAUTIONS = ("laser", "unattended", "fumes", "mains")
"""Codes of the usual cautions, in the order in which they are said."""
TENDING = {"start": "do-start", "clear": "do-clear", "hands": "do-stay"}
"""How tending is said, by the end of the block's id; anything else is a restart."""


@dataclass(frozen=True, slots=True)
class Words:
    """What the blocks of one plan are called.

    Attributes:
        names: of people, places and machines, by id.
        machines: id of the machine that takes a run, by the run's id.
        lasers: ids of the machines that cut.
        undoable: ids of work that can be undone, which knows neither heat nor fumes.
    """

    names: Mapping[str, str]
    machines: Mapping[str, str]
    lasers: frozenset[str] = field(default_factory=frozenset)
    undoable: frozenset[str] = field(default_factory=frozenset)

    def deed(self, block: Block) -> str:
        """What somebody does in a block, and with whom."""
        return self.together(self._alone(block), block)

    def together(self, text: str, block: Block) -> str:
        """A text about a block, with those who take part beside whose it is."""
        if not block.others:
            return text
        names = ", ".join(self.names.get(ident, ident) for ident in block.others)
        return phrase("together", what=text, names=names)

    def _alone(self, block: Block) -> str:
        match block.kind:
            case Kind.TEND:
                code = TENDING.get(_ending(block), "do-again")
                machine = self.names.get(self.machines.get(block.activity, ""), "")
                return phrase(code, what=block.what, machine=machine)
            case Kind.TRAVEL:
                return phrase("do-travel", what=block.what)
            case Kind.GATE:
                return phrase("do-check", what=block.what)
            case _:
                return block.what

    def place(self, block: Block) -> str:
        """Where it is done; for ways, where they lead."""
        return self.names.get(block.place, block.place)

    def who(self, block: Block) -> str:
        """Who does it."""
        return self.names.get(block.resource, block.resource)

    def caution_codes(self, block: Block) -> tuple[str, ...]:
        """Codes of the usual cautions for a block."""
        match block.kind:
            case Kind.TEND if self.machines.get(block.activity) in self.lasers:
                return ("laser", "fumes")
            case Kind.TEND:
                alone = _ending(block) not in {"hands", "clear"}
                return ("unattended", "fumes") if alone else ("fumes",)
            case Kind.WORK | Kind.GATE if block.activity not in self.undoable:
                return ("fumes", "mains")
            case _:
                return ()

    def cautions(self, blocks: Iterable[Block]) -> tuple[str, ...]:
        """The usual cautions for some blocks, each once."""
        codes = {code for block in blocks for code in self.caution_codes(block)}
        return tuple(caution(code) for code in CAUTIONS if code in codes)


def bare_words(weekend: Weekend, answer: Answer) -> Words:
    """The words for a plan, but for its cautions."""
    lanes: tuple[Hands | Site | Station, ...] = (*weekend.hands, *weekend.sites, *weekend.stations)
    going = {x.id: x.going.machine for x in weekend.activities if isinstance(x, Run) and x.going}
    runs = [block for block in answer.course.blocks if block.kind is Kind.RUN]
    return Words(
        names={lane.id: lane.name for lane in lanes},
        machines={**going, **{block.activity: block.resource for block in runs}},
    )


def words_of(weekend: Weekend, answer: Answer, shop: Shop) -> Words:
    """The words for a plan."""
    return replace(
        bare_words(weekend, answer),
        lasers=frozenset(laser.id for laser in shop.lasers),
        undoable=frozenset(x.id for x in weekend.activities if isinstance(x, Task) and x.undoable),
    )


def hands_blocks(weekend: Weekend, answer: Answer) -> tuple[Block, ...]:
    """The blocks of people, in order of start."""
    people = {hands.id for hands in weekend.hands}
    return tuple(block for block in answer.course.blocks if block.resource in people)


def reason_text(block: Block) -> str:
    """Why a block starts when it does, as a sentence."""
    text = why(block.reason)
    return f"{text[:1].upper()}{text[1:]}."


def _ending(block: Block) -> str:
    """What stands behind the activity in the id of a block, pieces not told apart."""
    return block.id.rsplit(".", 1)[-1].split("#")[0]
