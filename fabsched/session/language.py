"""The language sentences are made in: that of the environment, so that workers speak it too."""

import os
from collections.abc import Mapping

VARIABLE = "FABSCHED_LANGUAGE"
"""Names the language; where it is not set the system's own variables do."""
LOCALE = ("LC_ALL", "LC_MESSAGES", "LANG")
"""Name the system's language, the first that is set (POSIX.1-2017, Base Definitions, 8.2)."""
ENGLISH = "en"
KNOWN = (ENGLISH, "de")
"""Languages with a wording table, by their ISO 639-1 codes."""


def language() -> str:
    """The language of now, one of `KNOWN`; English where the environment names none of them."""
    return wanted(os.environ)


def wanted(variables: Mapping[str, str]) -> str:
    """The language an environment asks for.

    >>> wanted({"LANG": "de_DE.UTF-8"}), wanted({"LANG": "de_DE", "LC_ALL": "C"}), wanted({})
    ('de', 'en', 'en')
    >>> wanted({"LANG": "de_DE", VARIABLE: "en"})
    'en'
    """
    names = (variables[name] for name in (VARIABLE, *LOCALE) if variables.get(name))
    return spoken(next(names, "")) or ENGLISH


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
