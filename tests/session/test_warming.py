"""Compiling once, seen: what is counted, what is left behind, and how it is broken off."""

import re
from pathlib import Path

import pytest

from fabsched.files.resources import package_folder
from fabsched.model.errors import Cancelled
from fabsched.session import warming
from fabsched.session.requests import WarmRequest
from fabsched.session.wording import stage

KERNEL = re.compile(r"^@njit.*\n(?:@.*\n)*def (\w+)", re.MULTILINE)


class Listening:
    """A watch that says stop after so many reports."""

    def __init__(self, most: int = 10_000) -> None:
        self.heard: list[tuple[float, str]] = []
        self.most = most

    def report(self, done: float, stage: str) -> None:
        """Keep what is said."""
        self.heard.append((done, stage))

    def stopped(self) -> bool:
        """Whether enough has been heard."""
        return len(self.heard) >= self.most


@pytest.fixture
def mark(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the mark is left, which is not there yet."""
    path = tmp_path / "ready.mark"
    monkeypatch.setattr(warming, "_mark", lambda: path)
    return path


def test_done_once_and_seen(mark: Path) -> None:
    """The first time it says so and leaves its mark; the second time it does nothing."""
    first, second = Listening(), Listening()
    WarmRequest().run(first)
    assert mark.exists()
    shares = [done for done, _ in first.heard]
    assert {code for _, code in first.heard} == {warming.STAGE}
    assert shares[0] == 0.0
    assert shares == sorted(shares)
    assert shares[-1] <= 1.0
    assert stage(warming.STAGE)
    WarmRequest().run(second)
    assert second.heard == []


def test_broken_off_it_leaves_no_mark(mark: Path) -> None:
    """Whoever stops it is asked again the next time."""
    with pytest.raises(Cancelled):
        warming.make_ready(Listening(1))
    assert not mark.exists()


def test_every_kernel_is_counted(mark: Path) -> None:
    """All compiled functions of the package are among those progress is counted by."""
    warming.make_ready(Listening())
    assert mark.exists()
    written = {
        f"{path.stem}.{name}"
        for path in package_folder().rglob("*.py")
        for name in KERNEL.findall(path.read_text("utf-8"))
    }
    counted = {
        f"{kernel.py_func.__module__.rpartition('.')[2]}.{kernel.py_func.__name__}"
        for kernel in warming.kernels()
    }
    assert written
    assert written <= counted


def test_the_mark_is_for_this_very_code() -> None:
    """It lies where the compiler keeps what it makes, and is named by what is compiled."""
    found = warming._mark()
    assert found.parent.name.startswith(("__pycache__", "estimate"))
    assert re.fullmatch(r"ready-[0-9a-f]{16}\.mark", found.name)
