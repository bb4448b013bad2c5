"""What the platform says about files, in words of ours."""

from collections.abc import Iterator
from contextlib import contextmanager

from fabsched.model.errors import Fault, InputError


@contextmanager
def told(where: str, fault: Fault = Fault.FILE_UNREADABLE) -> Iterator[None]:
    """Turn the platform's complaints about a file into input errors.

    Args:
        where: the file, as the user knows it.
        fault: what its complaints mean; its template asks for `why`. What cannot be read because it
            is not there is a missing file.

    Raises:
        InputError: the platform complained.
    """
    try:
        yield
    except OSError as error:
        if isinstance(error, FileNotFoundError) and fault is Fault.FILE_UNREADABLE:
            raise InputError(Fault.FILE_MISSING, where) from error
        why = error.strerror or type(error).__name__
        raise InputError(fault, where, why=why) from error
