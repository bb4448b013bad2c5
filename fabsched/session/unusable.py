"""Files that can be no parts, or whose unit is in doubt, found before anything is made of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from fabsched.files.parts import read_part
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.session.new_parts import check_adoptable

MENDABLE = (Fault.UNIT_UNKNOWN, Fault.SIZE_ABSURD)
"""What the `unit` of a part in `project.toml` puts right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What a look at part files has found.

    Attributes:
        refused: why files can be no parts; those that can are left out.
        doubts: what has to be said about the unit of others.
    """

    refused: dict[Path, InputError]
    doubts: tuple[InputError | Finding, ...]


def looked_at(files: Iterable[Path]) -> Looked:
    """Read each file as a whole, and say what is wrong or in doubt."""
    refused: dict[Path, InputError] = {}
    doubts: list[InputError | Finding] = []
    for path in files:
        try:
            check_adoptable(path)
            _, findings = read_part(path)
        except InputError as error:
            if error.code in MENDABLE:
                doubts.append(error)
            else:
                refused[path] = error
        else:
            doubts += [found for found in findings if found.code is Remark.UNIT_SUSPECT]
    return Looked(refused=refused, doubts=tuple(doubts))
