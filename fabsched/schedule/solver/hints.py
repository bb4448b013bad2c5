"""A course as a starting point for the solver."""

from collections.abc import Mapping, Sequence

from fabsched.model.plan import Block, Course, Kind
from fabsched.schedule.solver.choice import usable_swaps
from fabsched.schedule.solver.variables import JobVariables, Slots, Variables


def add_hints(variables: Variables, course: Course) -> None:
    """Propose every choice and every beginning as they are in a course.

    What the course says need not fit the model; the solver mends what does not.
    """
    hands: dict[str, list[Block]] = {}
    machines: dict[str, str] = {}
    for block in course.blocks:
        if block.kind is Kind.RUN:
            machines[block.activity] = block.resource
        elif block.kind is not Kind.TRAVEL:
            hands.setdefault(block.activity, []).append(block)
    _hint_choice(variables, frozenset(block.activity for block in course.blocks))
    for this in variables.jobs:
        _hint_machine(variables, this, machines)
        mine = hands.get(this.job.activity.id)
        if mine and this.begin:
            _hint_step(variables, this.begin, mine if this.job.size > 1 else mine[:1])
        if mine and this.clear:
            _hint_step(variables, this.clear, mine[-1:])


def _hint_choice(variables: Variables, carried: frozenset[str]) -> None:
    """What is carried out, and a swap as taken where it leads there at one go."""
    for this in variables.jobs:
        if this.live is not True:
            variables.model.add_hint(this.live, this.job.activity.id in carried)
    for swap in usable_swaps(variables):
        taken = swap.into <= carried and carried.isdisjoint(swap.out)
        variables.model.add_hint(variables.taken(swap), taken)


def _hint_machine(variables: Variables, this: JobVariables, machines: Mapping[str, str]) -> None:
    chosen = machines.get(this.job.activity.id)
    for machine, on in this.on.items():
        if chosen is not None and on is not True and on is not this.live:
            variables.model.add_hint(on, machine == chosen)


def _hint_step(variables: Variables, slots: Slots, blocks: Sequence[Block]) -> None:
    since_s = blocks[0].start_s - variables.weekend.begin_s
    did = {(block.resource, block.place) for block in blocks}
    for slot in slots:
        team = slot.mode.team
        count = sum((person.id, slot.mode.place) in did for person in team.people)
        if slot.chosen is not True and len(slots) > 1:
            variables.model.add_hint(slot.chosen, count > 0)
        if not isinstance(slot.count, int):
            variables.model.add_hint(slot.count, count)
        if count:
            variables.model.add_hint(slot.begin, variables.axes[team.id].inner(since_s))
