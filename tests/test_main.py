"""The program as it is put together."""

import gc

import pytest

from fabsched.__main__ import bringing_in


def test_garbage_is_looked_for_again_once_modules_are_in() -> None:
    """While modules come in nothing looks for garbage; afterwards it is, even if one is missing."""
    try:
        with bringing_in():
            assert not gc.isenabled()
        assert gc.isenabled()
        assert gc.get_freeze_count() > 0
        with pytest.raises(ImportError), bringing_in():
            raise ImportError
        assert gc.isenabled()
    finally:
        gc.unfreeze()
