"""The blocks of a plan told one after the other, numbered: what a narrow block is, and what is next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.weekend import Weekend
from fabsched.session.deeds import bare_words
from fabsched.session.wording import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One block.

    Attributes:
        number: from 1 on, in order of start.
        block: the block.
        deed: what happens.
        who: name of the machine or person.
        where: name of the place; for ways, where they lead.
        told: deed in a line, with the machine, or with the person where there are several.
    """

    number: int
    block: Block
    deed: str
    who: str
    where: str
    told: str


def steps_of(
    weekend: Weekend, answer: Answer, lanes: Mapping[str, Sequence[Block]]
) -> tuple[Step, ...]:
    """All blocks in order of start, for equal starts in order of lanes.

    Args:
        weekend: what was planned.
        answer: its plan.
        lanes: blocks of each lane by the id of its machine or person, in order of lanes.
    """
    words = bare_words(weekend, answer)
    placed = [(block.start_s, at, block) for at, own in enumerate(lanes.values()) for block in own]
    placed.sort(key=lambda entry: (*entry[:2], entry[2].id))
    several = len(weekend.hands) > 1
    steps = []
    for number, (_, _, block) in enumerate(placed, start=1):
        deed, who = words.deed(block), words.who(block)
        named = several or block.kind is Kind.RUN
        steps.append(
            Step(
                number=number,
                block=block,
                deed=deed,
                who=who,
                where=words.place(block),
                told=phrase("who-does", who=who, what=deed) if named else deed,
            )
        )
    return tuple(steps)
