"""The time zone this computer is set to."""

import os
from pathlib import Path
from zoneinfo import ZoneInfo

LOCAL_TIME = Path("/etc/localtime")
"""A link into the zone database on Linux, macOS and other Unix systems."""


def own_zone() -> ZoneInfo | None:
    """The zone the platform is set to; None where it cannot be told by name.

    `TZ` goes before the system's own setting, as in POSIX. Windows names its zones otherwise.
    """
    name = os.environ.get("TZ", "").removeprefix(":") or _linked_name()
    try:
        return ZoneInfo(name) if name else None
    except (KeyError, OSError, ValueError):
        return None


def _linked_name() -> str:
    """The part behind `zoneinfo/` of where the system's link leads."""
    if not LOCAL_TIME.exists():
        return "" if os.name == "nt" else "UTC"
    return LOCAL_TIME.resolve().as_posix().partition("zoneinfo/")[2].removeprefix("posix/")
