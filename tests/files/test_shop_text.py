"""Writing `shop.toml`: what was changed arrives, everything else stays as it is written."""

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.resources import resource
from fabsched.files.shop_text import LISTS, keys_of, records_of, shop_text, with_records
from fabsched.files.shop_toml import KINDS, parse_shop
from fabsched.files.toml_read import Number, Sizes, Whole
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import (
    Build,
    Calendar,
    Laser,
    Motion,
    Person,
    Place,
    Printer,
    Sheet,
    Shop,
    Spool,
    Travel,
)
from tests.files.toml_strategies import IDENTS, NAMES

SHIPPED = resource("shop/shop.toml").read_text("utf-8")
HOURS = st.sampled_from(["24/7", "Mo-Fr 18:00-23:00", "Sa 10:00-18:00; Su off", "off"])
BUSY = st.none() | st.just(Calendar(file="holidays.ics"))
CORNERS = st.just(((0.0, 0.0), (10.5, 0.0), (0.0, 10.0)))


def numbers(kind: str, *left_out: str) -> st.SearchStrategy[dict[str, Any]]:
    """Any of the numbers a table may hold, within its ranges."""
    known = {
        name: st.integers(field.rule.low, field.rule.high)
        if isinstance(field.rule, Whole)
        else st.floats(field.rule.low, field.rule.high, allow_subnormal=False)
        for name, field in KINDS[kind][1].items()
        if isinstance(field.rule, Number | Whole) and name not in left_out
    }
    needed = {name for name in known if KINDS[kind][1][name].required}
    return st.fixed_dictionaries(
        {name: known[name] for name in needed},
        optional={name: rule for name, rule in known.items() if name not in needed},
    )


def sizes(count: int) -> st.SearchStrategy[tuple[float, ...]]:
    """Lengths of a bed or sheet, large enough for the corners above."""
    assert isinstance(KINDS["printer"][1]["bed_mm"].rule, Sizes)
    return st.tuples(*[st.floats(20, 10_000)] * count)


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """The shipped shop with other contents: some of its own, changed or not, and new ones."""
    shop = parse_shop(SHIPPED)
    idents = draw(st.lists(IDENTS, min_size=4, max_size=7, unique=True))
    own = ["home", "workshop"] if draw(st.booleans()) else ["home"]
    places = [*own, *idents[:2]]
    made: dict[str, list[Any]] = {
        "place": [draw(_place(ident)) for ident in places],
        "travel": [
            Travel(between=(places[0], other), minutes=draw(st.floats(0, 1440)))
            for other in places[1:]
        ],
        "person": [
            draw(_person(i, places)) for i in draw(st.sampled_from([["maker"], idents[2:3]]))
        ],
        "printer": [draw(_printer(i, places)) for i in ("printer", *idents[3:4])],
        "laser": [draw(_laser(i, places)) for i in ("laser", *idents[4:5])],
        "spool": [
            Spool(id=i, material="PLA", mass_g=draw(st.floats(0, 100_000)))
            for i in draw(st.permutations(["pla", "petg", *idents[5:6]]))
        ],
        "sheet": [draw(_sheet(i)) for i in draw(st.permutations(["plywood", *idents[6:7]]))],
    }
    for kind, records in made.items():
        kept = {r.id: r for r in records_of(shop, kind) if not isinstance(r, Travel)}
        chosen = [
            kept[r.id] if not isinstance(r, Travel) and r.id in kept and draw(st.booleans()) else r
            for r in records
        ]
        if kind != "place" and any(getattr(r, "place", "home") not in places for r in chosen):
            chosen = records
        shop = with_records(shop, kind, chosen)
    return replace(shop, currency=draw(st.sampled_from(["EUR", "CHF"])))


@st.composite
def _place(draw: st.DrawFn, ident: str) -> Place:
    return Place(id=ident, name=draw(NAMES), hours=draw(HOURS), busy=draw(BUSY))


@st.composite
def _person(draw: st.DrawFn, ident: str, places: list[str]) -> Person:
    skills = draw(st.lists(NAMES, max_size=2, unique=True))
    base = draw(st.sampled_from(places))
    hours, busy = draw(HOURS), draw(BUSY)
    name = draw(NAMES)
    return Person(id=ident, name=name, base=base, hours=hours, busy=busy, skills=tuple(skills))


