"""Compile the kernels before any test, so that none of them counts as slow."""

import pytest

from fabsched.estimate.warm import warm_kernels


@pytest.fixture(scope="session", autouse=True)
def _warm() -> None:
    """Warm the kernels once."""
    warm_kernels()
