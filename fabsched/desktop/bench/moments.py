"""A field for a moment, in the project's zone."""

from zoneinfo import ZoneInfo

from PySide6.QtCore import QSignalBlocker, QTimeZone
from PySide6.QtWidgets import QWidget

from fabsched.desktop.headline import entered_moment, shown_moment
from fabsched.desktop.steady_fields import Moment
from fabsched.desktop.translating import date_locale
from fabsched.session.clock import local
from fabsched.session.wording import phrase


class MomentField(Moment):
    """Shows a moment in whole minutes; one that is left alone keeps its seconds."""

    def __init__(self, moment_s: int, zone: ZoneInfo, parent: QWidget | None = None) -> None:
        """Make a field.

        Args:
            moment_s: what it shows at first.
            zone: where it is shown.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._zone = zone
        self._first_s = moment_s
        self.setLocale(date_locale())
        self.setDisplayFormat(f"{phrase('day-pattern')}  HH:mm")
        self.setCalendarPopup(True)
        self.use_zone(zone)
        self.show_moment(moment_s)

    @property
    def zone(self) -> ZoneInfo:
        """Where moments are shown."""
        return self._zone

    def use_zone(self, zone: ZoneInfo) -> None:
        """Show moments in another zone from now on."""
        self._zone = zone
        self.setTimeZone(QTimeZone(zone.key.encode()))

    @property
    def moment_s(self) -> int:
        """The moment that is entered."""
        entered_s = int(entered_moment(self.dateTime(), self._zone).timestamp())
        return self._first_s if entered_s == self._first_s // 60 * 60 else entered_s

    def show_moment(self, moment_s: int) -> None:
        """Show another moment, as if it had been there from the first."""
        self._first_s = moment_s
        with QSignalBlocker(self):
            self.setDateTime(shown_moment(local(moment_s, self._zone), self._zone))

    def keep_until(self, moment_s: int) -> None:
        """Take nothing later."""
        self.setMaximumDateTime(shown_moment(local(moment_s, self._zone), self._zone))