@st.composite
def _printer(draw: st.DrawFn, ident: str, places: list[str]) -> Printer:
    motion = Motion(wall_mm_s=draw(st.floats(0.1, 2000))) if draw(st.booleans()) else Motion()
    build = Build(walls=draw(st.integers(1, 100))) if draw(st.booleans()) else Build()
    return Printer(
        id=ident,
        name=draw(NAMES),
        place=draw(st.sampled_from(places)),
        bed_mm=draw(sizes(3)),  # type: ignore[arg-type]  # three of them
        hours=draw(HOURS),
        busy=draw(BUSY),
        unattended=draw(st.sampled_from([True, False, "nearby"])),
        one_by_one=draw(st.booleans()),
        motion=motion,
        build=build,
        keep_out=(draw(CORNERS),) if draw(st.booleans()) else (),
        **draw(numbers("printer")),
    )


@st.composite
def _laser(draw: st.DrawFn, ident: str, places: list[str]) -> Laser:
    return Laser(
        id=ident,
        name=draw(NAMES),
        place=draw(st.sampled_from(places)),
        bed_mm=draw(sizes(2)),  # type: ignore[arg-type]  # two of them
        hours=draw(HOURS),
        busy=draw(BUSY),
        **draw(numbers("laser")),
    )


@st.composite
def _sheet(draw: st.DrawFn, ident: str) -> Sheet:
    return Sheet(
        id=ident,
        material=draw(st.sampled_from(["plywood", "acrylic"])),
        size_mm=draw(sizes(2)),  # type: ignore[arg-type]  # two of them
        outline=draw(CORNERS) if draw(st.booleans()) else (),
        **draw(numbers("sheet")),
    )


@given(shop=shops())
def test_any_change_arrives_and_comments_stay(shop: Shop) -> None:
    """Read again the text says what was wanted; free comments and those of kept tables are there.

    Going back gives the shop of before, and writing the same again changes nothing.
    """
    text = shop_text(shop, SHIPPED)
    assert parse_shop(text) == shop
    assert shop_text(shop, text) == text
    for line in SHIPPED.splitlines():
        if line.startswith("#"):
            assert line in text
    for comment in ("on a bare table", "somebody stands beside it as long as it cuts"):
        assert comment in SHIPPED
        assert comment in text
    assert parse_shop(shop_text(parse_shop(SHIPPED), text)) == parse_shop(SHIPPED)


OWN = """\
# mine
currency = "CHF"   # sign

[[filament]]
id = "PLA"
cost_kg = 31   # weighed

# the flat
[[place]]
id = "home"
hours = "24/7"   # always

[[printer]]
id = "one"
place = "home"
kit = "large"
heat_s = 60   # timed

[printer.motion]
wall_mm_s = 33   # measured

# of last year
[[sheet]]
id = "rest"
material = "plywood"
thickness_mm = 3
outline = "rest.dxf"
"""


def _changed(shop: Shop, kind: str, **changes: Any) -> Shop:
    """The shop with fields of the first record of a kind changed."""
    first, *rest = records_of(shop, kind)
    return with_records(shop, kind, [replace(first, **changes), *rest])


def test_only_the_line_that_differs_is_touched() -> None:
    """Each change of a field changes its line alone, and keeps the comment behind it."""
    shop = parse_shop(OWN)
    motion = replace(shop.printers[0].motion, wall_mm_s=40.0)
    for kind, changes, before, after in (
        ("printer", {"motion": motion}, "wall_mm_s = 33 ", "wall_mm_s = 40 "),
        ("printer", {"heat_s": 90.5}, "heat_s = 60 ", "heat_s = 90.5 "),
        ("place", {"hours": "Su off"}, 'hours = "24/7" ', 'hours = "Su off" '),
        ("sheet", {"thickness_mm": 4.0}, "thickness_mm = 3\n", "thickness_mm = 4\n"),
    ):
        assert shop_text(_changed(shop, kind, **changes), OWN) == OWN.replace(before, after)
    text = shop_text(replace(shop, currency="EUR"), OWN)
    assert text == OWN.replace('"CHF" ', '"EUR" ')


