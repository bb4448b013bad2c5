"""Reading `project.toml`: what is meant, and what is wrong with it."""

from dataclasses import fields, replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from fabsched.files.fits_toml import CHANNEL, COMPONENT, FIT
from fabsched.files.forks_toml import FORK, WAY
from fabsched.files.project_edit import project_text
from fabsched.files.project_toml import (
    KINDS,
    PART,
    PROJECT_FILE,
    gate_fields,
    parse_project,
    pin_fields,
    read_project,
    top_fields,
    work_fields,
)
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.operations import Operation
from fabsched.model.project import (
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

DATA = Path(__file__).parent.parent / "data" / "project_toml"
BERLIN = ZoneInfo("Europe/Berlin")
HEAD = 'zone = "Europe/Berlin"\ndeadline = 2026-10-25T20:00:00\n'

DEFECTS = {
    "not_toml": (Fault.TOML_MALFORMED, "project.toml"),
    "latin_1": (Fault.FILE_NOT_OF_KIND, "project.toml"),
    "empty": (Fault.FIELD_MISSING, "project.toml: zone"),
    "zone_missing": (Fault.FIELD_MISSING, "project.toml: zone"),
    "zone_unknown": (Fault.ZONE_UNKNOWN, "project.toml: zone"),
    "deadline_missing": (Fault.FIELD_MISSING, "project.toml: deadline"),
    "deadline_is_text": (Fault.FIELD_MALFORMED, "project.toml: deadline"),
    "deadline_without_hour": (Fault.FIELD_MALFORMED, "project.toml: deadline"),
    "deadline_in_year_20": (Fault.FIELD_OUT_OF_RANGE, "project.toml: deadline"),
    "odds_over_one": (Fault.FIELD_OUT_OF_RANGE, "project.toml: wanted_odds"),
    "field_unknown": (Fault.FIELD_UNKNOWN, "project.toml: wanted_ods"),
    "part_lay_none": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': lay_deg"),
    "part_is_no_table": (Fault.FIELD_MALFORMED, "project.toml: part"),
    "part_without_id": (Fault.FIELD_MISSING, "project.toml: part no. 1: id"),
    "part_without_file": (Fault.FIELD_MISSING, "project.toml: part 'lid': file"),
    "part_id_with_blank": (Fault.FIELD_MALFORMED, "project.toml: part 'my lid': id"),
    "part_field_unknown": (Fault.FIELD_UNKNOWN, "project.toml: part 'lid': copys"),
    "part_copies_zero": (Fault.FIELD_OUT_OF_RANGE, "project.toml: part 'lid': copies"),
    "part_copies_half": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': copies"),
    "part_copies_true": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': copies"),
    "part_route_unknown": (Fault.NAME_UNKNOWN, "project.toml: part 'lid': route"),
    "part_file_outside": (Fault.PATH_OUTSIDE, "project.toml: part 'lid': file"),
    "part_file_absolute": (Fault.PATH_OUTSIDE, "project.toml: part 'lid': file"),
    "part_file_on_drive": (Fault.PATH_OUTSIDE, "project.toml: part 'lid': file"),
    "part_file_backslash": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': file"),
    "part_file_kind_unknown": (Fault.FILE_KIND_UNKNOWN, "parts/lid.docx"),
    "part_unit_unknown": (Fault.UNIT_UNKNOWN, "project.toml: part 'lid': unit"),
    "part_turn_two_angles": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': turn_deg"),
    "part_turn_is_text": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': turn_deg"),
    "part_turn_over_full": (Fault.FIELD_OUT_OF_RANGE, "project.toml: part 'lid': turn_deg"),
    "part_layers_is_list": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': layers"),
    "part_layers_word_unknown": (Fault.NAME_UNKNOWN, "project.toml: part 'lid': layers: text"),
    "part_layers_twice": (Fault.NAME_TWICE, "project.toml: part 'lid': layers"),
    "part_minutes_descending": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': minutes"),
    "part_minutes_two": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': minutes"),
    "part_minutes_nan": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': minutes"),
    "part_minutes_below_zero": (Fault.FIELD_OUT_OF_RANGE, "project.toml: part 'lid': minutes"),
    "cut_without_material": (Fault.FIELD_MISSING, "project.toml: part 'base': material"),
    "cut_without_thickness": (Fault.FIELD_MISSING, "project.toml: part 'base': thickness_mm"),
    "people_needed_none": (Fault.FIELD_OUT_OF_RANGE, "project.toml: work 'lift': people_needed"),
    "people_needed_below_zero": (
        Fault.FIELD_OUT_OF_RANGE,
        "project.toml: work 'lift': people_needed",
    ),
    "people_needed_half": (Fault.FIELD_MALFORMED, "project.toml: work 'lift': people_needed"),
    "people_needed_text": (Fault.FIELD_MALFORMED, "project.toml: work 'lift': people_needed"),
    "late_without_moment": (Fault.FIELD_MISSING, "project.toml: work 'solder': not_before"),
    "fit_without_place": (Fault.FIELD_MISSING, "project.toml: part 'lid': fit 'pin': at_mm"),
    "fit_place_flat": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': fit 'pin': at_mm"),
    "fit_size_zero": (Fault.FIELD_OUT_OF_RANGE, "project.toml: part 'lid': fit 'pin': size_mm"),
    "fit_ends_same": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': fit 'pin': ends_mm"),
    "fit_nominal_zero": (
        Fault.FIELD_OUT_OF_RANGE,
        "project.toml: part 'lid': fit 'pin': nominal_mm",
    ),
    "fit_is_text": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': fit"),
    "fit_twice": (Fault.NAME_TWICE, "project.toml: part 'lid': fit 'pin': id"),
    "fit_gate_unknown": (Fault.NAME_UNKNOWN, "project.toml: part 'lid': fit 'pin': gate"),
    "component_without_id": (Fault.FIELD_MISSING, "project.toml: component no. 1: id"),
    "component_twice": (Fault.NAME_TWICE, "project.toml: component 'screws': id"),
    "component_count_zero": (
        Fault.FIELD_OUT_OF_RANGE,
        "project.toml: component 'screws': count",
    ),
    "channel_without_cables": (
        Fault.FIELD_MALFORMED,
        "project.toml: channel 'duct': cables_mm",
    ),
    "channel_twice": (Fault.NAME_TWICE, "project.toml: channel 'duct': id"),
    "component_needed_by_unknown": (
        Fault.NAME_UNKNOWN,
        "project.toml: component 'screws': needed_by",
    ),
    "after_unknown": (Fault.NAME_UNKNOWN, "project.toml: part 'lid': after"),
    "after_is_text": (Fault.FIELD_MALFORMED, "project.toml: part 'lid': after"),
    "redo_unknown": (Fault.NAME_UNKNOWN, "project.toml: gate 'fit': redo"),
    "id_twice": (Fault.NAME_TWICE, "project.toml: work 'lid': id"),
    "circle": (Fault.NEEDS_CIRCLE, "project.toml: part 'lid': after"),
    "waits_for_itself": (Fault.NEEDS_CIRCLE, "project.toml: part 'lid': after"),
    "work_without_minutes": (Fault.FIELD_MISSING, "project.toml: work 'wire': minutes"),
    "work_flag_is_text": (Fault.FIELD_MALFORMED, "project.toml: work 'wire': splittable"),
    "gate_chance_over_one": (Fault.FIELD_OUT_OF_RANGE, "project.toml: gate 'fit': chance"),
    "fork_without_ways": (Fault.FIELD_MISSING, "project.toml: fork 'base': way"),
    "fork_with_one_way": (Fault.FIELD_MALFORMED, "project.toml: fork 'base': way"),
    "fork_way_is_text": (Fault.FIELD_MALFORMED, "project.toml: fork 'base': way"),
    "fork_field_unknown": (Fault.FIELD_UNKNOWN, "project.toml: fork 'base': choosen"),
    "fork_chosen_unknown": (Fault.NAME_UNKNOWN, "project.toml: fork 'base': chosen"),
    "fork_twice": (Fault.NAME_TWICE, "project.toml: fork 'base': id"),
    "way_without_items": (Fault.FIELD_MISSING, "project.toml: fork 'base': way 'x': items"),
    "way_items_empty": (Fault.FIELD_MALFORMED, "project.toml: fork 'base': way 'x': items"),
    "way_without_id": (Fault.FIELD_MISSING, "project.toml: fork 'base': way no. 1: id"),
    "way_item_unknown": (Fault.NAME_UNKNOWN, "project.toml: fork 'base': way 'y': items"),
    "way_twice": (Fault.NAME_TWICE, "project.toml: fork 'base': way 'x': id"),
    "item_in_two_ways": (Fault.ITEM_IN_TWO_WAYS, "project.toml: fork 'base': way 'y': items"),
    "eases_unknown": (Fault.NAME_UNKNOWN, "project.toml: gate 'fit': eases"),
    "eases_a_part": (Fault.NAME_UNKNOWN, "project.toml: gate 'fit': eases"),
    "eases_itself": (Fault.NAME_UNKNOWN, "project.toml: gate 'fit': eases"),
    "eases_circle": (Fault.EASES_CIRCLE, "project.toml: gate 'fit': eases"),
    "gate_left_over_one": (Fault.FIELD_OUT_OF_RANGE, "project.toml: gate 'fit': left"),
}


@pytest.mark.parametrize("defect", DEFECTS)
def test_each_defect_is_told_with_its_place(defect: str, tmp_path: Path) -> None:
    """A file with one defect is refused with that defect's code, naming the field."""
    (tmp_path / PROJECT_FILE).write_bytes((DATA / f"{defect}.toml").read_bytes())
    with pytest.raises(InputError) as caught:
        read_project(tmp_path)
    assert (caught.value.code, caught.value.where) == DEFECTS[defect]


def test_no_defect_is_forgotten() -> None:
    """Every file of a defect has its line in the table above."""
    assert {path.stem for path in DATA.iterdir()} == set(DEFECTS)


def test_layers_are_named_with_what_is_done() -> None:
    """In one line or as a table below the part, names as the drawing has them."""
    part = '[[part]]\nid = "lid"\nfile = "lid.svg"\nmaterial = "plywood"\nthickness_mm = 3.0\n'
    inline = 'layers = { outline = "cut", "Text 2" = "engrave" }\n'
    below = '[part.layers]\noutline = "cut"\n"Text 2" = "engrave"\n'
    wanted = (("outline", Operation.CUT), ("Text 2", Operation.ENGRAVE))
    for written in (inline, below):
        project = parse_project(HEAD + part + written, "x")
        assert project.parts[0].layers == wanted
        changed = replace(project, parts=(replace(project.parts[0], copies=2, layers=()),))
        text = project_text(changed, HEAD + part + written, "x")
        assert parse_project(text, "x").parts[0].layers == ()
        assert parse_project(project_text(project, text, "x"), "x") == project


def test_fits_and_components_are_edited_in_place() -> None:
    """Comments stay beside the fields that stay; what goes takes its table along."""
    text = (
        HEAD
        + '[[part]]\nid = "lid"\nfile = "lid.stl"\n\n'
        + '[[part.fit]]\nid = "pin"  # for the sensor\nat_mm = [1, 2, 3]\nsize_mm = [4, 4, 6]\n\n'
        + '[[component]]\nid = "screws"\ncount = 4\nneeded_by = ["lid"]  # all four corners\n'
    )
    project = parse_project(text, "x")
    lid, screws = project.parts[0], project.components[0]
    assert (lid.fits[0].at_mm, lid.fits[0].kind) == ((1.0, 2.0, 3.0), FitKind.HOLE)
    wider = replace(lid, fits=(replace(lid.fits[0], clearance_mm=0.2),))
    bought = replace(screws, have=6, spares=2)
    changed = replace(project, parts=(wider,), components=(bought,))
    edited = project_text(changed, text, "x")
    assert parse_project(edited, "x") == changed
    assert "# for the sensor" in edited
    assert "# all four corners" in edited
    assert bought.short == 0
    bare = replace(changed, parts=(replace(lid, fits=()),), components=())
    assert parse_project(project_text(bare, edited, "x"), "x") == bare


def test_the_sample_is_read_as_written(sample: Path) -> None:
    """The sample's fields arrive in the records, in its own zone."""
    project = read_project(sample)
    louvre = project.parts[0]
    base = next(part for part in project.parts if part.id == "base_plate")
    assert project.deadline == datetime(2027, 3, 7, 21, tzinfo=BERLIN)
    assert (louvre.copies, louvre.per_run, louvre.route) == (6, 3, Route.PRINT)
    assert (base.route, base.material, base.thickness_mm) == (Route.CUT, "acrylic", 3.0)
    assert project.works[2].minutes == Spread(80, 120, 200)
    assert project.gates[1].place == "workshop"


def test_only_what_has_no_default_must_be_given() -> None:
    """Names come from ids, the route from the ending, the rest from the records."""
    text = (
        HEAD + '[[part]]\nid = "top-lid_2"\nfile = "a/b.stl"\n[[work]]\nid = "wire"\nminutes = 5\n'
    )
    project = parse_project(text, "folder")
    assert project.name == "folder"
    assert project.parts == (Part(id="top-lid_2", name="Top lid 2", file="a/b.stl"),)
    assert project.works == (Work(id="wire", name="Wire", minutes=Spread(5, 5, 5)),)


def test_a_drawing_is_cut_unless_said_otherwise() -> None:
    """The route follows the file's ending."""
    text = HEAD + '[[part]]\nid = "b"\nfile = "b.SVG"\nmaterial = "plywood"\nthickness_mm = 3\n'
    assert parse_project(text, "x").parts[0].route is Route.CUT


@pytest.mark.parametrize(
    "ways",
    [
        '[[fork.way]]\nid = "x"\nitems = ["a"]\n\n[[fork.way]]\nid = "y"\nitems = ["b"]\n',
        'way = [{ id = "x", items = ["a"] }, { id = "y", items = ["b"] }]\n',
    ],
)
def test_ways_are_tables_or_inline(ways: str) -> None:
    """Both writings of a fork's ways mean the same."""
    parts = "".join(f'[[part]]\nid = "{ident}"\nfile = "a.stl"\n' for ident in "ab")
    project = parse_project(f'{HEAD}{parts}[[fork]]\nid = "the-base"\n{ways}', "x")
    both = (Way(id="x", name="X", items=("a",)), Way(id="y", name="Y", items=("b",)))
    assert project.forks == (Fork(id="the-base", name="The base", ways=both),)


@pytest.mark.parametrize(
    ("written", "utc_hour"),
    [
        ("2026-10-25T20:00:00", 19),  # winter time since this morning
        ("2026-10-24T20:00:00", 18),  # still summer time
        ("2026-10-25T20:00:00Z", 20),
        ("2026-10-25 20:00:00-05:00", 1),
        ("2026-03-29T02:30:00", 1),  # a time the clocks skip is moved on by an hour
    ],
)
def test_moments_are_clock_times_of_the_zone(written: str, utc_hour: int) -> None:
    """A local time is meant in the zone, an offset is obeyed; both are shown in the zone."""
    deadline = parse_project(f'zone = "Europe/Berlin"\ndeadline = {written}\n', "x").deadline
    assert deadline.tzinfo == BERLIN
    assert deadline.astimezone(UTC).hour == utc_hour


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """Some editors put a mark before the text."""
    (tmp_path / PROJECT_FILE).write_bytes(b"\xef\xbb\xbf" + HEAD.encode())
    assert read_project(tmp_path).zone == BERLIN


def test_no_folder_and_no_project_are_told_apart(tmp_path: Path) -> None:
    """A missing folder is missing; a folder without the file is no project."""
    for folder, code in ((tmp_path / "gone", Fault.FILE_MISSING), (tmp_path, Fault.NOT_A_PROJECT)):
        with pytest.raises(InputError) as caught:
            read_project(folder)
        assert caught.value.code is code


def test_fields_are_those_of_the_records() -> None:
    """What can be written is exactly what the records hold."""
    assert set(PART) - {"fit"} == {field.name for field in fields(Part)} - {"fits"}
    assert set(FIT) == {field.name for field in fields(Fit)}
    assert set(COMPONENT) == {field.name for field in fields(Component)}
    assert set(CHANNEL) == {field.name for field in fields(Channel)}
    assert set(work_fields(BERLIN)) == {field.name for field in fields(Work)}
    assert set(gate_fields(BERLIN)) == {field.name for field in fields(Gate)}
    assert set(WAY) == {field.name for field in fields(Way)}
    assert set(FORK) - {"way"} == {field.name for field in fields(Fork)} - {"ways"}
    arrays = {"parts", "works", "gates", "forks", "components", "channels", "pins"}
    tops = {field.name for field in fields(Project)} - arrays
    assert set(top_fields(BERLIN)) == tops
    assert set(pin_fields(BERLIN)) == {field.name for field in fields(Pin)}
    assert KINDS == ("part", "work", "gate", "fork", "component", "channel", "pin")


def test_the_parsers_complaint_names_line_and_column() -> None:
    """A slip in the TOML itself is found by its place."""
    with pytest.raises(InputError) as caught:
        parse_project('zone = "UTC"\ndeadline = 2026-10-25T20:00:00\nname = \n', "x")
    assert (caught.value.facts["line"], caught.value.facts["column"]) == (3, 8)


def test_an_unknown_field_tells_the_nearest() -> None:
    """A slip of the pen is answered by the name that was meant."""
    with pytest.raises(InputError) as caught:
        parse_project(HEAD + '[[part]]\nid = "a"\nfile = "a.stl"\nmateriel = "PLA"\n', "x")
    assert caught.value.facts["nearest"] == "material"
