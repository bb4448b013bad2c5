"""The language sentences are made in: that of an environment variable, so that workers speak it too."""

import os

VARIABLE = "FABSCHED_LANGUAGE"
"""Names the language; English where it is not set, or names one that is not there."""
ENGLISH = "en"
KNOWN = (ENGLISH, "de")
"""Languages with a wording table, by their ISO 639-1 codes."""


def language() -> str:
    """The language of now, one of `KNOWN`."""
    return spoken(os.environ.get(VARIABLE, "")) or ENGLISH


def spoken(name: str) -> str:
    """The language a locale's name begins with; empty if it has no wording table.

    >>> spoken("de_AT.UTF-8"), spoken("fr"), spoken("")
    ('de', '', '')
    """
    code = name.replace("-", "_").partition("_")[0].partition(".")[0].lower()
    return code if code in KNOWN else ""


def use(code: str) -> None:
    """Make sentences in another language from now on, in this process and those it starts."""
    os.environ[VARIABLE] = code
