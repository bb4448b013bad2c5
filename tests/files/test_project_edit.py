"""Writing `project.toml`: only what differs is changed."""

import difflib
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.project_edit import new_project_text, project_text, write_project
from fabsched.files.project_toml import parse_project, read_project, read_project_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Fork, Part, Project, Way, Work
from fabsched.model.spread import Spread
from tests.files.toml_strategies import projects

BERLIN = ZoneInfo("Europe/Berlin")

COMMENTED = """\
# top
name = "Box"   # shown
zone = "Europe/Berlin"
deadline = 2026-10-25T20:00:00   # Sunday

# ---- parts ----
# two of them

# the lid
[[part]]      # first
id = "lid"
file = "parts/lid.stl"   # the file
copies = 2    # two
# below the lid

# the box
[[part]]
id = "box"
file = 'parts/box.stl'
after = [     # in this order
  "lid",      # the lid
]

# ---- work ----

[[work]]
id = "wire"
minutes = [20, 30, 60]   # low, likely, high

# the end
"""


def _comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def _changed(before: str, after: str) -> list[str]:
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


@settings(max_examples=40)
@given(project=projects())
def test_what_is_written_is_read_again(project: Project) -> None:
    """A new file says exactly what the project says."""
    assert parse_project(new_project_text(project), "folder") == project


@settings(max_examples=40)
@given(before=projects(), after=projects())
def test_any_change_arrives(before: Project, after: Project) -> None:
    """Whatever a file said before, after a change it says exactly what it shall."""
    text = project_text(after, new_project_text(before), "folder")
    assert parse_project(text, "folder") == after


@settings(max_examples=30)
@given(project=projects(), text=st.just(COMMENTED))
def test_comments_between_tables_outlive_any_change(project: Project, text: str) -> None:
    """Free comments and those of fields that stay are there after every table has been replaced."""
    edited = project_text(project, text, "folder")
    kept = ("top", "shown", "Sunday", "---- parts ----", "two of them", "---- work ----", "the end")
    assert all(f"# {comment}\n" in edited for comment in kept)


@settings(max_examples=40)
@given(project=projects())
def test_writing_the_same_changes_nothing(project: Project) -> None:
    """A file that says what it shall is left as it is, byte for byte."""
    text = new_project_text(project)
    assert project_text(project, text, "folder") == text


def test_one_field_changes_one_line() -> None:
    """Editing one field leaves every comment and every other line."""
    project = parse_project(COMMENTED, "x")
    lid = replace(project.parts[0], copies=3)
    text = project_text(replace(project, parts=(lid, project.parts[1])), COMMENTED, "x")
    assert _changed(COMMENTED, text) == ["- copies = 2    # two", "+ copies = 3    # two"]


def test_the_deadline_changes_one_line() -> None:
    """Fields above the tables keep their comments as well."""
    project = parse_project(COMMENTED, "x")
    later = project.deadline + timedelta(hours=1)
    text = project_text(replace(project, deadline=later), COMMENTED, "x")
    assert _changed(COMMENTED, text) == [
        "- deadline = 2026-10-25T20:00:00   # Sunday",
        "+ deadline = 2026-10-25T21:00:00   # Sunday",
    ]


def test_a_removed_table_takes_only_its_own_comments() -> None:
    """What stands apart from the removed table stays."""
    project = parse_project(COMMENTED, "x")
    box = replace(project.parts[1], after=())
    text = project_text(replace(project, parts=(box,)), COMMENTED, "x")
    gone = set(_comments(COMMENTED)) - set(_comments(text))
    assert gone == {
        " the lid",
        " first",
        " the file",
        " two",
        " below the lid",
        " in this order",
    }


def test_moved_tables_take_their_comments_along() -> None:
    """Another order of the parts moves them with their comments, and nothing else."""
    project = parse_project(COMMENTED, "x")
    lid, box = replace(project.parts[0]), replace(project.parts[1], after=())
    text = project_text(replace(project, parts=(box, lid)), COMMENTED, "x")
    assert text.index("# the box") < text.index('id = "box"') < text.index("# the lid")
    assert text.index("# two of them") < text.index("# the box")
    assert [part.id for part in parse_project(text, "x").parts] == ["box", "lid"]


def test_a_new_part_stands_behind_its_neighbour() -> None:
    """A table is put in where the order asks for it, clear of what is around it."""
    project = parse_project(COMMENTED, "x")
    foot = Part(id="foot", name="Foot", file="parts/foot.stl")
    parts = (project.parts[0], foot, project.parts[1])
    text = project_text(replace(project, parts=parts), COMMENTED, "x")
    added = '\n\n[[part]]\nid = "foot"\nname = "Foot"\nfile = "parts/foot.stl"\ncopies = 1\n'
    assert f"# below the lid{added}" in text
    assert not [line for line in _changed(COMMENTED, text) if line.startswith("-")]


@pytest.mark.parametrize("beside", ["", "   # not before Friday"])
def test_what_is_set_and_reset_leaves_no_trace(beside: str) -> None:
    """A field that was not there goes again with its last use, and stays where a comment needs it."""
    before = (
        'zone = "UTC"\ndeadline = 2026-10-25T20:00:00\n\n[[work]]\nid = "w"\nminutes = [1, 2, 3]\n'
    )
    plain = parse_project(before, "x")
    early = replace(plain, works=(replace(plain.works[0], early=True),))
    text = project_text(early, before, "x")
    assert text == f"{before}early = true\n"
    noted = text.replace("early = true", f"early = true{beside}")
    left = project_text(plain, noted, "x")
    assert left == (f"{before}early = false{beside}\n" if beside else before)


