"""Weekends and plans flattened into the tables of the simulator.

What no plan changes is compiled once a weekend, so that trying another plan costs little.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabsched.model.foreseen import is_foreseen
from fabsched.model.network import Entry, in_order, network
from fabsched.model.plan import Plan
from fabsched.model.replay import most_turns
from fabsched.model.steps import Duty, Hours, Spot, first_duty
from fabsched.model.weekend import Run, Task, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.odds.tables import ENTRY, FAR, MASK_BITS, NONE, SPOT, Ints, Program, Rows, Shop

MOST_FAILURES = 7
"""Failed attempts after which a run is taken to succeed (our own choice; it hardly ever matters)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Frame:
    """A weekend, compiled.

    Attributes:
        weekend: what it was made from.
        entries: activities as listed, then every copy a gate may wake.
        rows: row of every entry in the tables, by its id.
        runs: (id, choice) of the entries that may fail, in the order of their rows; those that fail
            alike on all their machines have one row.
        gates: ids of the gates, in the order of their rows.
        going: ids of the runs that go on already, in the order of their rows.
        due: ids of the activities that may start later than told, in the order of their rows.
        activity: (n,) row of the activity of each entry.
        gate: (n,) row of the gate that wakes each copy; its own row for what is done anyway.
        needs: (2, k) rows of what is waited for, and of what waits.
        earliest: (n,) moments before which nothing of an entry starts.
        leaves: (n,) moments before which nobody sets out for it.
        turns: how often somebody may act in one scenario.
        shop: the tables.
    """

    weekend: Weekend
    entries: tuple[Entry, ...]
    rows: Mapping[str, int]
    runs: tuple[tuple[str, int], ...]
    gates: tuple[str, ...]
    going: tuple[str, ...]
    due: tuple[str, ...]
    activity: Ints
    gate: Ints
    needs: Ints
    earliest: Ints
    leaves: Ints
    turns: int
    shop: Shop


def compile_weekend(weekend: Weekend) -> Frame:
    """Tables of everything that no plan changes.

    Raises:
        KeyError: a place, machine or way is not known.
    """
    entries = _entries(weekend)
    rows = {entry.id: row for row, entry in enumerate(entries)}
    named = _Named(
        runs=tuple(row for entry in entries for row in _failing_on(entry)),
        gates=tuple(entry.id for entry in entries if entry.looks and not entry.round),
        going=tuple(entry.id for entry in entries if entry.going),
        due=tuple(activity.id for activity in weekend.activities if activity.late),
    )
    needs = [(rows[need], rows[entry.id]) for entry in entries for need in entry.after]
    earliest = [max(entry.activity.earliest_s, weekend.begin_s) for entry in entries]
    leaves = [
        weekend.begin_s if is_foreseen(entry.activity) else earliest_s
        for entry, earliest_s in zip(entries, earliest, strict=True)
    ]
    woken_for = [rows[entry.gate if entry.round else entry.id] for entry in entries]
    return Frame(
        weekend=weekend,
        entries=entries,
        rows=rows,
        runs=named.runs,
        gates=named.gates,
        going=named.going,
        due=named.due,
        activity=np.array([_activity_row(rows, entry) for entry in entries], np.int64),
        gate=np.array(woken_for, np.int64),
        needs=np.array(needs, np.int64).reshape(-1, 2).T,
        earliest=np.array(earliest, np.int64),
        leaves=np.array(leaves, np.int64),
        turns=most_turns(weekend, len(entries) * (2 + MOST_FAILURES)),
        shop=_shop(weekend, entries, rows, named),
    )


