"""The log on disk: nothing acknowledged is ever lost."""

import os
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.log_json import body_of, entry_of
from fabsched.files.log_sqlite import LOG_FILE, VERSION, LogFile
from fabsched.files.project_toml import parse_project, read_project_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.log import Cure, Entry, Event, InHand, Meant, Remedy, Sort
from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.session.noticed import say

WRITER = Path(__file__).with_name("log_writer.py")
KILLS = int(os.environ.get("FABSCHED_KILLS", "24"))
"""How often the durability test kills a writer; a thousand were run before a release."""

names = st.text(max_size=8)
moments = st.integers(-(2**60), 2**60)
shares = st.floats(0, 1)
angles = st.floats(-180, 180)
spreads = st.none() | st.lists(shares, min_size=3, max_size=3).map(lambda f: Spread(*sorted(f)))
items = st.lists(st.tuples(names, st.integers(0, 99)), max_size=3).map(tuple)
ids = st.lists(names, max_size=3, unique=True).map(tuple)
meant = st.builds(
    Meant,
    name=names,
    sort=st.none() | st.sampled_from(Sort),
    items=items,
    share=shares,
    machine=names,
    person=names,
    place=names,
    seconds=spreads,
    computed_s=shares,
    start_s=st.integers(0, 999),
    clear_s=st.integers(0, 999),
    redo=ids,
    helpers=ids,
)
plans = st.builds(
    InHand,
    plan=st.builds(Plan, order=ids, dropped=st.frozensets(names, max_size=3)),
    starts_s=items,
    on_time=shares,
    deadline_s=moments,
    meant=st.lists(st.tuples(names, meant), max_size=2).map(tuple),
)
remedies = st.builds(
    Remedy,
    cure=st.sampled_from(Cure),
    subject=names,
    machine=names,
    factor=shares,
    risk=shares,
    seconds=spreads,
    swap=names,
    beds=st.integers(0, 99),
    detail=names,
    part=names,
)
turns = st.tuples(angles, angles, angles)
poses = st.builds(
    Remedy, cure=st.just(Cure.POSE), subject=names, part=names, turn_deg=turns, was_deg=turns
)
entries = st.builds(
    Entry,
    kind=st.sampled_from(Event),
    moment_s=moments,
    noted_s=moments,
    subject=names,
    meant=meant,
    share=st.none() | shares,
    until_s=st.none() | moments,
    was_s=st.none() | moments,
    why=names,
    replaces=st.integers(0, 99),
    of=st.lists(st.integers(1, 99), max_size=3).map(tuple),
    plan=st.none() | plans,
    remedy=st.none() | remedies | poses,
)


def some(number: int = 1) -> Entry:
    """An entry one knows again."""
    return Entry(kind=Event.STARTED, moment_s=number, noted_s=number, subject=f"lid-{number}")


@given(entries)
def test_entries_survive_their_text(entry: Entry) -> None:
    """What is written into a row is read again, to the last field."""
    row = (entry.id, entry.moment_s, entry.noted_s, str(entry.kind), entry.subject)
    assert entry_of(row, body_of(entry)) == entry


@settings(max_examples=15, deadline=None)
@given(st.lists(st.lists(entries, max_size=3), max_size=3))
def test_what_is_added_is_read(
    tmp_path_factory: pytest.TempPathFactory, rows: list[list[Entry]]
) -> None:
    """The log gives back what was added, in the order it was, numbered from one on."""
    log = LogFile(tmp_path_factory.mktemp("project"))
    added = [entry for row in rows for entry in log.add(lambda _, row=row: row)]  # type: ignore[misc]
    assert log.read() == (tuple(added), ())
    assert [entry.id for entry in added] == list(range(1, len(added) + 1))


def test_no_log_is_an_empty_one(tmp_path: Path) -> None:
    """A project without a log has no entries, and reading makes none."""
    log = LogFile(tmp_path)
    assert log.read() == ((), ())
    assert log.mark() == b""
    assert not log.path.exists()


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM entry",
        "UPDATE entry SET moment_s = 0",
        "REPLACE INTO entry SELECT * FROM entry",
    ],
)
def test_entries_cannot_be_changed(tmp_path: Path, statement: str) -> None:
    """Not even another program can change or delete an entry by the ordinary means."""
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])
    with sqlite3.connect(log.path) as base, pytest.raises(sqlite3.IntegrityError):
        base.execute(statement)
    base.close()
    assert log.read()[0][0].subject == "lid-1"


def test_others_are_noticed(tmp_path: Path) -> None:
    """The mark changes when somebody else adds something, and only then."""
    log, other = LogFile(tmp_path), LogFile(tmp_path)
    log.add(lambda _: [some()])
    mark = log.mark()
    assert other.read()[0]
    assert log.mark() == mark
    other.add(lambda _: [some(2)])
    assert log.mark() != mark


def test_nothing_to_add_changes_nothing(tmp_path: Path) -> None:
    """An undo that finds nothing leaves the file alone."""
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])
    mark = log.mark()
    assert log.add(lambda _: []) == ()
    assert log.mark() == mark


