"""What was learnt, on disk: counted once, never lost, forgotten when asked."""

import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.experience_json import SORTS, body_of, seen_of
from fabsched.files.experience_sqlite import FILE, VERSION, ExperienceFile, default_file
from fabsched.files.ledger import crc
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import EASES, PACES, Moves, Route
from fabsched.model.experience import ChanceTold, LookSeen, RunSeen, Seen, TimeTold, WorkSeen
from fabsched.model.findings import Remark
from fabsched.model.spread import Spread
from fabsched.session.noticed import say

WRITER = Path(__file__).with_name("experience_writer.py")

names = st.text(max_size=8)
moments = st.integers(-(2**60), 2**60)
seconds = st.floats(0, 1e9)
spreads = st.lists(seconds, min_size=3, max_size=3).map(lambda figures: Spread(*sorted(figures)))
rows = st.tuples(*[seconds] * len(EASES))
moves = st.builds(Moves, fixed_s=seconds, moving_s=st.tuples(*[rows] * len(PACES)))
entries: st.SearchStrategy[Seen] = st.one_of(
    st.builds(
        RunSeen,
        key=names,
        at_s=moments,
        machine=names,
        route=st.sampled_from(Route),
        material=names,
        estimated_s=seconds,
        ran_s=seconds,
        failed=st.booleans(),
        timed=st.booleans(),
        moves=st.none() | moves,
    ),
    st.builds(WorkSeen, key=names, at_s=moments, kind=names, expected=spreads, took_s=seconds),
    st.builds(LookSeen, key=names, at_s=moments, chance=st.floats(0, 1), found=st.booleans()),
    st.builds(TimeTold, key=names, at_s=moments, told=spreads, actual_s=seconds),
    st.builds(ChanceTold, key=names, at_s=moments, chance=st.floats(0, 1), came_true=st.booleans()),
)
whole = st.lists(entries, max_size=4, unique_by=lambda seen: seen.key)


def some(key: str, chance: float = 0.5) -> ChanceTold:
    """An entry one knows again."""
    return ChanceTold(key=key, at_s=1, chance=chance, came_true=True)


RUN = RunSeen(
    key="a",
    at_s=1,
    machine="printer",
    route=Route.PRINT,
    material="PLA",
    estimated_s=3600.0,
    ran_s=4000.0,
)


def keys(file: ExperienceFile) -> list[str]:
    """Keys of what counts."""
    return [seen.key for seen in file.read()[0].seen]


@given(entries)
def test_entries_survive_their_text(seen: Seen) -> None:
    """What is written into a row is read again, to the last field."""
    assert seen_of(SORTS[type(seen)], body_of(seen)) == seen


@settings(max_examples=12)
@given(whole, whole)
def test_a_log_is_known_as_it_is_now(
    tmp_path_factory: pytest.TempPathFactory, before: list[Seen], after: list[Seen]
) -> None:
    """Whatever was known of a log before, after it is read what it says counts, each once."""
    file = ExperienceFile(tmp_path_factory.mktemp("user") / FILE)
    file.sync("", before)
    file.sync("", after)
    assert file.read() == (type(file.read()[0])(tuple(sorted(after, key=lambda s: s.key))), ())
    assert file.sync("", after) == 0


def test_no_file_is_no_experience(tmp_path: Path) -> None:
    """Without a file nothing is known, and reading makes none."""
    file = ExperienceFile(tmp_path / "not" / "there" / FILE)
    assert file.read()[0].seen == ()
    assert not file.path.parent.exists()


def test_it_lies_in_the_users_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is one for each user, in the platform's data folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_file().name == FILE
    assert default_file().parent.name == "fabsched"


def test_other_logs_are_left_alone(tmp_path: Path) -> None:
    """What one project's log no longer says is taken out; other projects' entries stay."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("a/", [some("a/1"), some("a/2")])
    file.sync("b/", [some("b/1")])
    assert file.sync("a/", [some("a/2", 0.9)]) == 2
    assert keys(file) == ["a/2", "b/1"]
    assert file.read()[0].seen[0] == some("a/2", 0.9)


def test_the_forgotten_stays_forgotten(tmp_path: Path) -> None:
    """An entry the maker takes out does not come back with the log, but when it is recalled."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("a/", [some("a/1"), some("a/2")])
    assert file.forget(["a/1", "unknown"]) == 1
    assert file.sync("a/", [some("a/1"), some("a/2")]) == 0
    assert keys(file) == ["a/2"]
    assert file.read()[0].forgotten == {"a/1"}
    assert file.recall(["a/1", "a/2"]) == 1
    assert keys(file) == ["a/1", "a/2"]


