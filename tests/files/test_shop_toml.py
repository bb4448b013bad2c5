"""Reading `shop.toml`, with printers by kit and materials over the shipped ones."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from fabsched.files.materials_toml import FILAMENT, SETTING, SHEET_MATERIAL
from fabsched.files.resources import resource
from fabsched.files.shop_toml import (
    BUILD,
    KINDS,
    MOTION,
    find_shop,
    parse_shop,
    read_shop,
    user_shop,
)
from fabsched.files.toml_read import Fields
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import CutSetting, Cutting, Filament, SheetMaterial
from fabsched.model.shop import Build, Motion, Printer
from fabsched.model.spread import Spread

DATA = Path(__file__).parent.parent / "data" / "shop_toml"
HOME = '[[place]]\nid = "home"\n'

DEFECTS = {
    "field_unknown": (Fault.FIELD_UNKNOWN, "shop.toml: curency"),
    "hours_malformed": (Fault.HOURS_MALFORMED, "shop.toml: place 'home': hours"),
    "hours_of_holidays": (Fault.HOURS_UNKNOWABLE, "shop.toml: place 'home': hours"),
    "hours_by_the_sun": (Fault.HOURS_UNKNOWABLE, "shop.toml: place 'home': hours"),
    "place_without_id": (Fault.FIELD_MISSING, "shop.toml: place no. 1: id"),
    "printer_place_unknown": (Fault.NAME_UNKNOWN, "shop.toml: printer 'one': place"),
    "printer_without_bed": (Fault.FIELD_MISSING, "shop.toml: printer 'one': bed_mm"),
    "printer_bed_flat": (Fault.FIELD_MALFORMED, "shop.toml: printer 'one': bed_mm"),
    "printer_bed_negative": (Fault.FIELD_OUT_OF_RANGE, "shop.toml: printer 'one': bed_mm"),
    "printer_kit_unknown": (Fault.NAME_UNKNOWN, "shop.toml: printer 'one': kit"),
    "printer_motion_unknown": (
        Fault.FIELD_UNKNOWN,
        "shop.toml: printer 'one': motion: wal_mm_s",
    ),
    "printer_unattended_sometimes": (
        Fault.FIELD_MALFORMED,
        "shop.toml: printer 'one': unattended",
    ),
    "printer_watch_negative": (
        Fault.FIELD_OUT_OF_RANGE,
        "shop.toml: printer 'one': watch_minutes",
    ),
    "printer_speed_zero": (
        Fault.FIELD_OUT_OF_RANGE,
        "shop.toml: printer 'one': motion: wall_mm_s",
    ),
    "printer_build_is_text": (Fault.FIELD_MALFORMED, "shop.toml: printer 'one': build"),
    "id_twice": (Fault.NAME_TWICE, "shop.toml: person 'home': id"),
    "person_without_hours": (Fault.FIELD_MISSING, "shop.toml: person 'me': hours"),
    "person_base_unknown": (Fault.NAME_UNKNOWN, "shop.toml: person 'me': base"),
    "travel_to_itself": (Fault.FIELD_MALFORMED, "shop.toml: travel no. 1: between"),
    "travel_to_nowhere": (Fault.NAME_UNKNOWN, "shop.toml: travel home - lab: between"),
    "spool_material_unknown": (Fault.MATERIAL_UNKNOWN, "shop.toml: spool 'white': material"),
    "sheet_outline_flat": (Fault.FIELD_MALFORMED, "shop.toml: sheet 'rest': outline"),
    "sheet_outline_beyond": (Fault.FIELD_OUT_OF_RANGE, "shop.toml: sheet 'rest': outline"),
    "sheet_without_size": (Fault.FIELD_MISSING, "shop.toml: sheet 'rest': size_mm"),
    "laser_keep_out_negative": (Fault.FIELD_OUT_OF_RANGE, "shop.toml: laser 'laser': keep_out"),
    "printer_keep_out_is_a_corner": (
        Fault.FIELD_MALFORMED,
        "shop.toml: printer 'one': keep_out",
    ),
    "sheet_count_negative": (Fault.FIELD_OUT_OF_RANGE, "shop.toml: sheet 'ply': count"),
    "spool_twice": (Fault.NAME_TWICE, "shop.toml: spool 'white': id"),
    "filament_without_density": (
        Fault.FIELD_MISSING,
        "shop.toml: filament 'own': density_g_cm3",
    ),
    "laser_unattended": (Fault.LASER_ATTENDED, "shop.toml: laser 'laser': unattended"),
    "laser_attended_off": (Fault.LASER_ATTENDED, "shop.toml: laser 'laser': attended"),
    "sheet_of_vinyl": (Fault.MATERIAL_FORBIDDEN, "shop.toml: sheet 'signs': material"),
    "material_lifted_by_name": (
        Fault.MATERIAL_FORBIDDEN,
        "shop.toml: sheet_material 'white-vinyl_1': cutting",
    ),
    "material_lifted_by_also": (
        Fault.MATERIAL_FORBIDDEN,
        "shop.toml: sheet_material 'sign_foil': cutting",
    ),
    "setting_measured_with_hour": (
        Fault.FIELD_MALFORMED,
        "shop.toml: sheet_material 'plywood': setting 3 mm: measured",
    ),
    "material_lifted": (
        Fault.MATERIAL_FORBIDDEN,
        "shop.toml: sheet_material 'PVC': cutting",
    ),
    "setting_without_feed": (
        Fault.FIELD_MISSING,
        "shop.toml: sheet_material 'plywood': setting 3 mm: feed_mm_s",
    ),
    "sheet_material_unknown_cutting": (
        Fault.NAME_UNKNOWN,
        "shop.toml: sheet_material 'own': cutting",
    ),
}


@pytest.mark.parametrize("defect", DEFECTS)
def test_each_defect_is_told_with_its_place(defect: str) -> None:
    """A file with one defect is refused with that defect's code, naming the field."""
    with pytest.raises(InputError) as caught:
        parse_shop((DATA / f"{defect}.toml").read_text("utf-8"))
    assert (caught.value.code, caught.value.where) == DEFECTS[defect]


