"""After a crash: what the next start says, tried on a process that is killed."""

import json
import os
import signal
import subprocess
import sys
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Self

import pytest
from PySide6.QtCore import Qt

from fabsched.desktop import drafts, recovery
from fabsched.desktop.recovery import Marker, take_left
from fabsched.desktop.window import MainWindow
from fabsched.desktop.work_panel import DRAFT
from tests.desktop import made
from tests.desktop.hands import click, press, write

KILLED = """
import sys
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from fabsched.desktop.app import dress, make_window

app = QApplication([])
dress(app)
window = make_window(lambda: datetime(2026, 3, 13, 17, tzinfo=UTC))
window.show()
window.open_folder(Path(sys.argv[1]))
window.desk.stop()
window.actions_.work.trigger()
QTest.keyClicks(window.work.form.name, "Paint the lou")
window.work.form.high.setValue(77)
print("ready", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def crashed(project: Path, checkout: Path) -> Path:
    """A project in whose window somebody was typing when it was killed."""
    with subprocess.Popen(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-W", "error", "-c", KILLED, str(project)],
        cwd=checkout,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        assert take_left() == (), "it is still running"
        process.kill()
        assert process.wait() == -signal.SIGKILL
    return project


@pytest.mark.skipif(sys.platform == "win32", reason="it is told by the signal that it was killed")
def test_the_next_start_says_what_is_there_and_goes_on_with_it(
    crashed: Path, window: MainWindow
) -> None:
    """One sentence with the project, the hour and the log; its button opens it, the form as typed."""
    left = take_left()
    assert [(entry.folder, entry.entries, entry.planned) for entry in left] == [(crashed, 0, False)]
    window.recovered.tell(left)
    assert "Nothing that was entered is lost: Balcony weather station" in window.recovered.note.text
    assert "typed" in window.recovered.note.text
    click(window.recovered.go_on)
    assert not window.recovered.isVisible()
    assert window.desk.session is not None
    assert "not entered" in window.work.form.back.text
    window.desk.troubled.emit()
    assert window.work.form.back.isVisible(), "it stays while other things are told"
    assert window.desk.session.folder == crashed
    form = window.work.form
    assert form.isVisible()
    assert (form.name.text(), form.high.value()) == ("Paint the lou", 77)
    write(form.name, "vres")
    click(form.keep)
    assert "Paint the louvres" in {work.name for work in window.desk.session.project.works}
    assert drafts.kept(crashed, DRAFT) is None
    assert take_left() == (), "told only once"


def test_a_window_that_is_closed_leaves_nothing_to_tell(window: MainWindow, project: Path) -> None:
    """While it is open nobody takes it for crashed; closed, there is no marker any more."""
    window.open_folder(project)
    assert take_left() == ()
    window.close()
    assert take_left() == ()


def test_a_project_that_is_gone_is_not_told(tmp_path: Path) -> None:
    """Neither are markers that cannot be read."""
    (tmp_path / "broken.json").write_text("{")
    (tmp_path / "list.json").write_text("[]")
    (tmp_path / "gone.json").write_text('{"folder": "%s"}' % (tmp_path / "gone"))
    assert take_left(tmp_path) == ()
    assert not list(tmp_path.glob("*.json"))


def test_where_nothing_can_be_written_there_is_no_marker(tmp_path: Path) -> None:
    """The window opens all the same."""
    blocked = tmp_path / "file"
    blocked.write_text("")
    marker = Marker(blocked / "home")
    marker.name(tmp_path)
    marker.take_away()


def test_a_name_half_typed_comes_back_to_its_field(window: MainWindow, project: Path) -> None:
    """Not entered, it stands in the field of its part next time, and Enter takes it."""
    drafts.keep(project, "part-name", {"part": "louvre", "name": "Wide louvre"})
    window.open_folder(project)
    field = window.part.fields.name
    assert window.plan.pages.currentWidget() is window.part
    assert field.text() == "Wide louvre"
    press(field, Qt.Key.Key_Return)
    session = window.desk.session
    assert session is not None
    assert "Wide louvre" in {part.name for part in session.project.parts}
    assert drafts.kept(project, "part-name") is None


def test_leaving_the_form_lets_the_draft_go(window: MainWindow, project: Path) -> None:
    """Typed and cancelled, nothing comes back."""
    window.open_folder(project)
    window.actions_.work.trigger()
    write(window.work.form.name, "Sand")
    assert drafts.kept(project, DRAFT) is not None
    click(window.work.form.leave)
    assert drafts.kept(project, DRAFT) is None


@pytest.mark.parametrize(("now", "told"), [("14T00:45", "00:30"), ("15T00:45", "Saturday")])
def test_the_hour_is_told_with_its_day_unless_that_is_today(
    project: Path, monkeypatch: pytest.MonkeyPatch, now: str, told: str
) -> None:
    """Today by the clock of the project: half past midnight there is still yesterday in UTC."""
    changed = datetime(2026, 3, 14, 0, 30, tzinfo=made.ZONE)

    class Stopped(datetime):
        """A clock that stands."""

        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Self:
            return cls.fromisoformat(f"2026-03-{now}+01:00").astimezone(tz)

    monkeypatch.setattr(recovery, "datetime", Stopped)
    os.utime(project / "project.toml", (changed.timestamp(), changed.timestamp()))
    home = project.parent / "markers"
    home.mkdir()
    (home / "left.json").write_text(json.dumps({"folder": str(project)}), "utf-8")
    (left,) = take_left(home)
    assert left.moment.startswith(told)
    assert left.moment.endswith("00:30")
