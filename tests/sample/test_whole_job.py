"""The whole job on the sample: the program as a user starts it, judged from its output alone."""

import json
import subprocess
import sys
import tomllib
from collections import defaultdict
from datetime import datetime
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from opening_hours import OpeningHours

NOW = "2027-03-05T18:00"
PICTURE = "plan.png"
DRAWS = find_spec("PySide6") is not None
PNG = b"\x89PNG\r\n\x1a\n"

Document = dict[str, Any]


def fabsched(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own."""
    command = [sys.executable, "-m", "fabsched", *arguments]
    return subprocess.run(  # noqa: S603 - our own program
        command, cwd=cwd, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty folder to start the program in."""
    return tmp_path_factory.mktemp("elsewhere")


@pytest.fixture(scope="module")
def untouched(sample: Path) -> dict[str, int]:
    """Every file of the sample, and when it was last written, before anything is planned."""
    return listing(sample)


@pytest.fixture(scope="module")
def printed(sample: Path, folder: Path, untouched: dict[str, int]) -> str:
    """What `plan --json` prints for the sample; it ends well, and draws where it can."""
    assert untouched
    picture = ["--picture", PICTURE] if DRAWS else []
    done = fabsched("plan", str(sample), "--now", NOW, "--json", *picture, cwd=folder)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def plan(printed: str) -> Document:
    """The same as a document."""
    document: Document = json.loads(printed)
    return document


def listing(folder: Path) -> dict[str, int]:
    """Every file below a folder, and when it was last written."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.stat().st_mtime_ns for path in files}


def span(block: Document) -> tuple[datetime, datetime]:
    """When a block starts and ends."""
    return datetime.fromisoformat(block["start"]), datetime.fromisoformat(block["end"])


def lanes(plan: Document) -> dict[str, list[Document]]:
    """The blocks of each machine and person, in order."""
    found: dict[str, list[Document]] = defaultdict(list)
    for block in sorted(plan["blocks"], key=lambda block: datetime.fromisoformat(block["start"])):
        found[block["resource"]].append(block)
    return found


def test_no_lane_does_two_things_at_once(plan: Document) -> None:
    """On every lane one block ends before the next begins."""
    assert set(lanes(plan)) == {"maker", "printer", "laser"}
    for blocks in lanes(plan).values():
        assert all(span(a)[1] <= span(b)[0] for a, b in pairwise(blocks))


def test_everything_lies_in_its_hours(plan: Document, sample: Path) -> None:
    """People, printer and workshop are busy only while they are open, by another reading library."""
    shop = tomllib.loads((sample / "shop.toml").read_text(encoding="utf-8"))
    hours = {"maker": shop["person"][0], "printer": shop["printer"][0], "laser": shop["place"][1]}
    for name, blocks in lanes(plan).items():
        opening = OpeningHours(hours[name]["hours"])
        for start, end in map(span, blocks):
            closes = opening.next_change(start.replace(tzinfo=None))
            assert opening.is_open(start.replace(tzinfo=None))
            assert closes is not None
            assert closes >= end.replace(tzinfo=None)


def test_the_laser_is_never_left_alone(plan: Document) -> None:
    """While a sheet is cut, the maker has nothing to do but that."""
    cuts = [block for block in plan["blocks"] if block["resource"] == "laser"]
    tended = [span(block) for block in lanes(plan)["maker"] if block["kind"] == "tend"]
    assert cuts
    assert all(span(cut) in tended for cut in cuts)


def test_what_waits_comes_after_what_it_waits_for(plan: Document, sample: Path) -> None:
    """Work starts when everything in its `after` is done, read from the project itself."""
    project = tomllib.loads((sample / "project.toml").read_text(encoding="utf-8"))
    works = [*project["work"], *project["gate"]]
    done = {work["id"]: _spans(plan, work["id"]) for work in works}
    for work in works:
        for name in work.get("after", []):
            if name in done and done[name] and done[work["id"]]:
                assert done[name][-1][1] <= done[work["id"]][0][0]


def test_weekend_is_doable_but_no_walk_over(plan: Document) -> None:
    """The sample is meant to be done in time in 75 to 97 of 100 weekends, above its wanted odds."""
    assert 0.75 <= plan["odds"]["on_time"] <= 0.97
    assert plan["odds"]["on_time"] >= plan["wanted_odds"]
    assert plan["spare_s"] > 0


def test_printer_runs_ten_to_sixteen_hours_with_one_long_print(plan: Document) -> None:
    """The printer works through two days' hours; the funnel alone takes more than four."""
    runs = [span(b) for b in plan["blocks"] if b["resource"] == "printer" and b["kind"] == "run"]
    hours = sorted((end - start).total_seconds() / 3600 for start, end in runs)
    assert 10 <= sum(hours) <= 16
    assert hours[-1] > 4


def test_same_input_and_seed_give_the_same_plan(printed: str, sample: Path, folder: Path) -> None:
    """A second run, with estimates kept from the first, prints the same document."""
    again = fabsched("plan", str(sample), "--now", NOW, "--json", cwd=folder)
    assert again.stdout == printed


def test_planning_writes_the_picture_and_nothing_else(
    plan: Document, sample: Path, folder: Path, untouched: dict[str, int]
) -> None:
    """Neither the project's folder nor the one it was started in holds anything new."""
    assert plan["blocks"]
    assert listing(sample) == untouched
    assert [path.name for path in folder.iterdir()] == [PICTURE] * DRAWS


@pytest.mark.skipif(not DRAWS, reason="Qt is not installed")
def test_picture_is_drawn(plan: Document, folder: Path) -> None:
    """`--picture` writes the timeline as a PNG, beside what is printed."""
    assert plan["blocks"]
    picture = folder / PICTURE
    assert picture.read_bytes().startswith(PNG)
    assert picture.stat().st_size > 10_000


def _spans(plan: Document, work: str) -> list[tuple[datetime, datetime]]:
    """When a work's pieces lie, in order; a long one is laid out as `id~1`, `id~2` and so on."""
    pieces = [b for b in plan["blocks"] if b["id"].split("#")[0].split("~")[0] == work]
    return sorted(span(block) for block in pieces)
