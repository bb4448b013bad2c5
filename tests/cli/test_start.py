"""The program as a process: what it imports, what it prints, how it ends."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = ("ortools", "numba", "trimesh", "PySide6", "scipy", "shapely", "ezdxf", "rich", "numpy")
"""What must not be imported before it is needed."""


def _python(*argv: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, *argv], capture_output=True, text=True, check=False, timeout=60
    )


@pytest.mark.parametrize(
    "started",
    [
        "import fabsched.cli.command, fabsched.__main__",
        "import fabsched.session.project_session, fabsched.session.pool",
        "from fabsched.__main__ import main; sys.argv[1:] = ['--version']; main()",
    ],
)
def test_starting_imports_nothing_heavy(started: str) -> None:
    """Neither the version nor an open project costs the import of a large library."""
    code = f"import sys; {started}; print(*sorted(set({HEAVY!r}) & set(sys.modules)), sep=',')"
    ended = _python("-c", code)
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.splitlines()[-1] == ""


def test_the_module_is_the_program() -> None:
    """`python -m fabsched` prints one document and nothing else, and ends with the verb's code."""
    ended = _python("-m", "fabsched", "estimate", "gone.stl", "--json")
    text = "gone.stl: no such file; check the name or put the file there"
    assert ended.returncode == 2
    document = json.loads(ended.stdout)
    assert document["parts"] == []
    (gone,) = document["rejected"]
    assert (gone["file"], gone["code"], gone["text"]) == ("gone.stl", "file-missing", text)
    assert ended.stderr == f"{text}\n"


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
@pytest.mark.parametrize("argv", [["--help"], ["plan", "--help"], ["--version"]])
def test_a_reader_that_leaves_early_is_no_fault(argv: list[str]) -> None:
    """`fabsched ... | head` ends quietly."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as closed:
        ended = subprocess.run(  # noqa: S603 - our own interpreter
            [sys.executable, "-m", "fabsched", *argv],
            stdout=closed,
            stderr=subprocess.PIPE,
            check=False,
            timeout=60,
        )
    assert (ended.returncode, ended.stderr) == (0, b"")


@pytest.mark.skipif(sys.platform == "win32", reason="descriptors are closed otherwise there")
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_outputs_are_no_fault(closed: str) -> None:
    """Whoever closes stdout or stderr does not want to read; the exit code is the same."""
    command = f'"{sys.executable}" -m fabsched estimate gone.stl {closed}'
    ended = subprocess.run(  # noqa: S602 - our own interpreter; closing is the shell's
        command, shell=True, check=False, timeout=60
    )
    assert ended.returncode == 2


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_ctrl_c_ends_at_once_and_leaves_nothing(tmp_path: Path) -> None:
    """Interrupted while workers compute, the program says so, ends with 130, and its workers too."""
    code = (
        "import signal, sys; from tests.session.test_pool import Sleep; "
        "from fabsched.cli.command import _ended; from fabsched.cli.progress import run_in; "
        "from fabsched.session.pool import Pool\n"
        "def main():\n"
        "    try:\n"
        "        with Pool() as pool: print('up', flush=True); run_in(pool, [Sleep(1), Sleep(2, False)])\n"
        "    except KeyboardInterrupt as error: sys.exit(_ended(error))\n"
        # a shell lets its background jobs ignore the signal
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "if __name__ == '__main__': main()\n"
    )
    script = tmp_path / "sleeper.py"
    script.write_text(code)
    root = str(Path(__file__).parent.parent.parent)
    with subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": root},
        start_new_session=True,
    ) as sleeper:
        assert sleeper.stdout is not None
        sleeper.stdout.readline()
        os.killpg(sleeper.pid, signal.SIGINT)
        # Workers hold the same pipes: their end is only seen once every one of them has gone.
        _, err = sleeper.communicate(timeout=30)
    assert (sleeper.returncode, err) == (130, "stopped\n")


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_ctrl_c_while_starting_ends_quietly() -> None:
    """Interrupted before it can say so, the program ends with 130 and without a traceback."""
    code = (
        "import os, signal, sys\n"
        "class Interrupter:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'fabsched.cli.command': os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Interrupter())\n"
        "from fabsched.__main__ import main\n"
        "sys.exit(main())\n"
    )
    ended = _python("-c", code)
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "")
