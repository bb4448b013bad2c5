"""Random projects for tests of what is written and read again."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from fabsched.files.toml_read import settled
from fabsched.model.estimates import Route
from fabsched.model.operations import Layers, Operation
from fabsched.model.project import (
    Axis,
    Channel,
    Component,
    Fit,
    FitKind,
    Fork,
    Gate,
    Part,
    Pin,
    Project,
    Way,
    Work,
)
from fabsched.model.spread import Spread

ZONES = st.sampled_from(["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "UTC"])
IDENTS = st.from_regex(r"[a-zäß0-9][a-z0-9_-]{0,8}", fullmatch=True)
NAMES = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=20
).filter(lambda text: text == text.strip() and text.strip() != "")


def moments(zone: ZoneInfo) -> st.SearchStrategy[datetime]:
    """Whole seconds, those of the repeated hour included."""
    first, last = (int(datetime(year, 1, 2, tzinfo=UTC).timestamp()) for year in (2025, 2030))
    switch = int(datetime(2026, 10, 25, 1, tzinfo=UTC).timestamp())
    near = st.integers(switch - 7200, switch + 7200)
    return st.one_of(st.integers(first, last), near).map(
        lambda seconds: settled(datetime.fromtimestamp(seconds, UTC), zone)
    )


@st.composite
def spreads(draw: st.DrawFn) -> Spread:
    """Three ascending figures in minutes."""
    figures = draw(st.lists(st.floats(0, 1000, allow_subnormal=False), min_size=3, max_size=3))
    return Spread(*sorted(figures))


@st.composite
def projects(draw: st.DrawFn) -> Project:
    """A sound project of up to six items; each waits for earlier ones only."""
    zone = ZoneInfo(draw(ZONES))
    idents = draw(st.lists(IDENTS, max_size=6, unique=True))
    items = [draw(_item(ident, idents[:i], zone)) for i, ident in enumerate(idents)]
    gates = [item for item in items if isinstance(item, Gate)]
    return Project(
        name=draw(NAMES),
        zone=zone,
        deadline=draw(moments(zone)),
        start=draw(st.none() | moments(zone)),
        wanted_odds=draw(st.floats(0, 1)),
        parts=tuple(item for item in items if isinstance(item, Part)),
        works=tuple(item for item in items if type(item) is Work),
        gates=tuple(draw(_eased(gate, gates[i + 1 :])) for i, gate in enumerate(gates)),
        forks=tuple(draw(_forks(idents))),
        components=tuple(draw(_components(idents))),
        channels=tuple(draw(_channels())),
        pins=tuple(draw(_pins(idents, zone))),
    )


@st.composite
def _pins(draw: st.DrawFn, idents: list[str], zone: ZoneInfo) -> list[Pin]:
    """Up to two pins, of items or of beds made of them."""
    names = st.sampled_from([*idents, "lid-2"])
    chosen = draw(st.lists(names, max_size=2, unique=True))
    return [Pin(id=name, at=draw(moments(zone))) for name in chosen]


@st.composite
def _channels(draw: st.DrawFn) -> list[Channel]:
    """Up to two channels, round or not."""
    sizes = st.floats(0.1, 1000.0)
    return [
        Channel(
            id=ident,
            name=draw(NAMES),
            cables_mm=tuple(draw(st.lists(sizes, min_size=1, max_size=4))),
            width_mm=draw(sizes),
            height_mm=draw(st.just(0.0) | sizes),
        )
        for ident in draw(st.lists(IDENTS, max_size=2, unique=True))
    ]


@st.composite
def _components(draw: st.DrawFn, idents: list[str]) -> list[Component]:
    """Up to two components, needed by some of the items."""
    needed = st.lists(st.sampled_from(idents), unique=True) if idents else st.just([])
    return [
        Component(
            id=ident,
            name=draw(NAMES),
            count=draw(st.integers(1, 40)),
            spares=draw(st.integers(0, 9)),
            have=draw(st.integers(0, 99)),
            needed_by=tuple(draw(needed)),
            delivery_days=draw(st.integers(0, 9)),
            note=draw(st.just("") | NAMES),
        )
        for ident in draw(st.lists(IDENTS, max_size=2, unique=True))
    ]


def _points(low: float, high: float) -> st.SearchStrategy[tuple[float, float, float]]:
    return st.tuples(*[st.floats(low, high, allow_subnormal=False)] * 3)


@st.composite
def _fits(draw: st.DrawFn) -> tuple[Fit, ...]:
    """Up to two critical dimensions."""
    return tuple(
        Fit(
            id=ident,
            name=draw(NAMES),
            kind=draw(st.sampled_from(FitKind)),
            at_mm=draw(st.tuples(*[st.floats(-200, 200, allow_subnormal=False)] * 3)),
            size_mm=draw(st.tuples(*[st.floats(0.1, 50)] * 3)),
            axis=draw(st.sampled_from(Axis)),
            clearance_mm=draw(st.none() | st.floats(-1, 1, allow_subnormal=False)),
            ends_mm=draw(st.none() | st.tuples(_points(-200, -1), _points(0, 200))),
            nominal_mm=draw(st.none() | st.floats(0.1, 50)),
            tolerance_mm=draw(st.none() | st.floats(0, 1, allow_subnormal=False)),
            measured_mm=draw(st.none() | st.floats(0.1, 50)),
            fitting_mm=draw(st.none() | st.floats(-1, 1, allow_subnormal=False)),
        )
        for ident in draw(st.lists(IDENTS, max_size=2, unique=True))
    )


@st.composite
def _eased(draw: st.DrawFn, gate: Gate, later: list[Gate]) -> Gate:
    """The gate as it is, or easing a later one."""
    if not later or draw(st.booleans()):
        return gate
    return replace(gate, eases=draw(st.sampled_from(later)).id, left=draw(st.floats(0, 1)))


@st.composite
def _forks(draw: st.DrawFn, idents: list[str]) -> list[Fork]:
    """Up to two forks that share out some of the items."""
    forks: list[Fork] = []
    for ident in draw(st.lists(IDENTS, max_size=min(2, len(idents) // 2), unique=True)):
        taken = {item for fork in forks for way in fork.ways for item in way.items}
        left = draw(st.permutations([item for item in idents if item not in taken]))
        if len(left) < 2:
            break
        cut = draw(st.integers(1, len(left) - 1)) if forks else 1
        names = draw(st.lists(IDENTS, min_size=2, max_size=2, unique=True))
        ways = [
            Way(id=name, name=draw(NAMES), items=tuple(part))
            for name, part in zip(names, (left[:cut], left[cut : cut + 1]), strict=True)
        ]
        chosen = draw(st.sampled_from(["", *names]))
        forks.append(Fork(id=ident, name=draw(NAMES), ways=tuple(ways), chosen=chosen))
    return forks


@st.composite
def _item(draw: st.DrawFn, ident: str, earlier: list[str], zone: ZoneInfo) -> Part | Work:
    after = tuple(draw(st.lists(st.sampled_from(earlier), unique=True))) if earlier else ()
    common: dict[str, Any] = {
        "id": ident,
        "name": draw(NAMES),
        "needed": draw(st.booleans()),
        "after": after,
    }
    match draw(st.integers(0, 2)):
        case 0:
            return draw(_part(common))
        case 1:
            return Work(**common, **draw(_work(zone)))
        case _:
            chance = draw(st.floats(0, 1))
            return Gate(**common, **draw(_work(zone)), chance=chance, redo=after[:1])


@st.composite
def layers(draw: st.DrawFn) -> Layers:
    """Names of layers, all different whatever their case, each with an operation."""
    names = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=9)
    wanted = st.tuples(names.filter(str.strip), st.sampled_from(Operation))
    return tuple(draw(st.lists(wanted, max_size=3, unique_by=lambda pair: pair[0].casefold())))


@st.composite
def _part(draw: st.DrawFn, common: dict[str, Any]) -> Part:
    route = draw(st.sampled_from(Route))
    cut = route is Route.CUT
    return Part(
        **common,
        file=draw(st.sampled_from(["parts/a.stl", "parts/b ü.OBJ", "parts/c.dxf"])),
        copies=draw(st.integers(1, 50)),
        route=route,
        material=draw(IDENTS),
        thickness_mm=draw(st.floats(0.05, 100) if cut else st.none() | st.floats(0.05, 100)),
        per_run=draw(st.none() | st.integers(1, 9)),
        unit=draw(st.sampled_from([None, "mm", "inch"])),
        turn_deg=draw(st.tuples(*[st.floats(-360, 360)] * 3)),
        layers=draw(layers()),
        minutes=draw(st.none() | spreads()),
        lay_deg=draw(st.lists(st.floats(-360, 360), max_size=3, unique=True).map(tuple)),
        fits=draw(_fits()),
    )


@st.composite
def _work(draw: st.DrawFn, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "minutes": draw(spreads()),
        "place": draw(st.just("") | IDENTS),
        "splittable": draw(st.booleans()),
        "undoable": draw(st.booleans()),
        "skill": draw(st.just("") | IDENTS),
        "skills": tuple(draw(st.lists(IDENTS, max_size=2, unique=True))),
        "early": draw(st.booleans()),
        "people_needed": draw(st.integers(1, 50)),
        **draw(_delivery(zone)),
    }


@st.composite
def _delivery(draw: st.DrawFn, zone: ZoneInfo) -> dict[str, Any]:
    moment = draw(st.none() | moments(zone))
    late = draw(st.none() | spreads()) if moment else None
    return {"not_before": moment, "late_minutes": late}
