"""TOML documents from files, parsed or refused with the line and column at fault."""

import re
import tomllib
from pathlib import Path

from fabsched.files.source import read_source
from fabsched.files.toml_read import shown
from fabsched.model.errors import Fault, InputError

MOST_MB = 4
"""Larger TOML files are refused: thousands of times what a project needs."""


def parse_toml(text: str, where: str) -> dict[str, object]:
    """Parse a TOML document.

    Raises:
        InputError: `TOML_MALFORMED`, with line and column.
    """
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        raise _unparsable(error, text, where) from error


def _unparsable(error: Exception, text: str, where: str) -> InputError:
    """The parser's complaint as an error of ours."""
    message = str(error) or type(error).__name__
    at = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    line, column = (int(n) for n in at.groups()) if at else (text.count("\n") + 1, 1)
    why = re.sub(r" \(at [^()]*\)$", "", message)
    why = why[:1].lower() + why[1:]
    return InputError(Fault.TOML_MALFORMED, where, line=line, column=column, why=shown(why))


def read_text(path: Path, where: str) -> str:
    """The text of a TOML file; a byte order mark is left out.

    Raises:
        InputError: it is missing, unreadable or not UTF-8.
    """
    try:
        return read_source(path, MOST_MB).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="UTF-8 text") from error
    except InputError as error:
        if error.code is Fault.FILE_EMPTY:  # the fields that are missing tell more
            return ""
        raise InputError(error.code, where, **error.facts) from error
