"""What the platform says about files, in words of ours."""

from collections.abc import Iterator
from contextlib import contextmanager

from fabsched.model.errors import Fault, InputError


@contextmanager
def told(where: str, fault: Fault = Fault.FILE_UNREADABLE) -> Iterator[None]:
    """Turn the platform's complaints about a file into input errors.

    Args:
        where: the file, as the user knows it.
        fault: what its complaints mean, a missing file apart; its template asks for `why`.

    Raises:
        InputError: the platform complained.
    """
    try:
        yield
    except FileNotFoundError as error:
        raise InputError(Fault.FILE_MISSING, where) from error
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(fault, where, why=why) from error
