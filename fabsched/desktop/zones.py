"""The time zone of this computer, for new projects."""

from zoneinfo import ZoneInfo

from PySide6.QtCore import QTimeZone

from fabsched.session.zones import own_zone as named_zone


def own_zone() -> ZoneInfo:
    """The zone the platform is set to; UTC where it says nothing that is known.

    Qt knows the zones of Windows under their names in the zone database as well.
    """
    return named_zone() or _zone_of_qt()


def _zone_of_qt() -> ZoneInfo:
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode()
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, LookupError):
        return ZoneInfo("UTC")
