"""Copied project folders: each tells its own story from the copying on, and nothing counts twice."""

import shutil
from datetime import timedelta
from pathlib import Path

from fabsched.session.bench import Bench
from fabsched.session.sayings import Verb
from tests.session.made import NOW
from tests.session.test_bench import bench_of, opened, planned, say


def prints_known(bench: Bench) -> int:
    """How many runs were learnt from, by whichever log."""
    return sum("/run/" in one.key for one in bench.experiences.seen)


def print_lid(bench: Bench, hours: float) -> None:
    """The lid is printed once more."""
    bench.tell(say(Verb.START, "lid", hours))
    bench.tell(say(Verb.FINISH, "lid", hours + 2))
    bench.tell(say(Verb.CLEAR, "lid", hours + 2))


def copied(bench: Bench) -> Bench:
    """A copy of the folder, as a file manager makes it."""
    copy = bench.folder.parent / "copy"
    shutil.copytree(bench.folder, copy)
    other = Bench.open(copy, cache_folder=bench.folder.parent / "cache")
    other.learn(NOW + timedelta(hours=9))
    return other


def test_a_copy_counts_no_print_twice(tmp_path: Path) -> None:
    """What was printed before the copying counts once, what is printed later counts for both."""
    bench = planned(bench_of(tmp_path))
    print_lid(bench, 1)
    assert prints_known(bench) == 1
    other = copied(bench)
    assert prints_known(other) == 1
    print_lid(other, 10)
    assert prints_known(other) == 2
    print_lid(bench, 20)
    assert prints_known(opened(bench)) == 3


def test_opening_an_old_copy_unlearns_nothing(tmp_path: Path) -> None:
    """What was printed since the copying stays known."""
    bench = planned(bench_of(tmp_path))
    print_lid(bench, 1)
    shutil.copytree(bench.folder, tmp_path / "backup")
    print_lid(bench, 5)
    old = Bench.open(tmp_path / "backup", cache_folder=tmp_path / "cache")
    old.learn(NOW + timedelta(hours=9))
    assert prints_known(old) == 2


def test_a_moved_project_goes_on_as_it_was(tmp_path: Path) -> None:
    """Its prints are still its own: they are neither learnt again nor lost."""
    bench = planned(bench_of(tmp_path))
    print_lid(bench, 1)
    moved = Bench.open(bench.folder.rename(tmp_path / "moved"), cache_folder=tmp_path / "cache")
    print_lid(moved, 5)
    assert prints_known(moved) == 2
    moved.undo()
    moved.undo()
    moved.undo()
    assert prints_known(moved) == 1
