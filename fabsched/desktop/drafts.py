"""What was typed and not yet entered, kept by project until it is entered or left."""

import json
from hashlib import sha256
from pathlib import Path

from fabsched.desktop import settings

Draft = dict[str, object]
"""What stands in a form, by field; as JSON keeps it."""


def keep(folder: Path, form: str, draft: Draft) -> None:
    """Keep what stands in a form of that name now."""
    settings.keep(_key(folder, form), json.dumps(draft))


def drop(folder: Path, form: str) -> None:
    """It was entered, or is not wanted."""
    settings.forget(_key(folder, form))


def kept(folder: Path, form: str) -> Draft | None:
    """What stood in the form; None if nothing did."""
    try:
        draft = json.loads(settings.text(_key(folder, form)) or "null")
    except ValueError:
        return None
    return draft if isinstance(draft, dict) else None


def _key(folder: Path, form: str) -> str:
    return f"draft/{sha256(str(folder).encode()).hexdigest()[:16]}-{form}"
