"""A folder of the window's own for files that may be dragged out of it."""

import tempfile
from pathlib import Path


class OwnFolder:
    """One folder at a time, gone with what it was made for."""

    def __init__(self) -> None:
        """None yet."""
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def fresh(self) -> Path:
        """An empty one; what was in the last one is gone."""
        self.clear()
        self._folder = tempfile.TemporaryDirectory(prefix="fabsched-", ignore_cleanup_errors=True)
        return Path(self._folder.name)

    def clear(self) -> None:
        """Let the folder go with all that is in it."""
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None
