"""What the window remembers from one time to the next: places, sizes, switches."""

from pathlib import Path

from platformdirs import user_config_path
from PySide6.QtCore import QByteArray, QSettings

FILE = "window.ini"


def settings() -> QSettings:
    """The user's settings, in the platform's place for them."""
    return QSettings(str(_path()), QSettings.Format.IniFormat)


def _path() -> Path:
    return user_config_path("fabsched", appauthor=False) / FILE


def flag(name: str, *, otherwise: bool) -> bool:
    """A switch."""
    return bool(settings().value(name, otherwise, type=bool))


def text(name: str) -> str:
    """A text; empty if there is none."""
    return str(settings().value(name, "", type=str))


def data(name: str) -> QByteArray:
    """Bytes; empty if there are none."""
    found = settings().value(name)
    return found if isinstance(found, QByteArray) else QByteArray()


def keep(name: str, value: bool | str | QByteArray) -> None:
    """Remember something."""
    kept = settings()
    kept.setValue(name, value)
    kept.sync()


def forget(name: str) -> None:
    """Let something go."""
    kept = settings()
    if kept.contains(name):
        kept.remove(name)
        kept.sync()
