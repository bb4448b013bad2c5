"""Where the files that ship with the program are."""

from importlib.util import find_spec
from pathlib import Path

from fabsched.model.errors import FabschedError


class ResourceMissing(FabschedError):  # noqa: N818 - reads as what happened
    """A file that ships with the program is not there: the installation is damaged."""


def package_folder() -> Path:
    """The folder the program's own modules are in.

    Raises:
        ResourceMissing: it runs from something that is no folder.
    """
    spec = find_spec("fabsched")
    if spec is None or not spec.submodule_search_locations:
        raise ResourceMissing("fabsched")
    return Path(spec.submodule_search_locations[0])


def resource(path: str) -> Path:
    """A shipped file or folder.

    An installed wheel holds the resources inside the package; a checkout holds them beside it.

    Args:
        path: below `resources/`, with forward slashes.

    Raises:
        ResourceMissing: neither place has it.
    """
    package = package_folder()
    for root in (package / "resources", package.parent / "resources"):
        if (root / path).exists():
            return root / path
    raise ResourceMissing(path)
