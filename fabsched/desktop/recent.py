"""Projects opened lately, the last one first, as the user's settings keep them."""

import json
from dataclasses import dataclass
from pathlib import Path

from fabsched.desktop import settings
from fabsched.files.project_toml import PROJECT_FILE

MOST = 8
"""How many are kept (our own choice: a list one takes in at a glance)."""
KEY = "recent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recent:
    """A project that was open.

    Attributes:
        folder: its folder.
        name: its name when it was open last.
    """

    folder: Path
    name: str

    @property
    def there(self) -> bool:
        """Whether it can be opened now; its disk may be away."""
        return (self.folder / PROJECT_FILE).is_file()


def recents() -> tuple[Recent, ...]:
    """Projects opened lately; what cannot be read of the settings is left out."""
    try:
        kept = json.loads(settings.text(KEY) or "[]")
        return tuple(Recent(folder=Path(str(where)), name=str(name)) for where, name in kept)
    except (ValueError, TypeError):
        return ()


def names(entries: "tuple[Recent, ...]") -> tuple[str, ...]:
    """What to call projects in a list: by name, with the folder where several have the same."""
    known = [entry.name for entry in entries]
    return tuple(
        f"{entry.name} ({entry.folder.name})" if known.count(entry.name) > 1 else entry.name
        for entry in entries
    )


def note(folder: Path, name: str) -> None:
    """Put a project first."""
    first = Recent(folder=folder, name=name)
    others = [recent for recent in recents() if recent.folder != folder]
    _keep((first, *others)[:MOST])


def forget_missing() -> None:
    """Let those go that are not there any more."""
    _keep([recent for recent in recents() if recent.there])


def _keep(entries: "list[Recent] | tuple[Recent, ...]") -> None:
    settings.keep(KEY, json.dumps([[str(entry.folder), entry.name] for entry in entries]))
