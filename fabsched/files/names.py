"""Names for files and for people."""

import re
import unicodedata
from collections.abc import Container


def readable(ident: str) -> str:
    """A name for people from one for files.

    >>> readable("base_plate-2")
    'Base plate 2'
    """
    words = " ".join(re.split(r"[-_]+", ident)).strip()
    return words[:1].upper() + words[1:]


def slug(text: str) -> str:
    """A name for files from any text: letters, digits, underscores and hyphens.

    >>> slug("Lid (2) für Sensor"), slug("..."), slug("")
    ('lid-2-für-sensor', 'part', 'part')
    """
    tidy = unicodedata.normalize("NFC", text).lower()
    return re.sub(r"[^\w]+", "-", tidy).strip("-_") or "part"


def free_name(wanted: str, taken: Container[str], mark: str = "-") -> str:
    """The name itself, or with the first number behind it that makes it one nobody has.

    >>> free_name("lid", {"lid", "lid-2"}), free_name("lid", set())
    ('lid-3', 'lid')
    """
    name, number = wanted, 2
    while name in taken:
        name, number = f"{wanted}{mark}{number}", number + 1
    return name


def printable(text: str) -> str:
    r"""A text without control characters, which neither XML nor calendars may hold.

    Line breaks and tabs stay.

    >>> printable("Lid\x07 left\nright")
    'Lid left\nright'
    """
    kept = (c for c in text if c in "\n\t" or unicodedata.category(c) not in {"Cc", "Cs"})
    return "".join(c for c in kept if c not in "\ufffe\uffff")
