"""The guard: whatever a reader does, the program gets a value or one clear error, and nothing stays."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import psutil
import pytest

from fabsched.files.guard import Reader, guarded
from fabsched.model.errors import Fault, InputError
from tests.files import guard_readers as readers

PATH = Path("parts/lid.dxf")
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="counts what /proc lists")


@pytest.fixture(autouse=True)
def _no_children() -> Iterator[None]:
    """Fail a test that leaves a child behind, running or as a zombie.

    Children from before, as the standard library's tracker of resources, are none of its business.
    """
    before = set(psutil.Process().children(recursive=True))
    yield
    assert set(psutil.Process().children(recursive=True)) <= before


def test_value_and_findings_come_through() -> None:
    """The child returns arrays and findings unharmed, from another process."""
    (array, unit, process), findings = guarded(readers.sound, PATH, "inch")
    assert (array == np.arange(100_000.0)).all()
    assert (unit, findings[0].where) == ("inch", str(PATH))
    assert process != os.getpid()


def test_what_a_reader_prints_does_no_harm() -> None:
    """Output of the reader neither spoils the answer nor blocks it."""
    assert guarded(readers.talkative, PATH, None) == (7, ())


def test_refusals_come_through() -> None:
    """An input error raised in the child is the same one here."""
    with pytest.raises(InputError) as caught:
        guarded(readers.refusing, PATH, None)
    error = caught.value
    assert (error.code, error.where, error.facts) == (Fault.NO_OUTLINES, str(PATH), {"count": 3})


@pytest.mark.parametrize(
    ("reader", "why"),
    [
        (readers.failing, "KeyError: 'first line\\nsecond line'"),
        (readers.recursing, "RecursionError: maximum recursion depth exceeded"),
        (readers.leaving, "exit code 3"),
        (readers.unpicklable, "Can't pickle"),
        pytest.param(readers.crashing, "SIGSEGV", marks=LINUX),
        pytest.param(readers.hoarding, "out of memory", marks=LINUX),
    ],
)
def test_failures_become_one_error(reader: Reader[object], why: str) -> None:
    """Whatever goes wrong is one code, with the kind of file and a word on the cause."""
    with pytest.raises(InputError) as caught:
        guarded(reader, PATH, None, limit_mb=1000)
    error = caught.value
    assert (error.code, error.facts["kind"]) == (Fault.FILE_READER_FAILED, "DXF")
    assert why in str(error.facts["why"])


@pytest.mark.parametrize("reader", [readers.sleeping, readers.spinning])
def test_endless_readers_are_stopped(reader: Reader[object], tmp_path: Path) -> None:
    """When the time is up the child is gone and the error names the limit."""
    with pytest.raises(InputError) as caught:
        guarded(reader, tmp_path / "file.svg", None, limit_s=0.5)
    assert (caught.value.code, caught.value.facts["limit"]) == (Fault.FILE_READER_TIMEOUT, 0.5)


@LINUX
def test_nothing_is_left_open() -> None:
    """File descriptors and threads are as many after any outcome as before."""

    def held() -> tuple[int, int]:
        return len(list(Path("/proc/self/fd").iterdir())), threading.active_count()

    before = held()
    for reader in (readers.sound, readers.failing, readers.leaving, readers.sleeping):
        try:
            guarded(reader, PATH, None, limit_s=0.4 if reader is readers.sleeping else 20)
        except InputError as error:
            assert error.where == str(PATH)  # noqa: PT017 - only some readers fail
    assert held() == before


def test_threads_may_read_side_by_side() -> None:
    """Several threads each get their own child and their own answer."""
    answers: list[tuple[str | None, int]] = []

    def read(unit: str) -> None:
        (_, said, process), _ = guarded(readers.sound, PATH, unit)
        answers.append((said, process))

    threads = [threading.Thread(target=read, args=(str(i),)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(str(said) for said, _ in answers) == ["0", "1", "2", "3"]
    assert len({process for _, process in answers}) == 4


@LINUX
def test_the_child_ends_with_its_parent(tmp_path: Path) -> None:
    """When the program is killed while a reader computes for ever, the reader ends too."""
    note = tmp_path / "file.svg"
    program = (
        "from pathlib import Path; from fabsched.files.guard import guarded;"
        "from tests.files.guard_readers import spinning;"
        f"guarded(spinning, Path({str(note)!r}), None, limit_s=600)"
    )
    root = Path(__file__).parents[2]
    with subprocess.Popen([sys.executable, "-c", program], cwd=root) as parent:  # noqa: S603 - our own code
        while not (note.exists() and note.read_text()):
            assert parent.poll() is None
            time.sleep(0.02)
        child = psutil.Process(int(note.read_text()))
        parent.kill()
    psutil.wait_procs([child], timeout=20)
    assert not child.is_running()


def test_scripts_without_a_main_guard_may_use_it(tmp_path: Path) -> None:
    """The child does not run the program's main module again."""
    script = tmp_path / "script.py"
    script.write_text(
        "print('once')\nfrom pathlib import Path\nfrom fabsched.files.guard import guarded\n"
        "from tests.files.guard_readers import talkative\n"
        "print(guarded(talkative, Path('x.svg'), None))\n"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run(  # noqa: S603 - our own code
        [sys.executable, script],
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split("\n") == ["once", "(7, ())", ""]