@pytest.mark.parametrize("statement", ["DELETE FROM seen", "UPDATE seen SET body = ''"])
def test_rows_cannot_be_changed(tmp_path: Path, statement: str) -> None:
    """Not even another program can change or delete a row by the ordinary means."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("a")])
    with sqlite3.connect(file.path) as base, pytest.raises(sqlite3.IntegrityError):
        base.execute(statement)
    base.close()
    assert keys(file) == ["a"]


def test_processes_learn_at_once(tmp_path: Path) -> None:
    """Two programs that learn at the same time lose nothing and wait for each other."""
    file = ExperienceFile(tmp_path / FILE)
    processes = [
        subprocess.Popen(  # noqa: S603 - our own script
            [sys.executable, str(WRITER), who, str(file.path), "15"], stdout=subprocess.DEVNULL
        )
        for who in ("one", "two")
    ]
    assert [process.wait() for process in processes] == [0, 0]
    assert keys(file) == [f"{who}/{number:04}" for who in ("one", "two") for number in range(15)]


def test_kill_9_loses_nothing(tmp_path: Path) -> None:
    """What a killed program has acknowledged is known, and the file is sound."""
    file = ExperienceFile(tmp_path / FILE)
    for turn in range(6):
        command = [sys.executable, str(WRITER), str(turn), str(file.path), "1000"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)  # noqa: S603 - our own script
        assert process.stdout
        with process.stdout as stream:
            said = [stream.readline() for _ in range(turn + 1)]
            process.kill()
            said += stream.readlines()
        process.wait()
        acknowledged = {f"{turn}/{int(line):04}" for line in said if line.endswith("\n")}
        assert acknowledged <= set(keys(file))
        assert file.read()[1] == ()


def test_a_held_file_is_one_clear_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file another program does not let go of is refused, not waited for without end."""
    monkeypatch.setattr("fabsched.files.ledger.PATIENCE_S", 0.05)
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("a")])
    other = sqlite3.connect(file.path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(InputError) as refused:
        file.sync("", [some("b")])
    other.close()
    assert refused.value.code is Fault.EXPERIENCE_BUSY
    assert "\n" not in say(refused.value)


def test_a_newer_file_is_left_alone(tmp_path: Path) -> None:
    """What a newer program wrote is neither read wrongly nor added to."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("a")])
    with sqlite3.connect(file.path) as base:
        base.execute(f"PRAGMA user_version = {VERSION + 1}")
    base.close()
    before = file.path.read_bytes()
    for act in (file.read, lambda: file.sync("", []), lambda: file.forget(["a"])):
        with pytest.raises(InputError) as refused:
            act()
        assert refused.value.code is Fault.EXPERIENCE_NEWER
    assert file.path.read_bytes() == before


def _added(file: ExperienceFile, key: str, sort: str, body: str) -> None:
    """A row as a later program may write it into tables of the same version."""
    values = (key, sort, body, crc((key, sort, body)))
    with sqlite3.connect(file.path) as base:
        base.execute("INSERT INTO seen (key, sort, body, crc) VALUES (?, ?, ?, ?)", values)
    base.close()


def _raw(file: ExperienceFile, key: str) -> list[tuple[str, str]]:
    with sqlite3.connect(file.path) as base:
        rows = base.execute("SELECT sort, body FROM seen WHERE key = ?", (key,)).fetchall()
    base.close()
    return rows


def test_rows_of_a_later_program_stay_and_count_for_nothing(tmp_path: Path) -> None:
    """A sort of rows nobody here knows sets no file aside, and no log or maker takes it out."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("a/", [some("a/1")])
    _added(file, "a/tilt/1", "tilt", '{"angle":3}')
    assert file.read()[1] == ()
    assert keys(file) == ["a/1"]
    assert file.sync("a/", [some("a/1")]) == 0
    assert _raw(file, "a/tilt/1") == [("tilt", '{"angle":3}')]
    assert [each.name for each in tmp_path.iterdir()] == [FILE]


@pytest.mark.parametrize("seen", [some("a", 0.25), RUN])
def test_fields_of_a_later_program_tell_nothing(tmp_path: Path, seen: Seen) -> None:
    """An entry with a field more is the entry; the file is whole."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("b")])
    body = json.dumps({**json.loads(body_of(seen)), "mood": "good"})
    _added(file, seen.key, SORTS[type(seen)], body)
    experience, findings = file.read()
    assert findings == ()
    assert seen in experience.seen


def test_a_run_written_without_what_later_became_a_field_is_read() -> None:
    """A run of an earlier program, which did not tell how its time hangs on speed, is read."""
    entry = json.loads(body_of(RUN))
    for later in ("moves", "timed", "failed"):
        del entry[later]
    assert seen_of("run", json.dumps(entry)) == RUN


def test_an_entry_without_what_it_needs_is_damage(tmp_path: Path) -> None:
    """A known sort that lacks a field it always had is not passed over in silence."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("b")])
    _added(file, "a", "chance", '{"key":"a","at_s":1}')
    saved, (finding,) = file.read()
    assert finding.code is Remark.EXPERIENCE_DAMAGED
    assert [seen.key for seen in saved.seen] == ["b"]


def test_a_folder_nobody_can_make(tmp_path: Path) -> None:
    """Where no folder can be made, learning is refused in one line."""
    (tmp_path / "data").write_text("a file")
    with pytest.raises(InputError) as refused:
        ExperienceFile(tmp_path / "data" / FILE).sync("", [some("a")])
    assert refused.value.code is Fault.FILE_UNWRITABLE


def _scribble(_: bytes) -> bytes:
    return b"no database at all " * 100


def _flip(data: bytes) -> bytes:
    """One letter of one row changed, as a failing disk would."""
    return data.replace(b'"chance":0.25', b'"chance":0.75')


def _cut_off(data: bytes) -> bytes:
    return data[: len(data) - 4096]


@pytest.mark.parametrize(("harm", "left"), [(_scribble, []), (_flip, ["a", "c"]), (_cut_off, None)])
def test_a_damaged_file_is_set_aside(
    tmp_path: Path, harm: Callable[[bytes], bytes], left: list[str] | None
) -> None:
    """A damaged file is kept under another name, what can be read goes on, and that is said."""
    file = ExperienceFile(tmp_path / FILE)
    file.sync("", [some("a"), some("b", 0.25), some("c")])
    damaged = harm(file.path.read_bytes())
    file.path.write_bytes(damaged)
    saved, (finding,) = file.read()
    assert finding.code is Remark.EXPERIENCE_DAMAGED
    assert "\n" not in say(finding)
    assert (tmp_path / str(finding.facts["kept"])).read_bytes() == damaged
    assert left is None or [seen.key for seen in saved.seen] == left
    assert file.read() == (saved, ())
    assert file.sync("d", [some("d")]) == 1
