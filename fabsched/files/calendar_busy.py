"""When a calendar says somebody or something is busy."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fabsched.files.calendar_in import Booking, Length, Moment, bookings_of, place
from fabsched.files.recurring import Effort, series
from fabsched.model.errors import InputError
from fabsched.model.shop import Calendar
from fabsched.model.windows import Windows

DAY = timedelta(days=1)


def busy_in(calendar: Calendar, zone: ZoneInfo, start_s: int, end_s: int, where: str) -> Windows:
    """The busy times of a calendar.

    Args:
        calendar: as read.
        zone: where whole days and times without a zone are meant.
        start_s: from which moment (seconds since the epoch).
        end_s: to which moment.
        where: the field that names it, for errors.

    Raises:
        InputError: it cannot be read, or repeats too often.
    """
    bookings = bookings_of(calendar, where)
    try:
        spans = list(_Busy(zone, end_s, bookings).spans())
    except InputError as error:
        raise InputError(error.code, place(where, calendar.file), **error.facts) from error
    return Windows.of(span for span in spans if span[1] > start_s).clipped(start_s, end_s)


@dataclass(slots=True)
class _Busy:
    zone: ZoneInfo
    end_s: int
    bookings: Sequence[Booking]
    effort: Effort = field(default_factory=Effort)

    def spans(self) -> Iterator[tuple[int, int]]:
        """Every stretch that begins before the end."""
        replaced: defaultdict[str, set[int]] = defaultdict(set)
        for booking in self.bookings:
            if booking.replaces is not None:
                replaced[booking.uid].add(self.second(booking.replaces))
        for booking in self.bookings:
            self.effort.spend(1, booking.name)
            if booking.takes_time:
                moved = replaced[booking.uid] if booking.replaces is None else set[int]()
                yield from self._of(booking, moved)

    def _of(self, booking: Booking, moved: set[int]) -> Iterator[tuple[int, int]]:
        """The stretches of one event, without those left out or moved."""
        days = {day for day in booking.gone if not isinstance(day, datetime)}
        gone = {self.second(moment) for moment in booking.gone} | moved
        for start, end in self._starts(booking):
            start_s = self.second(start)
            day = start.date() if isinstance(start, datetime) else start
            if start_s < self.end_s and start_s not in gone and day not in days:
                yield start_s, self._end(booking, start, end)

    def _starts(self, booking: Booking) -> Iterator[tuple[Moment, Moment | Length]]:
        yield booking.start, None
        for rule in booking.rules:
            for start in series(
                rule, booking.start, self.zone, self.end_s, self.effort, booking.name
            ):
                yield start, None
        yield from booking.extra

    def second(self, moment: Moment) -> int:
        """A moment in seconds since the epoch; a day begins at midnight."""
        if not isinstance(moment, datetime):
            moment = datetime.combine(moment, time(), self.zone)
        aware = moment if moment.tzinfo else moment.replace(tzinfo=self.zone)
        return int(aware.timestamp())

    def _end(self, booking: Booking, start: Moment, given: Moment | Length) -> int:
        """When a stretch ends: as long as the first lasts, unless its own end is given (3.8.5.2)."""
        if isinstance(given, date):
            return self.second(given)
        lasts = given if given is not None else booking.lasts
        if lasts is not None:
            return self.second(start + timedelta(days=lasts.days)) + lasts.seconds
        if not isinstance(start, datetime):
            whole = DAY if booking.end is None else max(DAY, booking.end - booking.start)
            return self.second(start + whole)
        if booking.end is None:
            return self.second(start)
        return self.second(start) + self.second(booking.end) - self.second(booking.start)
