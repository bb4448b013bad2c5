"""Where benchmarks find data that does not belong to the project."""

import os
from pathlib import Path

import pytest

VARIABLE = "FABSCHED_NESTING_DATA"
"""Folder with instances of irregular strip packing; the option `--nesting-data` goes before it."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let the folder be named."""
    parser.addoption("--nesting-data", default=None, help="folder with strip packing instances")


@pytest.fixture
def nesting_data(request: pytest.FixtureRequest) -> Path:
    """The folder; benchmarks that need it are left out where it is not named."""
    named = request.config.getoption("--nesting-data", None) or os.environ.get(VARIABLE)
    if not named:
        pytest.skip(f"name a folder with --nesting-data or {VARIABLE}")
    return Path(named)
