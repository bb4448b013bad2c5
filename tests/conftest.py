"""What all tests share: no screen, no user's folders, one hypothesis profile, no leaks."""

import itertools
import multiprocessing
import os
import threading
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest

hypothesis.settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    database=None,
    print_blob=True,
)
hypothesis.settings.load_profile("steady")

FOLDERS = {
    "XDG_CONFIG_HOME": "config",
    "XDG_DATA_HOME": "data",
    "XDG_CACHE_HOME": "cache",
    "XDG_STATE_HOME": "state",
    "XDG_RUNTIME_DIR": "runtime",
    "HOME": "home",
}
"""Where the platform keeps a user's files (XDG Base Directory Specification 0.8)."""

_USERS = itertools.count()

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def pytest_addoption(parser: pytest.Parser, pluginmanager: pytest.PytestPluginManager) -> None:
    """Know the settings of the Qt plugin even where it is absent, as where Qt itself is."""
    if not pluginmanager.has_plugin("pytest-qt"):
        parser.addini("qt_api", "binding used in tests of the desktop")
        parser.addini("qt_log_level_fail", "least message of Qt that fails a test")


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Point every folder of the user's into a temporary one."""
    root = tmp_path_factory.mktemp("user")
    with pytest.MonkeyPatch.context() as patch:
        for name, folder in FOLDERS.items():
            (root / folder).mkdir(mode=0o700)
            patch.setenv(name, str(root / folder))
        patch.setenv("LC_ALL", "C.UTF-8")  # English, whoever runs this
        yield


OWN = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")
"""Where what a user has set, logged and left open is kept: a shop written by one test is no other's."""


def _somebody_else(patch: pytest.MonkeyPatch) -> None:
    """Be a user who has set and logged nothing yet."""
    user = f"user-{next(_USERS)}"
    for name in OWN:
        patch.setenv(name, str(Path(os.environ["XDG_CACHE_HOME"]).parent / user / FOLDERS[name]))


@pytest.fixture(scope="module", autouse=True)
def _nothing_learnt_from_others(_own_folders: None) -> Iterator[None]:
    """Let what a module sets up once know nothing of what another has set or logged."""
    with pytest.MonkeyPatch.context() as patch:
        _somebody_else(patch)
        yield


@pytest.fixture(autouse=True)
def _nothing_learnt(_nothing_learnt_from_others: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test know of what another has set or logged."""
    _somebody_else(monkeypatch)


def _threads() -> set[threading.Thread]:
    """Threads that would keep the program from ending."""
    return {thread for thread in threading.enumerate() if not thread.daemon}


def _workers() -> set[int | None]:
    return {child.pid for child in multiprocessing.active_children()}


@pytest.fixture(autouse=True)
def _nothing_left_running() -> Iterator[None]:
    """Fail a test that leaves a thread or a worker process behind."""
    threads, workers = _threads(), _workers()
    yield
    left: list[object] = [*(_threads() - threads), *(_workers() - workers)]
    assert not left, f"left running: {left}"


@pytest.fixture(scope="session")
def checkout() -> Path:
    """The folder that holds the whole project."""
    return Path(__file__).parent.parent


@pytest.fixture(scope="session")
def sample(checkout: Path) -> Path:
    """The folder of the sample project; nobody writes there."""
    return checkout / "sample_projects" / "balcony_station"
