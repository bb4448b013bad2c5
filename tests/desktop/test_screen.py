"""Opening the window where there may be no screen."""

import sys
from pathlib import Path

import pytest

from fabsched.desktop import screen
from fabsched.desktop.screen import check_screen
from fabsched.model.errors import Fault, InputError

pytestmark = pytest.mark.skipif(
    sys.platform in {"win32", "darwin"}, reason="these systems always have a screen"
)


def fault(environment: dict[str, str]) -> Fault:
    """What is said with these variables."""
    with pytest.raises(InputError) as caught:
        check_screen(environment)
    return caught.value.code


def test_without_a_screen_that_is_said() -> None:
    """No variable names one, or the one that is named does not answer."""
    assert fault({}) is Fault.NO_SCREEN
    assert fault({"DISPLAY": ""}) is Fault.NO_SCREEN


def test_a_screen_that_does_not_answer_is_told_from_a_missing_library(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Nobody has a 4711th display; a plugin that cannot be loaded names what it lacks."""
    monkeypatch.setattr(screen, "PLUGIN", "platforms/there-is-none.so")
    assert fault({"DISPLAY": ":4711"}) is Fault.NO_SCREEN
    broken = tmp_path / "libbroken.so"
    broken.write_bytes(b"this is no library")
    monkeypatch.setattr(screen, "PLUGIN", str(broken))
    assert fault({"DISPLAY": ":4711"}) is Fault.LIBRARY_MISSING


@pytest.mark.parametrize("name", ["QT_QPA_PLATFORM", "WAYLAND_DISPLAY"])
def test_what_was_asked_of_qt_by_name_is_left_to_it(name: str) -> None:
    """Drawing without a screen on purpose, or under Wayland: nothing is refused."""
    check_screen({name: "offscreen"})
