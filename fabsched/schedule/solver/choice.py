"""What is carried out: each swap is a literal, and what is carried out follows from those taken."""

from collections.abc import Iterable, Mapping

from fabsched.model.weekend import Swap, Weekend
from fabsched.schedule.needs import asked_for
from fabsched.schedule.solver.jobs import open_swaps
from fabsched.schedule.solver.variables import Expression, Variables


def add_choice(variables: Variables) -> None:
    """Every activity is carried out once or not at all: as it stands, and as swaps change it.

    A swap that takes out what another has put in is taken after that. No swap is taken back, so
    that what swaps add up to is also what they lead to one by one; `taken_in_turn` makes sure.
    """
    standing = variables.weekend.standing
    live = {this.job.activity.id: this.live for this in variables.jobs}
    changes: dict[str, list[Expression]] = {ident: [] for ident in live}
    for swap in usable_swaps(variables):
        taken = variables.taken(swap)
        for ident in (swap.out | swap.into) & live.keys():
            changes[ident].append(taken if ident in swap.into else -taken)
    for ident, changed in changes.items():
        if live[ident] is not True:
            variables.model.add(live[ident] == int(ident in standing) + sum(changed))


def usable_swaps(variables: Variables) -> tuple[Swap, ...]:
    """Swaps about something in the model, all of which has a time."""
    known = {this.job.activity.id for this in variables.jobs}
    without_time = asked_for(variables.weekend) - known
    return tuple(
        swap
        for swap in open_swaps(variables.weekend)
        if (named := swap.out | swap.into) & known and not named & without_time
    )


def taken_in_turn(
    weekend: Weekend, swaps: Iterable[Swap], taken: Mapping[str, bool]
) -> frozenset[str] | None:
    """What is carried out once swaps have been taken, in any turn in which they can be.

    Args:
        weekend: for what stands.
        swaps: all of them.
        taken: which are taken, by id.

    Returns:
        The activities carried out; None if some of the swaps can never be taken.
    """
    choice = weekend.standing
    left = [swap for swap in swaps if taken[swap.id]]
    while left:
        able = next((s for s in left if s.out <= choice and choice.isdisjoint(s.into)), None)
        if able is None:
            return None
        choice = (choice - able.out) | able.into
        left.remove(able)
    return choice