FORKED = """\
zone = "UTC"
deadline = 2026-10-25T20:00:00
[[part]]
id = "base"
file = "a.stl"
[[part]]
id = "plate"
file = "b.stl"
[[part]]
id = "hook"
file = "c.stl"

# either, or
[[fork]]        # the only one
id = "stand"
chosen = "whole"   # for now

# in one piece
[[fork.way]]
id = "whole"
items = ["base"]   # long print

[[fork.way]]
id = "pieces"      # quick
items = ["plate", "hook"]
# the end of it
"""


def test_choosing_a_way_changes_one_line() -> None:
    """A fork keeps its comments and those of its ways when another way is chosen."""
    project = parse_project(FORKED, "x")
    fork = replace(project.forks[0], chosen="pieces")
    text = project_text(replace(project, forks=(fork,)), FORKED, "x")
    assert _changed(FORKED, text) == [
        '- chosen = "whole"   # for now',
        '+ chosen = "pieces"   # for now',
    ]


def test_changing_a_way_changes_its_line() -> None:
    """What a way takes is one line in its own table."""
    project = parse_project(FORKED, "x")
    fork = project.forks[0]
    fewer = replace(fork, ways=(fork.ways[0], replace(fork.ways[1], items=("plate",))))
    text = project_text(replace(project, forks=(fewer,)), FORKED, "x")
    assert _changed(FORKED, text) == [
        '- items = ["plate", "hook"]',
        '+ items = ["plate"]',
    ]


def test_a_new_way_leaves_the_rest_of_the_file() -> None:
    """Where a way comes, the other tables and the fork's own fields keep their comments."""
    project = parse_project(FORKED, "x")
    fork = project.forks[0]
    more = (replace(fork.ways[1], items=("plate",)), Way(id="hung", name="Hung", items=("hook",)))
    wanted = replace(project, forks=(replace(fork, ways=(fork.ways[0], *more)),))
    text = project_text(wanted, FORKED, "x")
    assert parse_project(text, "x") == wanted
    assert {" either, or", " the only one", " for now", " the end of it"} <= set(_comments(text))


def test_a_removed_fork_takes_its_ways_along() -> None:
    """Nothing of a fork is left behind, and its items stay."""
    project = replace(parse_project(FORKED, "x"), forks=())
    text = project_text(project, FORKED, "x")
    assert "fork" not in text
    assert parse_project(text, "x") == project


@pytest.mark.parametrize("free", ["", "\n# ---- work ----\n\n", "\n\n# ---- the end ----\n"])
def test_what_is_added_and_taken_out_leaves_no_trace(free: str) -> None:
    """Parts, works and a fork behind the last table go with the blank lines that came with them."""
    work = '[[work]]\nid = "wire"\nminutes = [1, 2, 3]\n'
    before = f'[[part]]\nid = "base"\nfile = "a.stl"\n{free}{work if free else ""}{free}'
    head = 'zone = "UTC"\ndeadline = 2026-10-25T20:00:00\n\n'
    plain = parse_project(head + before, "x")
    plate = replace(plain.parts[0], id="plate", file="b.stl")
    fit = Work(id="fit", name="Fit", minutes=Spread(1.0, 2.0, 3.0), after=("plate",))
    ways = (Way(id="one", name="One", items=("base",)), Way(id="two", name="Two", items=("fit",)))
    fork = Fork(id="stand", name="Stand", ways=ways)
    both = replace(plain, parts=(*plain.parts, plate), works=(*plain.works, fit), forks=(fork,))
    text = project_text(both, head + before, "x")
    assert parse_project(text, "x") == both
    assert project_text(plain, text, "x") == head + before


def test_windows_line_ends_survive() -> None:
    """A file with CR LF line ends can be edited and read again."""
    text = COMMENTED.replace("\n", "\r\n")
    project = parse_project(text, "x")
    edited = project_text(replace(project, name="Case"), text, "x")
    assert parse_project(edited, "x").name == "Case"
    assert _comments(edited) == _comments(text)


def test_inline_tables_are_understood() -> None:
    """Parts written as inline tables are read, and can be changed."""
    text = 'zone = "UTC"\ndeadline = 2026-10-25T20:00:00\npart = [{ id = "a", file = "a.stl" }]\n'
    project = parse_project(text, "x")
    work = Work(id="w", name="W", minutes=Spread.exactly(5))
    changed = replace(project, works=(work,))
    assert parse_project(project_text(changed, text, "x"), "x") == changed


def test_a_repeated_hour_keeps_its_offset() -> None:
    """Clock times that come twice are written with their offset."""
    second = datetime(2026, 10, 25, 2, 30, tzinfo=BERLIN, fold=1)
    project = Project(name="x", zone=BERLIN, deadline=second)
    text = new_project_text(project)
    assert "deadline = 2026-10-25T02:30:00+01:00" in text
    assert parse_project(text, "x").deadline.timestamp() == second.timestamp()


def test_an_unsound_project_is_not_written() -> None:
    """What could not be read again is refused, with the field at fault."""
    project = parse_project(COMMENTED, "x")
    lid = replace(project.parts[0], copies=0)
    with pytest.raises(InputError) as caught:
        project_text(replace(project, parts=(lid, project.parts[1])), COMMENTED, "x")
    assert caught.value.code is Fault.FIELD_OUT_OF_RANGE
    assert caught.value.where == "project.toml: part 'lid': copies"


def test_the_sample_survives_its_own_reading(sample: Path, tmp_path: Path) -> None:
    """Writing the sample back changes not one byte; a folder without a file gets one."""
    project, text = read_project(sample), read_project_text(sample)
    assert project_text(project, text, sample.name) == text
    write_project(tmp_path / "new", project)
    assert read_project(tmp_path / "new") == project
