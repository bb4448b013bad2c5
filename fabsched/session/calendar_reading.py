"""Large calendars, read in another process before the window needs what stands in them."""

from dataclasses import dataclass, field
from pathlib import Path

from fabsched.files.calendar_in import Booking, bookings_of, is_kept, keep, read_calendar
from fabsched.files.shop_toml import SHOP_FILE, find_shop, parse_shop
from fabsched.files.toml_source import read_text
from fabsched.model.errors import InputError
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.session.requests import next_id
from fabsched.session.working_hours import WithHours

LARGE_BYTES = 60_000
"""Smaller files are read within a few hundredths of a second (measured: 10,000 events in 1.4 MB take
1.3 s of processor time)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarRead:
    """What stands in a calendar file.

    Attributes:
        id: of the request.
        text: the file.
        bookings: its events.
    """

    id: int
    text: str = field(repr=False)
    bookings: tuple[Booking, ...] = field(repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarReadRequest:
    """Read a calendar file.

    Attributes:
        path: the file.
        id: number of the request.
    """

    path: Path
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CalendarRead:
        """Read it.

        Raises:
            InputError: it cannot be read, or an event in it cannot.
            Cancelled: the watch said stop.
        """
        watch.report(0.0, "calendar")
        check(watch)
        calendar = read_calendar(self.path.parent, self.path.name, "busy")
        return CalendarRead(id=self.id, text=calendar.text, bookings=bookings_of(calendar, "busy"))


def take_in(read: CalendarRead) -> None:
    """Know from now on, in this process, what stands in a calendar."""
    keep(read.text, read.bookings)


def stamp_of(path: Path) -> tuple[int, int]:
    """What tells a file from the same file changed: its size and when it was written; 0 for none."""
    try:
        status = path.stat()
    except OSError:
        return 0, 0
    return status.st_size, status.st_mtime_ns


def take_refusal(path: Path, stamp: tuple[int, int], error: Exception) -> None:
    """Know from now on, in this process, that a calendar cannot be read, and why.

    Args:
        path: the file.
        stamp: of the file when reading it was asked for; nothing is known of one that has changed.
        error: what reading it raised.
    """
    if not isinstance(error, InputError) or stamp_of(path) != stamp:
        return
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return  # that is found again at once
    if stamp_of(path) == stamp:
        keep(text, error)


def is_slow(path: Path) -> bool:
    """Whether reading a calendar here would take long: it is large, and not known yet."""
    try:
        if path.stat().st_size < LARGE_BYTES:
            return False
        return not is_kept(path.read_bytes().decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError):
        return False  # reading says what is wrong


def slow_calendars(folder: Path) -> tuple[Path, ...]:
    """The calendars of the shop that counts for a project folder that would take long to read."""
    try:
        path = find_shop(folder)
        shop = parse_shop(read_text(path, SHOP_FILE))  # calendars left alone
    except InputError:
        return ()  # opening says what is wrong
    entries: tuple[WithHours, ...] = (*shop.places, *shop.people, *shop.printers, *shop.lasers)
    files = dict.fromkeys(path.parent / entry.busy.file for entry in entries if entry.busy)
    return tuple(file for file in files if is_slow(file))
