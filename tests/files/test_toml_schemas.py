"""The JSON Schemas for editors: they say what the readers say, as far as a schema can."""

import json
import tomllib
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from fabsched.files.fits_toml import CHANNEL, COMPONENT, FIT
from fabsched.files.forks_toml import FORK, WAY
from fabsched.files.materials_toml import FILAMENT, SETTING, SHEET_MATERIAL
from fabsched.files.project_edit import new_project_text
from fabsched.files.project_toml import PART, gate_fields, top_fields, work_fields
from fabsched.files.resources import resource
from fabsched.files.shop_toml import BUILD, KINDS, MOTION, TOP
from fabsched.files.toml_read import Fields, Number, Whole
from fabsched.model.project import Project
from tests.files import test_project_toml, test_shop_toml
from tests.files.toml_strategies import projects

UTC = ZoneInfo("UTC")
SAYABLE = {"field-missing", "field-unknown", "field-malformed", "field-out-of-range"}
UNSAYABLE = {
    "deadline_is_text",  # JSON knows no moments, only text
    "deadline_without_hour",
    "deadline_in_year_20",
    "setting_measured_with_hour",
    "part_minutes_descending",  # nor order
    "sheet_outline_beyond",  # nor one field by another
    "sheet_outline_flat",  # nor areas
    "part_minutes_nan",  # nor what is not a number
    "cut_without_material",  # nor endings of files
    "cut_without_thickness",
    "filament_without_density",  # nor which materials are shipped
}


def _schema(name: str) -> Draft202012Validator:
    text = resource(f"schemas/{name}.schema.json").read_text("utf-8")
    return Draft202012Validator(json.loads(text))


def _plain(value: Any) -> Any:
    """TOML values as JSON has them."""
    if isinstance(value, dict):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_plain(entry) for entry in value]
    return value.isoformat() if isinstance(value, date | datetime) else value


def _document(path: Path) -> Any:
    return _plain(tomllib.loads(path.read_text("utf-8")))


@pytest.mark.parametrize("name", ["project", "shop"])
def test_schemas_are_schemas(name: str) -> None:
    """Each is valid under the draft it names."""
    Draft202012Validator.check_schema(_schema(name).schema)


def test_the_shipped_files_are_valid(sample: Path) -> None:
    """The sample and the shipped shop follow their schemas."""
    _schema("project").validate(_document(sample / "project.toml"))
    _schema("shop").validate(_document(sample / "shop.toml"))
    _schema("shop").validate(_document(resource("shop/shop.toml")))


@settings(max_examples=40)
@given(project=projects())
def test_whatever_we_write_is_valid(project: Project) -> None:
    """Every sound project follows the schema."""
    _schema("project").validate(_plain(tomllib.loads(new_project_text(project))))


@pytest.mark.parametrize(
    ("kind", "defect"),
    [
        (kind, defect)
        for kind, defects in (
            ("project", test_project_toml.DEFECTS),
            ("shop", test_shop_toml.DEFECTS),
        )
        for defect, (code, _) in defects.items()
        if code in SAYABLE and defect not in UNSAYABLE
    ],
)
def test_what_a_schema_can_say_it_says(kind: str, defect: str, checkout: Path) -> None:
    """Defects of names, kinds and ranges are found by the schema as well."""
    path = checkout / "tests" / "data" / f"{kind}_toml" / f"{defect}.toml"
    assert not _schema(kind).is_valid(_document(path))


@pytest.mark.parametrize(
    ("kind", "table", "fields"),
    [
        ("project", "", top_fields(UTC)),
        ("project", "part", PART),
        ("project", "work", work_fields(UTC)),
        ("project", "gate", gate_fields(UTC)),
        ("project", "fork", FORK),
        ("project", "way", WAY),
        ("project", "fit", FIT),
        ("project", "component", COMPONENT),
        ("project", "channel", CHANNEL),
        ("shop", "", TOP),
        *(("shop", name, fields) for name, (_, fields) in KINDS.items()),
        ("shop", "filament", FILAMENT),
        ("shop", "sheet_material", SHEET_MATERIAL),
        ("shop", "setting", SETTING),
    ],
)
def test_fields_and_ranges_are_those_of_the_readers(kind: str, table: str, fields: Fields) -> None:
    """No field is missing in a schema, and every range is the one the reader holds."""
    schema = _schema(kind).schema
    assert isinstance(schema, Mapping)
    described = (schema["$defs"][table] if table else schema)["properties"]
    assert set(fields) <= set(described)
    assert not set(described) - set(fields) - {*schema["$defs"], "kit"}
    _check_ranges(fields, described)


def test_the_inner_tables_of_a_printer_too() -> None:
    """Motion and build are described field by field."""
    schema = _schema("shop").schema
    assert isinstance(schema, Mapping)
    printer = schema["$defs"]["printer"]["properties"]
    for name, fields in (("motion", MOTION), ("build", BUILD)):
        assert set(printer[name]["properties"]) == set(fields)
        _check_ranges(fields, printer[name]["properties"])


def _check_ranges(fields: Fields, described: Mapping[str, Any]) -> None:
    for name, field in fields.items():
        assert described[name]["description"], name
        if isinstance(field.rule, Number | Whole):
            ends = (described[name]["minimum"], described[name]["maximum"])
            assert ends == (field.rule.low, field.rule.high), name