def test_what_a_kit_gave_can_be_changed() -> None:
    """A figure of the kit becomes one of the printer's own; the others stay those of the kit."""
    shop = parse_shop(OWN)
    build = replace(shop.printers[0].build, walls=5)
    wanted = _changed(shop, "printer", build=build, cool_s=300.0)
    text = shop_text(wanted, OWN)
    assert parse_shop(text) == wanted
    assert 'kit = "large"' in text


def test_a_new_table_leaves_out_what_is_usual() -> None:
    """Only what has to be there, the name, and what is not the usual is written."""
    shop = parse_shop(OWN)
    printer = Printer(id="two", name="Two", place="home", bed_mm=(100, 100, 100.5))
    printer = replace(printer, motion=Motion(wall_mm_s=44))
    text = shop_text(with_records(shop, "printer", [*shop.printers, printer]), OWN)
    table = (
        '[[printer]]\nid = "two"\nname = "Two"\nplace = "home"\nbed_mm = [100, 100, 100.5]\n\n'
        "[printer.motion]\nwall_mm_s = 44\n"
    )
    assert table in text
    assert text.replace(f"\n{table}", "") == OWN


def test_taking_a_table_out_leaves_the_others_alone() -> None:
    """The comment right above it goes with it; all other lines stay."""
    shop = parse_shop(OWN)
    text = shop_text(with_records(shop, "sheet", []), OWN)
    assert text.rstrip() == OWN[: OWN.index("# of last year")].rstrip()


def test_calendars_are_named_and_no_longer_named() -> None:
    """What stands in one is not for the shop file to say."""
    busy = Calendar(file="home.ics", text="BEGIN:VCALENDAR...")
    named = shop_text(_changed(parse_shop(OWN), "place", busy=busy), OWN)
    assert 'busy = "home.ics"\n' in named
    assert shop_text(_changed(parse_shop(named), "place", busy=None), named) == OWN


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"base": "moon"}, "shop.toml: person 'maker': base"),
        ({"hours": "whenever"}, "shop.toml: person 'maker': hours"),
    ],
)
def test_a_shop_that_breaks_a_rule_is_refused(changes: dict[str, str], where: str) -> None:
    """The error names the field."""
    with pytest.raises(InputError) as caught:
        shop_text(_changed(parse_shop(SHIPPED), "person", **changes), SHIPPED)
    assert caught.value.where == where


@pytest.mark.parametrize(
    "text",
    [
        'place = [{ id = "home" }]\n',
        '[[place]]\nid = "home"\n[["place"]]\nid = "lab"\n',
    ],
)
def test_an_odd_layout_is_refused_in_a_line(text: str) -> None:
    """Where a change cannot be put in, nothing is written."""
    shop = parse_shop(text)
    with pytest.raises(InputError) as caught:
        shop_text(with_records(shop, "place", [*shop.places, Place(id="x", name="X")]), text)
    assert caught.value.code is Fault.FILE_UNWRITABLE


def test_materials_are_left_to_the_file() -> None:
    """A shop with other materials cannot be written."""
    with pytest.raises(InputError) as caught:
        shop_text(replace(parse_shop(OWN), filaments=()), OWN)
    assert caught.value.code is Fault.FILE_UNWRITABLE


def test_an_offcut_drawn_in_a_file_stays_so(tmp_path: Path) -> None:
    """Changing its count does not write its corners down."""
    square = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
    )
    (tmp_path / "rest.svg").write_text(f'{square}<rect width="80" height="70"/></svg>')
    text = OWN.replace("rest.dxf", "rest.svg")
    shop = parse_shop(text, tmp_path)
    assert shop.sheets[0].outline
    edited = shop_text(_changed(shop, "sheet", count=4), text, tmp_path)
    assert edited.rstrip() == f"{text}count = 4"


def test_every_kind_of_table_has_its_list() -> None:
    """Ways that occur twice are told apart; a shop holds a list for each kind."""
    assert set(LISTS) == set(KINDS)
    assert set(LISTS.values()) <= {field.name for field in fields(Shop)}
    way = Travel(between=("a", "b"), minutes=1)
    assert len(set(keys_of([way, way]))) == 2
