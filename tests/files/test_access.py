"""What the platform says about files, in words of ours."""

import errno

import pytest

from fabsched.files.access import told
from fabsched.model.errors import Fault, InputError


@pytest.mark.parametrize(
    ("number", "meant", "code"),
    [
        (errno.ENOENT, Fault.FILE_UNREADABLE, Fault.FILE_MISSING),
        (errno.EACCES, Fault.FILE_UNREADABLE, Fault.FILE_UNREADABLE),
        (errno.ENOENT, Fault.FILE_UNWRITABLE, Fault.FILE_UNWRITABLE),
        (errno.ENOSPC, Fault.FILE_UNWRITABLE, Fault.FILE_UNWRITABLE),
    ],
)
def test_complaints_become_input_errors(number: int, meant: Fault, code: Fault) -> None:
    """Only what was to be read can be missing; what cannot be written says why."""
    with pytest.raises(InputError) as caught, told("lid.stl", meant):
        raise OSError(number, "told by the platform")
    assert (caught.value.code, caught.value.where) == (code, "lid.stl")
