"""The time zone of this computer, for new projects."""

from zoneinfo import ZoneInfo

from PySide6.QtCore import QTimeZone


def own_zone() -> ZoneInfo:
    """The zone the platform is set to; UTC where it says nothing that is known."""
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode()
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, LookupError):
        return ZoneInfo("UTC")
