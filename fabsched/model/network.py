"""What waits for what, with the copies that lie dormant until a gate finds a fault.

A gate G that redoes R gets, for each round 1 to `MAX_ROUNDS`, a copy `G>round>r` of every r in R and
a repeated gate `G>round` that waits for all of them. A fault found at G wakes round 1, one found at
`G>1` wakes round 2; the copy of the gate that finds none completes G for whatever waits for it.
"""

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from fabsched.model.plan import Plan
from fabsched.model.weekend import MAX_ROUNDS, Activity, Going, Run, Task, Weekend


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing to carry out: an activity, or a copy of one after a fault.

    Attributes:
        id: the activity's id, or that of the copy.
        activity: what is done.
        after: ids of the entries it waits for; for a copy they include the one that wakes it.
        waits_for: ids of the activities these carry out.
        gate: id of the gate whose copies, faults and rounds it belongs to; empty for plain entries.
        round: 0 for what the plan names, else the round of the gate.
    """

    id: str
    activity: Activity
    after: tuple[str, ...]
    waits_for: tuple[str, ...]
    gate: str = ""
    round: int = 0

    @property
    def looks(self) -> bool:
        """Whether it looks for a fault: a gate, the first time or again."""
        return self.gate == self.activity.id

    @property
    def going(self) -> Going | None:
        """What of it goes on already: only the run itself, not what is done again after a fault."""
        return self.activity.going if isinstance(self.activity, Run) and not self.round else None

    @property
    def woken_by(self) -> str:
        """Id of the entry whose fault wakes it; empty for what is done anyway."""
        return _gate_id(self.gate, self.round - 1) if self.round else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """All entries of a plan.

    Attributes:
        entries: the most urgent first: copies before everything else, each in the plan's order.
        followers: entries that wait for the completion of an entry, by its id.
        wakes: entries woken when a gate, or a repeated one, finds a fault, by its id.
    """

    entries: tuple[Entry, ...]
    followers: Mapping[str, tuple[Entry, ...]]
    wakes: Mapping[str, tuple[Entry, ...]]


def network(weekend: Weekend, plan: Plan) -> Network:
    """Entries in order of urgency and who waits for whom; what is dropped is waited for by nobody.

    What goes on already waits for nothing. If it is dropped, its machine is free at once.

    Raises:
        ValueError: the plan does not name every activity exactly once.
    """
    order = in_order(weekend, plan)
    activities = {activity.id: activity for activity in weekend.activities}
    if sorted((*order, *plan.dropped)) != sorted(activities):
        raise ValueError("a plan names every activity exactly once")
    rank = {ident: place for place, ident in enumerate(order)}
    plain = [_plain(activities[ident], rank) for ident in order]
    again = {**activities, **{activity.id: activity for activity in weekend.settled}}
    doable = rank.keys() | {activity.id for activity in weekend.settled}
    copies = [copy for entry in plain for copy in _copies(entry, again, doable)]
    copies.sort(key=lambda copy: (_urgency(copy, rank), rank[copy.gate], copy.round))
    entries = (*copies, *plain)
    return Network(entries=entries, followers=_followers(entries), wakes=_wakes(entries))


def in_order(weekend: Weekend, plan: Plan) -> list[str]:
    """Ids of what a plan carries out, the most urgent first."""
    order = [ident for ident in plan.order if ident not in plan.dropped]
    return sorted(order, key=lambda ident: ident not in weekend.first) if weekend.first else order


def _plain(activity: Activity, rank: Mapping[str, int]) -> Entry:
    started = isinstance(activity, Run) and activity.going
    after = () if started else tuple(ident for ident in activity.after if ident in rank)
    gate = activity.id if isinstance(activity, Task) and activity.chance > 0 else ""
    return Entry(id=activity.id, activity=activity, after=after, waits_for=after, gate=gate)


def _urgency(copy: Entry, rank: Mapping[str, int]) -> int:
    """Copies are as urgent as the activity; of what was done before, as the gate."""
    return rank.get(copy.activity.id, rank[copy.gate])


def _copies(
    entry: Entry, activities: Mapping[str, Activity], doable: AbstractSet[str]
) -> Iterator[Entry]:
    """Every copy that faults found at this entry may wake; none if it is no gate."""
    gate = entry.activity
    if not entry.gate or not isinstance(gate, Task):
        return
    redone = [ident for ident in gate.redo if ident in doable and ident != gate.id]
    for turn in range(1, MAX_ROUNDS + 1):
        names = {ident: f"{gate.id}>{turn}>{ident}" for ident in redone}
        inner = {ident: _before(ident, activities) & names.keys() for ident in redone}
        for ident, before in (*inner.items(), (gate.id, names.keys())):
            first = [other for other in redone if other in before]
            yield Entry(
                id=names.get(ident) or _gate_id(gate.id, turn),
                activity=activities[ident],
                after=(_gate_id(gate.id, turn - 1), *(names[other] for other in first)),
                waits_for=(gate.id, *first),
                gate=gate.id,
                round=turn,
            )


def _gate_id(gate: str, turn: int) -> str:
    return f"{gate}>{turn}" if turn else gate


def _before(ident: str, activities: Mapping[str, Activity]) -> set[str]:
    """Everything an activity waits for, directly or through others."""
    seen: set[str] = set()
    fresh = [ident]
    while fresh:
        new = set(activities[fresh.pop()].after) - seen
        seen |= new
        fresh += new
    return seen


def _followers(entries: tuple[Entry, ...]) -> Mapping[str, tuple[Entry, ...]]:
    """Who waits for the completion of each entry; what waits for a fault is left out."""
    found: dict[str, list[Entry]] = {entry.id: [] for entry in entries}
    for entry in entries:
        for need in entry.after:
            if need != entry.woken_by:
                found[need].append(entry)
    return {ident: tuple(followers) for ident, followers in found.items()}


def _wakes(entries: tuple[Entry, ...]) -> Mapping[str, tuple[Entry, ...]]:
    found: dict[str, list[Entry]] = {entry.id: [] for entry in entries if entry.looks}
    for entry in entries:
        if entry.woken_by:
            found[entry.woken_by].append(entry)
    return {ident: tuple(woken) for ident, woken in found.items()}