def compile_plan(frame: Frame, plan: Plan) -> Program:
    """Tables of what a plan decides.

    Raises:
        ValueError: the plan does not name every activity exactly once.
    """
    named = in_order(frame.weekend, plan)
    activities = [activity.id for activity in frame.weekend.activities]
    if sorted((*named, *plan.dropped)) != sorted(activities):
        raise ValueError("a plan names every activity exactly once")
    place = np.full(len(frame.entries), NONE, np.int64)
    place[[frame.rows[ident] for ident in named]] = np.arange(len(named))
    live = (place[frame.activity] != NONE) & (place[frame.gate] != NONE)
    order = _order(frame, live, place)
    table = frame.shop.entries[live & (frame.shop.entries["round"] == 0)]
    return Program(
        order=order,
        rank=_rank(order, len(frame.entries)),
        waits=_waits(frame, live),
        earliest=frame.earliest,
        leaves=frame.leaves,
        begin=frame.weekend.begin_s,
        needed=int(table["counts"].sum()),
        open=int(table["keeps_open"].sum()),
        turns=frame.turns,
        until=NEVER,
    )


def _activity_row(rows: Mapping[str, int], entry: Entry) -> int:
    """Row of an entry's activity; of its gate, where the activity was done before the weekend."""
    return rows[entry.activity.id] if entry.activity.id in rows else rows[entry.gate]


def _order(frame: Frame, live: NDArray[np.bool_], place: Ints) -> Ints:
    """Live entries in the order of urgency, as `network` sorts them."""
    rounds = frame.shop.entries["round"]
    order = np.lexsort((rounds, place[frame.gate], place[frame.activity], rounds == 0))
    return order[live[order]]


def _rank(order: Ints, size: int) -> Ints:
    """Places in that order."""
    rank = np.full(size, NONE, np.int64)
    rank[order] = np.arange(len(order))
    return rank


def _waits(frame: Frame, live: NDArray[np.bool_]) -> Ints:
    """How many live entries each waits for."""
    source, target = frame.needs
    return np.bincount(target, weights=live[source], minlength=len(live)).astype(np.int64)


def _entries(weekend: Weekend) -> tuple[Entry, ...]:
    everything = Plan(order=tuple(activity.id for activity in weekend.activities))
    return tuple(sorted(network(weekend, everything).entries, key=lambda entry: entry.round > 0))


def _failing_on(entry: Entry) -> Iterator[tuple[str, int]]:
    """Where a run may fail: once if it fails alike on all of its machines, else for each."""
    run = entry.activity
    if not isinstance(run, Run):
        return
    choices = run.choices[:1] if run.fails_alike else run.choices
    for number, choice in enumerate(choices):
        mine = run.at(choice)
        if mine.fail_start > 0 or mine.fail_hour > 0:
            yield entry.id, number


@dataclass(frozen=True, slots=True, kw_only=True)
class _Named:
    """Ids of what has luck of a kind, in the order of their rows."""

    runs: tuple[tuple[str, int], ...]
    gates: tuple[str, ...]
    going: tuple[str, ...]
    due: tuple[str, ...]


def _row_in(names: Sequence[str], name: str) -> int:
    return names.index(name) if name in names else NONE


def _shop(
    weekend: Weekend, entries: Sequence[Entry], rows: Mapping[str, int], named: _Named
) -> Shop:
    duties = [first_duty(weekend, entry, ()) for entry in entries]
    spots = [spot for duty in duties for spot in duty.spots]
    bases = [hands.base for hands in weekend.hands]
    starts = [hands.at or hands.base for hands in weekend.hands]
    places = tuple(dict.fromkeys([*bases, *starts, *(spot.place for spot in spots)]))
    spans = _Spans()
    table = _entry_table(entries, rows, named)
    table["machines"] = [_machine_bits(weekend, duty) for duty in duties]
    counts = np.array([len(duty.spots) for duty in duties], np.int64)
    ends = np.cumsum(counts)
    table["first_spot"], table["end_spot"] = ends - counts, ends
    table["going_spot"] = table["first_spot"] + [_going_choice(entry) for entry in entries]
    for mine, entry in zip(table, entries, strict=True):
        mine["going_by"], mine["going_watch"] = _watched(weekend, entry)
    hours, able = _hours(weekend, duties, spans), _able(weekend, duties)
    up = np.array([spans.row(hands.windows) for hands in weekend.hands], np.int64)
    based = np.array([places.index(base) for base in bases], np.int64)
    spot_rows = _spot_table(weekend, spots, _fails(entries, duties, named), places)
    runs = _may_run(weekend, spots, spans)
    _set_like(spot_rows, np.repeat(np.arange(len(duties)), counts), [*hours, *runs])
    return Shop(
        arcs=_arcs(entries, rows, table),
        entries=table,
        spots=spot_rows,
        hours=hours,
        runs=runs,
        up=up,
        bases=based,
        starts=np.array([places.index(start) for start in starts], np.int64),
        able=able,
        alike=_alike([hours, runs], able, up, based),
        ways=np.array([[weekend.way_s(a, b) for b in places] for a in places], np.int64),
        spans=spans.table(),
    )