def test_no_defect_is_forgotten() -> None:
    """Every file of a defect has its line in the table above."""
    assert {path.stem for path in DATA.iterdir()} == set(DEFECTS)


def test_the_shipped_shop_can_be_used() -> None:
    """Without any file there is a home with a printer, a workshop with a laser, and somebody."""
    shop = read_shop(resource("shop/shop.toml"))
    assert {place.id for place in shop.places} == {"home", "workshop"}
    assert (shop.printers[0].bed_mm, shop.lasers[0].power_w) == ((220, 220, 250), 60)
    assert shop.travels[0].minutes == 25
    assert shop.people[0].base == "home"
    assert shop.spools
    assert shop.sheets


REST = '[[sheet]]\nid = "rest"\nmaterial = "plywood"\nthickness_mm = 3.0\n'


def test_an_offcut_is_as_large_as_its_border() -> None:
    """Unless its size is given, too; two corners are a rectangle."""
    corners = "outline = [[0, 0], [100, 0], [0, 80]]\n"
    sheet = parse_shop(REST + corners).sheets[0]
    assert (sheet.size_mm, sheet.outline) == ((100, 80), ((0, 0), (100, 0), (0, 80)))
    assert parse_shop(REST + corners + "size_mm = [200, 90]\n").sheets[0].size_mm == (200, 90)
    box = parse_shop(REST + "outline = [[0, 0], [100, 60]]\n").sheets[0]
    assert box.outline == ((0, 0), (100, 0), (100, 60), (0, 60))


def test_an_offcut_may_be_drawn(tmp_path: Path) -> None:
    """The largest closed border of a file beside the shop's, moved to the corner."""
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" '
        'viewBox="0 0 200 100"><path d="M 50 20 H 150 V 80 H 50 Z"/>'
        '<path d="M 60 30 H 70 V 40 H 60 Z"/></svg>'
    )
    (tmp_path / "rest.svg").write_text(drawing)
    (tmp_path / "shop.toml").write_text(REST + 'outline = "rest.svg"\n')
    sheet = read_shop(tmp_path / "shop.toml").sheets[0]
    assert sheet.size_mm == pytest.approx((100, 60), abs=1e-3)
    assert len(sheet.outline) == 4
    (tmp_path / "shop.toml").write_text(REST + 'outline = "none.svg"\n')
    with pytest.raises(InputError) as caught:
        read_shop(tmp_path / "shop.toml")
    assert caught.value.code is Fault.FILE_MISSING


def test_areas_stay_free() -> None:
    """As corners, on printers and lasers."""
    printer = '[[printer]]\nid = "one"\nplace = "home"\nbed_mm = [200, 200, 200]\n'
    shop = parse_shop(
        HOME + printer + "keep_out = [[[0, 0], [40, 30]], [[9, 9], [8, 9], [9, 7]]]\n"
    )
    free = shop.printers[0].keep_out
    assert [len(ring) for ring in free] == [4, 3]
    assert free[0][2] == (40.0, 30.0)


def test_a_kit_gives_what_the_shop_leaves_out() -> None:
    """Figures of the kit count where the printer's table, or the one inside it, has none."""
    kit = '[[printer]]\nid = "one"\nplace = "home"\nkit = "large"\n'
    plain = parse_shop(HOME + kit).printers[0]
    own = parse_shop(HOME + kit + "heat_s = 60\n[printer.motion]\nwall_mm_s = 33\n").printers[0]
    assert list(plain.bed_mm) == [350, 350, 400]
    assert (own.heat_s, own.motion.wall_mm_s) == (60, 33)
    assert own.motion.inner_mm_s == plain.motion.inner_mm_s != Motion().inner_mm_s
    assert own.build == Build()


