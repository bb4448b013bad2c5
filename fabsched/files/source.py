"""The bytes of a file, or a clear word why there are none."""

from pathlib import Path

from fabsched.model.errors import Fault, InputError

MOST_MB = 64
"""Larger drawings are refused: hundreds of times what a flat part needs."""


def read_source(path: Path, most_mb: int = MOST_MB) -> bytes:
    """Read a whole file.

    Args:
        path: the file.
        most_mb: largest size allowed, in MB.

    Raises:
        InputError: it is missing, cannot be opened, is too large or empty.
    """
    where = str(path)
    try:
        size = path.stat().st_size
        if size > most_mb * 1_000_000:
            raise InputError(Fault.FILE_TOO_LARGE, where, have=round(size / 1e6), limit=most_mb)
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise InputError(Fault.FILE_MISSING, where) from error
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(Fault.FILE_UNREADABLE, where, why=why) from error
    if not data:
        raise InputError(Fault.FILE_EMPTY, where)
    return data