def _going_choice(entry: Entry) -> int:
    """Index of the machine on which it goes on already; 0 if it does not."""
    run, going = entry.activity, entry.going
    if not isinstance(run, Run) or not going:
        return 0
    return [choice.machine for choice in run.choices].index(going.machine)


def _watched(weekend: Weekend, entry: Entry) -> tuple[int, int]:
    """Who still watches what goes on, and for how long; `NONE` if nobody does."""
    by = weekend.watcher(entry.going) if entry.going else None
    return (NONE, 0) if by is None or entry.going is None else (by, entry.going.watch_s)


def _entry_table(entries: Sequence[Entry], rows: Mapping[str, int], named: _Named) -> Rows:
    """Every field of the entries apart from spots and arcs."""
    table = np.zeros(len(entries), ENTRY)
    for mine, entry in zip(table, entries, strict=True):
        activity = entry.activity
        mine["alone"] = isinstance(activity, Run) and not activity.attended
        mine["splittable"] = isinstance(activity, Task) and activity.splittable
        mine["crew"] = activity.crew if isinstance(activity, Task) else 1
        mine["gate"] = _row_in(named.gates, entry.gate if entry.looks else "")
        mine["going"] = _row_in(named.going, entry.id)
        mine["due"] = _row_in(named.due, activity.id)
        mine["round"] = entry.round
        mine["completes"] = rows[entry.gate if entry.looks else entry.id]
        mine["counts"] = activity.needed and not (entry.looks and entry.round)
        mine["keeps_open"] = mine["counts"] or _may_wake_needed(entry, entries)
    return table


def _may_wake_needed(entry: Entry, entries: Sequence[Entry]) -> bool:
    """Whether a gate, itself optional, may find that something needed has to be done again."""
    mine = (other for other in entries if other.gate == entry.id and not other.looks)
    return not entry.round and any(other.activity.needed for other in mine)


def _arcs(entries: Sequence[Entry], rows: Mapping[str, int], table: Rows) -> Ints:
    """Followers, then woken ones, of entry after entry; where they lie goes into the table."""
    followers: list[list[int]] = [[] for _ in entries]
    woken: list[list[int]] = [[] for _ in entries]
    for entry in entries:
        for need in entry.after:
            (woken if need == entry.woken_by else followers)[rows[need]].append(rows[entry.id])
    arcs: list[int] = []
    for mine, follow, wake in zip(table, followers, woken, strict=True):
        mine["first_follower"] = len(arcs)
        mine["first_woken"] = len(arcs) + len(follow)
        arcs += follow + wake
        mine["end_woken"] = len(arcs)
    return np.array(arcs, np.int64)


def _machine_bits(weekend: Weekend, duty: Duty) -> int:
    machines = [station.id for station in weekend.stations]
    used = {machines.index(spot.machine) % MASK_BITS for spot in duty.spots if spot.machine}
    return sum(1 << bit for bit in used)


class _Spans:
    """Sets of windows, each laid down once, one after the other."""

    def __init__(self) -> None:
        self._rows: list[tuple[int, int]] = []
        self._first: dict[Windows, int] = {}

    def row(self, windows: Windows) -> int:
        """First row of a set."""
        if windows not in self._first:
            self._first[windows] = len(self._rows)
            self._rows += [*windows.spans, (NEVER, FAR)]
        return self._first[windows]

    def table(self) -> Ints:
        return np.array(self._rows, np.int64).reshape(-1, 2)