@pytest.mark.parametrize("kit", ["small", "medium", "large"])
def test_each_kit_is_a_whole_printer(kit: str) -> None:
    """A kit and a place are all a printer needs."""
    printer = parse_shop(f'{HOME}[[printer]]\nid = "one"\nplace = "home"\nkit = "{kit}"\n').printers
    assert isinstance(printer[0], Printer)


@pytest.mark.parametrize("name", [*MOTION, *BUILD])
def test_kits_set_and_explain_every_figure(name: str) -> None:
    """Each figure of motion and build has its line of explanation, and a value in every kit."""
    text = resource("shop/printers.toml").read_text("utf-8")
    assert len(re.findall(rf"^# {name} +\w", text, re.MULTILINE)) == 1
    assert len(re.findall(rf"^{name} = ", text, re.MULTILINE)) == 3


def test_own_materials_lie_over_the_shipped_ones() -> None:
    """A shop's entry changes the fields it names and leaves the rest; a new id is added."""
    shipped = {material.id: material for material in parse_shop("").filaments}
    text = '[[filament]]\nid = "PLA"\ncost_kg = 31\n[[filament]]\nid = "own"\ndensity_g_cm3 = 1.1\n'
    shop = {material.id: material for material in parse_shop(text).filaments}
    assert shop["PLA"].cost_kg == 31
    assert shop["PLA"].density_g_cm3 == shipped["PLA"].density_g_cm3
    assert set(shop) == {*shipped, "own"}


def test_an_own_setting_replaces_that_thickness_alone() -> None:
    """Measured settings of one thickness go before the shipped ones; other thicknesses stay."""
    setting = (
        '[[sheet_material]]\nid = "plywood"\n[[sheet_material.setting]]\nthickness_mm = 3\n'
        "power_w = 40\nfeed_mm_s = [5, 6, 7]\npierce_s = 0.4\npasses = 2\nkerf_mm = 0.2\n"
    )
    before = next(m for m in parse_shop("").sheet_materials if m.id == "plywood")
    after = next(m for m in parse_shop(setting).sheet_materials if m.id == "plywood")
    three = [s for s in after.settings if s.thickness_mm == 3]
    assert [s.feed_mm_s for s in three] == [Spread(5, 6, 7)]
    assert [s for s in after.settings if s.thickness_mm != 3] == [
        s for s in before.settings if s.thickness_mm != 3
    ]


def test_what_is_forbidden_stays_so() -> None:
    """Own figures for a forbidden material do not allow it."""
    text = '[[sheet_material]]\nid = "pvc"\ndensity_g_cm3 = 1.4\n'
    pvc = next(m for m in parse_shop(text).sheet_materials if m.id == "pvc")
    assert pvc.cutting is Cutting.FORBIDDEN


def test_the_nearest_shop_file_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside the project, else in the user's folder, else the shipped one."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    project = tmp_path / "project"
    project.mkdir()
    assert find_shop(project) == resource("shop/shop.toml")
    user_shop().parent.mkdir(parents=True)
    user_shop().write_text("")
    assert find_shop(project) == user_shop()
    (project / "shop.toml").write_text("")
    assert find_shop(project) == project / "shop.toml"


def test_a_fault_names_the_file_it_is_in(tmp_path: Path) -> None:
    """The project's own shop file goes by its name, any other by its path."""
    path = tmp_path / "shop.toml"
    path.write_text("[[place]]\n")
    for home, name in ((tmp_path, "shop.toml"), (None, str(path)), (tmp_path / "box", str(path))):
        with pytest.raises(InputError) as caught:
            read_shop(path, home)
        assert caught.value.where == f"{name}: place no. 1: id"


def test_nobody_is_sent_to_a_forbidden_material() -> None:
    """What is proposed instead of an unknown material may be used."""
    text = '[[sheet]]\nid = "a"\nmaterial = "wood"\nthickness_mm = 3\nsize_mm = [9, 9]\n'
    with pytest.raises(InputError) as caught:
        parse_shop(text)
    known = str(caught.value.facts["known"]).split(", ")
    assert "plywood" in known
    assert "pvc" not in known


def test_fields_are_those_of_the_records() -> None:
    """What can be written is exactly what the records hold."""
    inner: dict[type, Fields] = {
        Motion: MOTION,
        Build: BUILD,
        Filament: FILAMENT,
        CutSetting: SETTING,
    }
    outer: dict[type, Fields] = dict(KINDS.values())
    for record, known in (outer | inner).items():
        assert set(known) == {field.name for field in fields(record)}, record
    assert {*SHEET_MATERIAL, "settings"} == {field.name for field in fields(SheetMaterial)}


@pytest.mark.parametrize("record", [Motion, Build])
def test_defaults_keep_their_own_rules(record: type[Motion | Build]) -> None:
    """Every default of a record could be written into the file."""
    known = MOTION if record is Motion else BUILD
    for name, field in known.items():
        assert field.rule.read(getattr(record(), name), name) == getattr(record(), name)
