"""Large calendars are read in the background, with a bar and a way to stop it."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from fabsched.desktop.shop.hours_editor import BusyEditor
from fabsched.desktop.window import MainWindow
from fabsched.files import calendar_in
from fabsched.files.calendar_in import Booking
from fabsched.files.resources import resource
from fabsched.files.shop_toml import user_shop
from fabsched.model.errors import InputError
from fabsched.session.calendar_reading import LARGE_BYTES, CalendarReadRequest, is_slow
from fabsched.session.pool import Failed, Finished
from tests.desktop.fakes import FakeAsks, FakePool
from tests.desktop.hands import click
from tests.desktop.shop.test_page import pick

FIRST = datetime(2026, 3, 1, 8, tzinfo=UTC)


def calendar(path: Path, count: int = 600, tail: str = "END:VCALENDAR") -> Path:
    """A calendar with an event every nine hours."""
    events = []
    for number in range(count):
        start = FIRST + timedelta(hours=9 * number)
        end = start + timedelta(hours=1)
        events += [
            "BEGIN:VEVENT",
            f"UID:{number}@example.org",
            f"DTSTART:{start:%Y%m%dT%H%M%SZ}",
            f"DTEND:{end:%Y%m%dT%H%M%SZ}",
            f"SUMMARY:Meeting about matter {number}",
            "END:VEVENT",
        ]
    path.write_text("\n".join(["BEGIN:VCALENDAR", *events, tail]) + "\n")
    return path


@pytest.fixture(autouse=True)
def _nothing_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test know what another has read."""
    monkeypatch.setattr(calendar_in, "_KEPT", {})


def answer(pool: FakePool) -> CalendarReadRequest:
    """Do what was asked for, as another process would."""
    (request,) = pool.of(CalendarReadRequest)
    assert isinstance(request, CalendarReadRequest)
    try:
        event: Finished | Failed = Finished(request.id, request.run())
    except InputError as error:
        event = Failed(request.id, error)
    calendar_in._KEPT.clear()  # the other process knows it, this one not yet
    pool.end(request.id, event)
    QApplication.processEvents()
    return request


def is_busy(window: MainWindow) -> bool:
    """Whether the first person of the shop has busy times."""
    return window.shop.shop.people[0].busy is not None


def is_open(window: MainWindow) -> bool:
    """Whether a project is open."""
    return window.desk.session is not None


@pytest.fixture
def busy(planned: MainWindow, asks: FakeAsks, tmp_path: Path) -> BusyEditor:
    """The field for somebody's busy times, and a large calendar that will be chosen."""
    planned.actions_.shop.trigger()
    pick(planned.shop, "Maker")
    asks.path = calendar(tmp_path / "mine.ics")
    assert asks.path.stat().st_size > LARGE_BYTES
    assert planned.shop.form is not None
    editor = planned.shop.form.editors["busy"]
    assert isinstance(editor, BusyEditor)
    return editor


def test_a_large_calendar_is_read_elsewhere(
    planned: MainWindow, busy: BusyEditor, pool: FakePool
) -> None:
    """Until it is there nothing changes; then it is taken, without being read again here."""
    click(busy.read)
    bar = planned.shop.calendars
    assert bar.isVisible()
    assert "mine.ics" in bar.told.text()
    assert not is_busy(planned)
    answer(pool)
    assert not bar.isVisible()
    assert is_busy(planned)
    assert "busy" in busy.about.text()


def test_reading_can_be_stopped(planned: MainWindow, busy: BusyEditor, pool: FakePool) -> None:
    """Cancel lets go of it; the shop stays as it was."""
    click(busy.read)
    click(planned.shop.calendars.stop)
    assert not planned.shop.calendars.isVisible()
    assert not pool.of(CalendarReadRequest)
    assert not is_busy(planned)


def test_what_is_wrong_with_it_stands_at_the_field(
    planned: MainWindow, busy: BusyEditor, pool: FakePool, asks: FakeAsks
) -> None:
    """A calendar cut off in the middle is refused below the button."""
    assert asks.path is not None
    calendar(asks.path, tail="")
    click(busy.read)
    answer(pool)
    assert busy.note.isVisible()
    assert not is_busy(planned)


def with_busy_shop(tmp_path: Path) -> Path:
    """A shop of the user's own whose first person has a large calendar."""
    target = user_shop()
    target.parent.mkdir(parents=True, exist_ok=True)
    text = resource("shop/shop.toml").read_text("utf-8")
    assert "[[person]]\n" in text
    file = calendar(tmp_path / "mine.ics")
    target.write_text(text.replace("[[person]]\n", f'[[person]]\nbusy = "{file.as_posix()}"\n', 1))
    return file


def test_a_project_whose_shop_has_one_opens_after_it_was_read(
    window: MainWindow, project: Path, pool: FakePool, tmp_path: Path
) -> None:
    """A bar says what is read; then the project is there, and the file is known."""
    file = with_busy_shop(tmp_path)
    window.open_folder(project)
    assert window.calendars.isVisible()
    assert not is_open(window)
    answer(pool)
    assert not window.calendars.isVisible()
    assert is_open(window)
    assert not is_slow(file)


def test_opening_can_be_stopped(
    window: MainWindow, project: Path, pool: FakePool, tmp_path: Path
) -> None:
    """Cancel leaves the start page as it is."""
    with_busy_shop(tmp_path)
    window.open_folder(project)
    click(window.calendars.stop)
    assert not is_open(window)
    assert not pool.of(CalendarReadRequest)


def test_one_that_cannot_be_read_is_told_as_ever(
    window: MainWindow, project: Path, pool: FakePool, tmp_path: Path
) -> None:
    """The start page says what is wrong with it."""
    calendar(with_busy_shop(tmp_path), tail="")
    window.open_folder(project)
    answer(pool)
    assert not is_open(window)
    assert "mine.ics" in window.start.trouble.text


def test_one_that_cannot_be_read_is_read_once(
    window: MainWindow,
    project: Path,
    pool: FakePool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What the other process found out is not worked out again here, unless the file has changed."""
    file = with_busy_shop(tmp_path)
    calendar(file, tail="")
    window.open_folder(project)
    real = calendar_in._bookings
    (request,) = pool.of(CalendarReadRequest)
    with pytest.raises(InputError) as refused:
        request.run()
    calendar_in._KEPT.clear()

    def never(_text: str) -> tuple[Booking, ...]:
        pytest.fail("read once more")

    monkeypatch.setattr(calendar_in, "_bookings", never)
    pool.end(request.id, Failed(request.id, refused.value))
    QApplication.processEvents()
    assert "mine.ics" in window.start.trouble.text
    monkeypatch.setattr(calendar_in, "_bookings", real)
    calendar(file)
    window.open_folder(project)
    answer(pool)
    assert is_open(window)