def spawned(what: str, folder: Path, first: int, count: int = 0) -> "subprocess.Popen[str]":
    """A process that writes."""
    command = [sys.executable, str(WRITER), what, str(folder), str(first), str(count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)  # noqa: S603 - our own script


def heard(process: "subprocess.Popen[str]") -> list[int]:
    """What a process has acknowledged; a number cut short by its end has no line end."""
    assert process.stdout
    with process.stdout as stream:
        lines = stream.readlines()
    process.wait()
    return [int(line) for line in lines if line.endswith("\n")]


def killed(what: str, folder: Path, first: int, chance: Random) -> list[int]:
    """Let a process write, kill it at any moment, and say what it has acknowledged."""
    process = spawned(what, folder, first)
    assert process.stdout
    begun = process.stdout.readline()  # so that starting it is not all that is killed
    time.sleep(chance.uniform(0, 0.04))
    process.kill()
    return [int(begun), *heard(process)]


def test_kill_9_loses_nothing(tmp_path: Path) -> None:
    """A killed writer's acknowledged entries are all there, and each at most once."""
    chance, log, acknowledged = Random(1), LogFile(tmp_path), set[str]()  # noqa: S311 - moments
    for turn in range(KILLS):
        numbers = killed("log", tmp_path, 1_000_000 * turn, chance)
        acknowledged |= {f"log-{number}" for number in numbers}
    found, findings = log.read()
    subjects = [entry.subject for entry in found]
    assert not findings
    assert acknowledged <= set(subjects)
    assert len(subjects) == len(set(subjects))
    assert len(subjects) <= len(acknowledged) + KILLS  # one more may be on its way at each kill


def test_kill_9_while_saving_the_project(tmp_path: Path) -> None:
    """A project saved by a killed process opens, as it was acknowledged last or one later."""
    chance = Random(2)  # noqa: S311 - moments
    for turn in range(KILLS):
        last = killed("project", tmp_path, 1000 * turn, chance)[-1]
        project = parse_project(read_project_text(tmp_path), "box")
        assert project.name in {f"Box {last}", f"Box {last + 1}"}


def test_two_processes_at_once(tmp_path: Path) -> None:
    """Two programs that log at the same time lose nothing and wait for each other."""
    processes = [spawned(name, tmp_path, 0, 40) for name in ("one", "two")]
    assert [heard(process) for process in processes] == [list(range(40))] * 2
    found = [entry.subject for entry in LogFile(tmp_path).read()[0]]
    assert sorted(found) == sorted(f"{name}-{i}" for name in ("one", "two") for i in range(40))


def test_a_held_log_is_one_clear_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A log another program does not let go of is refused, not waited for without end."""
    monkeypatch.setattr("fabsched.files.ledger.PATIENCE_S", 0.05)
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])
    other = sqlite3.connect(log.path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(InputError) as refused:
        log.add(lambda _: [some(2)])
    other.close()
    assert refused.value.code is Fault.LOG_BUSY
    assert "\n" not in say(refused.value)


def test_a_newer_log_is_left_alone(tmp_path: Path) -> None:
    """What a newer program wrote is neither read wrongly nor added to."""
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])
    with sqlite3.connect(log.path) as base:
        base.execute(f"PRAGMA user_version = {VERSION + 1}")
    base.close()
    before = log.path.read_bytes()
    for act in (log.read, lambda: log.add(lambda _: [some(2)])):
        with pytest.raises(InputError) as refused:
            act()
        assert refused.value.code is Fault.LOG_NEWER
    assert log.path.read_bytes() == before


def test_a_log_that_may_not_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A read-only log can be read; adding to it is refused in one line."""
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])

    def connected(path: Path, _: str) -> sqlite3.Connection:
        """As the library opens what it may not write; permissions do not bind every user."""
        return sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)

    monkeypatch.setattr("fabsched.files.ledger.connected", connected)
    assert len(log.read()[0]) == 1
    with pytest.raises(InputError) as refused:
        log.add(lambda _: [some(2)])
    assert refused.value.code is Fault.FILE_UNWRITABLE


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    """A log that cannot be opened is one clear line."""
    (tmp_path / LOG_FILE).mkdir()
    with pytest.raises(InputError) as refused:
        LogFile(tmp_path).add(lambda _: [some()])
    assert refused.value.code is Fault.FILE_UNREADABLE


def _scribble(_: bytes) -> bytes:
    return b"no database at all " * 100


def _flip(data: bytes) -> bytes:
    """One letter of one entry changed, as a failing disk would."""
    return data.replace(b"lid-2", b"lid-7")


def _cut_off(data: bytes) -> bytes:
    return data[: len(data) - 4096]


@pytest.mark.parametrize(("harm", "left"), [(_scribble, 0), (_flip, 2), (_cut_off, None)])
def test_a_damaged_log_is_set_aside(
    tmp_path: Path, harm: Callable[[bytes], bytes], left: int | None
) -> None:
    """A damaged log is kept under another name, what can be read goes on, and that is said."""
    log = LogFile(tmp_path)
    log.add(lambda _: [some(1), some(2), some(3)])
    damaged = harm(log.path.read_bytes())
    log.path.write_bytes(damaged)
    saved, (finding,) = log.read()
    assert finding.code is Remark.LOG_DAMAGED
    assert (tmp_path / str(finding.facts["kept"])).read_bytes() == damaged
    assert left is None or len(saved) == left
    assert {entry.subject for entry in saved} <= {"lid-1", "lid-2", "lid-3"}
    assert log.read() == (saved, ())
    assert len(log.add(lambda _: [some(4)])) == 1


def test_another_database_is_no_log(tmp_path: Path) -> None:
    """A database of something else is set aside, not added to."""
    with sqlite3.connect(tmp_path / LOG_FILE) as base:
        base.execute("CREATE TABLE things (name)")
    base.close()
    log = LogFile(tmp_path)
    log.add(lambda _: [some()])
    assert len(log.read()[0]) == 1
    assert (tmp_path / "log.damaged-1.sqlite").exists()