def _fails(entries: Sequence[Entry], duties: Sequence[Duty], named: _Named) -> Iterator[int]:
    """For each spot the row of what fails there."""
    rows = {key: row for row, key in enumerate(named.runs)}
    for entry, duty in zip(entries, duties, strict=True):
        run = entry.activity
        alike = isinstance(run, Run) and run.fails_alike
        yield from (rows.get((entry.id, 0 if alike else spot.choice), NONE) for spot in duty.spots)


def _spot_table(
    weekend: Weekend,
    spots: Sequence[Spot],
    fails: Iterable[int],
    places: Sequence[str],
) -> Rows:
    machines = [station.id for station in weekend.stations]
    rows = np.zeros(len(spots), SPOT)
    for mine, spot, row in zip(rows, spots, fails, strict=True):
        mine["fails"] = row
        mine["place"] = places.index(spot.place)
        mine["machine"] = machines.index(spot.machine) if spot.machine else NONE
        for name in ("hands_s", "alone_s", "start_s", "clear_s", "watch_s", "stays"):
            mine[name] = getattr(spot, name)
    return rows


def _set_like(spots: Rows, of: Ints, hours: Sequence[Ints]) -> None:
    """For each spot the first of its entry that differs in nothing but the machine.

    Args:
        spots: the table.
        of: (m,) entry of each spot.
        hours: rows of `Shop.hours` and `Shop.runs`, (m,) each.
    """
    names = (name for name in SPOT.names or () if name not in {"machine", "fails", "like"})
    traits = np.stack([of, *hours, *(spots[name] for name in names)], axis=1)
    _, first, group = np.unique(traits, axis=0, return_index=True, return_inverse=True)
    spots["like"] = first[group.reshape(-1)]


def _able(weekend: Weekend, duties: Sequence[Duty]) -> NDArray[np.bool_]:
    """Which entry each person may carry out."""
    table = [[duty.may_be_done_by(hands) for hands in weekend.hands] for duty in duties]
    return np.array(table, np.bool_).reshape(len(duties), len(weekend.hands))


def _alike(hours: Sequence[Ints], able: NDArray[np.bool_], up: Ints, bases: Ints) -> Ints:
    """For each person the first one whom nothing tells from them but where they are."""
    traits = [
        (*(each[p].tobytes() for each in hours), able[:, p].tobytes(), up[p], bases[p])
        for p in range(len(bases))
    ]
    return np.array([traits.index(mine) for mine in traits], np.int64)


def _may_run(weekend: Weekend, spots: Sequence[Spot], spans: _Spans) -> Ints:
    """When each machine may run alone that somebody starts, as sets of windows."""
    hours = Hours(weekend)
    kinds = {(spot.machine, spot.stays): spot for spot in spots if spot.machine}
    rows = [
        {kind: spans.row(hours.may_run(hands, spot)) for kind, spot in kinds.items()}
        for hands in weekend.hands
    ]
    table = [[mine.get((spot.machine, spot.stays), 0) for spot in spots] for mine in rows]
    return np.array(table, np.int64).reshape(len(weekend.hands), len(spots))


def _hours(weekend: Weekend, duties: Sequence[Duty], spans: _Spans) -> Ints:
    """When each person may be busy at each spot, as sets of windows."""
    hours = Hours(weekend)
    each = [(duty, spot) for duty in duties for spot in duty.spots]
    where = [(spot.place, spot.machine, duty.step) for duty, spot in each]
    first = dict(zip(reversed(where), reversed(each), strict=True))
    number = {key: place for place, key in enumerate(first)}
    rows = [
        [spans.row(hours.of(hands, duty, spot)) for duty, spot in first.values()]
        for hands in weekend.hands
    ]
    table = np.array(rows, np.int64).reshape(len(weekend.hands), len(first))
    return table.take(np.array([number[key] for key in where], np.int64), axis=1)
