"""The sample's `project.toml` and `shop.toml`, held against the records they stand for."""

import tomllib
from dataclasses import fields
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from opening_hours import OpeningHours

from fabsched.model import project, shop

Table = dict[str, Any]

TABLES = {
    ("project.toml", "part"): project.Part,
    ("project.toml", "work"): project.Work,
    ("project.toml", "gate"): project.Gate,
    ("project.toml", "component"): project.Component,
    ("shop.toml", "place"): shop.Place,
    ("shop.toml", "travel"): shop.Travel,
    ("shop.toml", "person"): shop.Person,
    ("shop.toml", "printer"): shop.Printer,
    ("shop.toml", "laser"): shop.Laser,
    ("shop.toml", "spool"): shop.Spool,
    ("shop.toml", "sheet"): shop.Sheet,
}


@pytest.fixture(scope="module")
def written(sample: Path) -> dict[str, Table]:
    """Both files as plain tables."""
    names = ("project.toml", "shop.toml")
    return {name: tomllib.loads((sample / name).read_text(encoding="utf-8")) for name in names}


@pytest.mark.parametrize(("file", "table"), TABLES)
def test_fields_are_those_of_the_record(written: dict[str, Table], file: str, table: str) -> None:
    """Every field in a table is a field of its record; a kit stands for several, a fit is a table."""
    known = {field.name for field in fields(TABLES[file, table])}
    for entry in written[file][table]:
        assert set(entry) - {"kit", "fit"} <= known


def test_names_after_and_redo_lead_somewhere(written: dict[str, Table]) -> None:
    """Ids are used once, and every id referred to exists."""
    tables = written["project.toml"]
    items = [*tables["part"], *tables["work"], *tables["gate"]]
    ids = [item["id"] for item in items]
    assert len(ids) == len(set(ids))
    assert {name for item in items for name in item.get("after", [])} <= set(ids)
    assert {name for gate in tables["gate"] for name in gate["redo"]} <= set(ids)


def test_every_part_file_is_used_once(sample: Path, written: dict[str, Table]) -> None:
    """No file in `parts/` is left out, and none is missing."""
    named = [sample / part["file"] for part in written["project.toml"]["part"]]
    assert sorted(named) == sorted((sample / "parts").iterdir())


def test_hands_are_busy_but_not_every_hour(written: dict[str, Table]) -> None:
    """Needed handwork takes 10 to 13 hours; awake hours until the deadline are about twice that."""
    tables = written["project.toml"]
    needed = [work for work in (*tables["work"], *tables["gate"]) if work.get("needed", True)]
    hours = sum(work["minutes"][1] for work in needed) / 60
    assert 10 <= hours <= 13
    (person,) = written["shop.toml"]["person"]
    assert 2 * hours < _open_hours(person["hours"], tables["start"], tables["deadline"]) < 3 * hours


def test_hours_read_as_opening_hours(written: dict[str, Table]) -> None:
    """Saturday at noon the printer may run and the workshop is open; at night neither."""
    tables = written["shop.toml"]
    noon, night = datetime(2027, 3, 6, 12), datetime(2027, 3, 6, 2)  # noqa: DTZ001 - local
    for table in (tables["printer"][0], tables["place"][1]):
        hours = OpeningHours(table["hours"])
        assert hours.is_open(noon)
        assert not hours.is_open(night)


def _open_hours(hours: str, start: datetime, end: datetime) -> float:
    """Open hours between two local moments, counted minute by minute."""
    opening = OpeningHours(hours)
    count = int((end - start) / timedelta(minutes=1))
    moments = (start + timedelta(minutes=k) for k in range(count))
    return sum(opening.is_open(moment.replace(tzinfo=None)) for moment in moments) / 60
