"""Small random weekends for tests of the dispatch rule."""

from dataclasses import replace

from hypothesis import strategies as st

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.weekend import (
    NO_TIME,
    Activity,
    Bound,
    Choice,
    Going,
    Hands,
    Run,
    Site,
    Station,
    Task,
    Weekend,
)
from fabsched.model.windows import Windows

UNIT_S = 100
"""Moments are multiples of it, so that many things happen at the same moment."""

HORIZON_S = 400 * UNIT_S

moments = st.integers(0, HORIZON_S // UNIT_S).map(lambda n: n * UNIT_S)
lengths = st.integers(0, 30).map(lambda n: n * UNIT_S)


@st.composite
def windows(draw: st.DrawFn) -> Windows:
    """Open all along, or now and then."""
    if draw(st.integers(0, 2)):
        return Windows.always(0, HORIZON_S)
    spans = draw(st.lists(st.tuples(moments, lengths), max_size=8))
    return Windows.of((start, min(start + 3 * length, HORIZON_S)) for start, length in spans)


@st.composite
def spreads(draw: st.DrawFn) -> Spread:
    """Known without doubt, or anything."""
    figures = sorted(draw(st.lists(lengths, min_size=3, max_size=3)))
    return Spread.exactly(figures[1]) if draw(st.booleans()) else Spread(*map(float, figures))


def some(names: list[str]) -> st.SearchStrategy[tuple[str, ...]]:
    """Any of these names, each at most once; perhaps none."""
    if not names:
        return st.just(())
    return st.lists(st.sampled_from(names), unique=True, max_size=3).map(tuple)


@st.composite
def _choices(draw: st.DrawFn, machine: str) -> Choice:
    """A machine; now and then it asks for other hands, or fails more or less often."""
    tending = st.none() | lengths.map(lambda seconds: seconds // 3)
    return Choice(
        machine,
        draw(spreads()),
        start_s=draw(tending),
        clear_s=draw(tending),
        watch_s=draw(st.none() | lengths.map(lambda seconds: seconds // 2)),
        stays=draw(st.sampled_from([None, None, False, True])),
        fail_start=draw(st.sampled_from([None, None, 0.0, 0.7])),
        fail_hour=draw(st.sampled_from([None, None, 0.0, 2.0])),
    )


@st.composite
def runs(draw: st.DrawFn, machines: list[str]) -> Run:
    """A run without what it waits for."""
    able = draw(st.lists(st.sampled_from(machines), unique=True, min_size=1))
    return Run(
        id="",
        name="",
        choices=tuple(draw(_choices(machine)) for machine in able),
        attended=draw(st.booleans()),
        start_s=draw(lengths) // 3,
        clear_s=draw(lengths) // 3,
        watch_s=draw(st.just(0) | lengths),
        stays=draw(st.booleans()),
        fail_start=draw(st.sampled_from([0.0, 0.0, 0.5])),
        fail_hour=draw(st.sampled_from([0.0, 1.0])),
    )


@st.composite
def tasks(draw: st.DrawFn, places: list[str], people: list[str]) -> Task:
    """A task without what it waits for; perhaps a gate, perhaps for several people at once."""
    able = tuple(draw(st.lists(st.sampled_from(people), unique=True, min_size=1)))
    return Task(
        id="",
        name="",
        place=draw(st.sampled_from(places)),
        people=able,
        crew=draw(st.integers(1, len(able))),
        seconds=draw(spreads()),
        splittable=draw(st.booleans()),
        chance=draw(st.sampled_from([0.0, 0.0, 0.6, 1.0])),
    )


@st.composite
def activities(
    draw: st.DrawFn, places: list[str], people: list[str], machines: list[str]
) -> tuple[Activity, ...]:
    """Up to seven, each waiting for some before it; gates redo some of all others."""
    found: list[Activity] = []
    for number in range(draw(st.integers(1, 7))):
        names = [activity.id for activity in found]
        made: Activity = draw(st.one_of(runs(machines), tasks(places, people)))
        made = replace(
            made,
            id=f"a{number}",
            name=f"A{number}",
            after=draw(some(names)),
            earliest_s=draw(st.sampled_from([0, 0, 50 * UNIT_S])),
            bound=draw(st.sampled_from(Bound)),
            needed=draw(st.sampled_from([True, True, False])),
        )
        found.append(replace(made, redo=draw(some(names))) if isinstance(made, Task) else made)
    return tuple(found)


@st.composite
def weekends(draw: st.DrawFn) -> Weekend:
    """One to three places, people and machines."""
    places = [f"p{n}" for n in range(draw(st.integers(1, 3)))]
    people = [f"h{n}" for n in range(draw(st.integers(1, 3)))]
    machines = [f"m{n}" for n in range(draw(st.integers(1, 3)))]
    anywhere = st.sampled_from(places)
    return Weekend(
        zone="UTC",
        begin_s=draw(st.sampled_from([0, 7 * UNIT_S])),
        deadline_s=HORIZON_S // 2,
        horizon_s=HORIZON_S,
        hands=tuple(
            Hands(
                id=h,
                name=h.upper(),
                base=draw(anywhere),
                windows=draw(windows()),
                away=draw(st.just(NO_TIME) | windows()),
            )
            for h in people
        ),
        sites=tuple(Site(id=p, name=p.upper(), windows=draw(windows())) for p in places),
        stations=tuple(
            Station(id=m, name=m.upper(), place=draw(anywhere), windows=draw(windows()))
            for m in machines
        ),
        activities=draw(activities(places, people, machines)),
        travel_s={
            (a, b): draw(st.integers(1, 12)) * UNIT_S for a in places for b in places if a != b
        },
    )


@st.composite
def begun(draw: st.DrawFn) -> Weekend:
    """A weekend that begins in the middle.

    People are anywhere, some things are done, runs go on, deliveries are late.
    """
    week = draw(weekends())
    hands = tuple(
        replace(each, at=draw(st.sampled_from(["", *(site.id for site in week.sites)])))
        for each in week.hands
    )
    taken: set[str] = set()
    changed: list[Activity] = []
    for activity in week.activities:
        going = draw(goings(activity, taken))
        if isinstance(activity, Run) and going:
            changed.append(replace(activity, going=watched(draw, week, hands, going)))
            taken.add(going.machine)
        else:
            late = draw(st.one_of(st.none(), spreads()))
            changed.append(replace(activity, late=late))
    settled = draw(
        some([each.id for each in changed if not (isinstance(each, Run) and each.going)])
    )
    return replace(
        week,
        hands=hands,
        activities=tuple(each for each in changed if each.id not in settled),
        settled=tuple(each for each in changed if each.id in settled),
    )


@st.composite
def goings(draw: st.DrawFn, activity: Activity, taken: set[str]) -> Going | None:
    """What goes on of an unattended run, on a machine on which nothing else does; perhaps none."""
    if not isinstance(activity, Run) or activity.attended:
        return None
    free = [choice.machine for choice in activity.choices if choice.machine not in taken]
    if not free or draw(st.integers(0, 2)) == 0:
        return None
    return Going(draw(st.sampled_from(free)), draw(spreads()))


def watched(draw: st.DrawFn, week: Weekend, hands: tuple[Hands, ...], going: Going) -> Going:
    """What goes on, perhaps still watched by somebody who is there and up for that long."""
    place = week.station(going.machine).place
    site = next(site for site in week.sites if site.id == place)
    watch_s = min(draw(lengths), round(going.seconds.likely))
    able = [
        each.id
        for each in hands
        if (each.at or each.base) == place
        and (each.windows & site.windows).first_fit(week.begin_s, watch_s) == week.begin_s
    ]
    by = draw(st.sampled_from(["", *able]))
    return replace(going, by=by, watch_s=watch_s if by else 0)


@st.composite
def plans(draw: st.DrawFn, weekend: Weekend) -> Plan:
    """Any order; perhaps with something dropped."""
    order = draw(st.permutations([activity.id for activity in weekend.activities]))
    count = draw(st.sampled_from([0, 0, 0, 1, 2]))
    return Plan(order=tuple(order[count:]), dropped=frozenset(order[:count]))


@st.composite
def planned(draw: st.DrawFn) -> tuple[Weekend, Plan]:
    """A weekend with a plan for it."""
    weekend = draw(weekends())
    return weekend, draw(plans(weekend))


@st.composite
def planned_in_the_middle(draw: st.DrawFn) -> tuple[Weekend, Plan]:
    """A weekend that begins in the middle, with a plan for it."""
    weekend = draw(begun())
    return weekend, draw(plans(weekend))


@st.composite
def planned_near_home(draw: st.DrawFn) -> tuple[Weekend, Plan]:
    """A weekend of long prints at home that somebody stays near, and work in two places.

    It may begin in the middle, with a print going on, started by somebody or by nobody known.
    """
    places, people = ["p0", "p1"], [f"h{n}" for n in range(draw(st.integers(1, 3)))]
    made: list[Activity] = []
    for number in range(draw(st.integers(2, 6))):
        each = draw(_print_near_home()) if number % 2 else draw(tasks(places, people))
        made.append(replace(each, id=f"a{number}", name=f"A{number}"))
    going = draw(st.sampled_from([None, *people, ""]))
    if going is not None and isinstance(made[1], Run):
        made[1] = replace(made[1], going=Going("m0", draw(spreads()), by=going))
    always = Windows.always(0, HORIZON_S)
    week = Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=HORIZON_S // 2,
        horizon_s=HORIZON_S,
        hands=tuple(
            Hands(id=h, name=h.upper(), base=draw(st.sampled_from(["p0", "p0", "p1"])), windows=up)
            for h in people
            for up in (draw(st.just(always) | windows()),)
        ),
        sites=tuple(Site(id=p, name=p.upper(), windows=always) for p in places),
        stations=tuple(Station(id=m, name=m, place="p0", windows=always) for m in ("m0", "m1")),
        activities=tuple(made),
        travel_s={pair: draw(st.integers(1, 4)) * UNIT_S for pair in (("p0", "p1"), ("p1", "p0"))},
    )
    return week, draw(plans(week))


@st.composite
def _print_near_home(draw: st.DrawFn) -> Run:
    seconds = draw(lengths) * 3
    spread = Spread(seconds / 2, seconds, seconds * 1.5)
    machines = draw(st.sampled_from([("m0",), ("m0", "m1")]))
    return Run(
        id="",
        name="",
        choices=tuple(
            Choice(m, spread, stays=draw(st.sampled_from([None, False]))) for m in machines
        ),
        attended=False,
        start_s=draw(lengths) // 3,
        clear_s=draw(lengths) // 3,
        watch_s=draw(st.sampled_from([0, 0, 500])),
        fail_start=draw(st.sampled_from([0.0, 0.5])),
        stays=draw(st.sampled_from([True, True, True, False])),
    )
