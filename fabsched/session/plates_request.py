"""Which part of a project has flat plates in it: looked for in the background, to be offered first."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from fabsched.model.errors import InputError
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.project import Part
from fabsched.model.shop import Shop
from fabsched.session.requests import next_id

if TYPE_CHECKING:  # brings in the library for solids
    from fabsched.advise.plates.slabs import Found


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatesResponse:
    """The part to look at first.

    Attributes:
        id: of the request.
        part: id of the first part with a plate; of the first with what is nearly one where there is
            none; empty where there is neither.
    """

    id: int
    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatesRequest:
    """Look for the first part that has plates.

    Attributes:
        parts: printed parts, in the order in which they are looked at.
        folder: the project folder.
        shop: whose sheets plates are cut from.
        id: number of the request.
    """

    parts: Sequence[Part]
    folder: Path
    shop: Shop
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PlatesResponse:
        """Read one file after the other until plates are found; files at fault have none.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.warming import make_ready  # noqa: PLC0415 - heavy

        make_ready(watch)
        nearly = ""
        for number, part in enumerate(self.parts):
            check(watch)
            watch.report(number / len(self.parts), "reading")
            found = self._found(part)
            if found is not None and found.slabs:
                return PlatesResponse(id=self.id, part=part.id)
            if found is not None and found.adoptable:
                nearly = nearly or part.id
        return PlatesResponse(id=self.id, part=nearly)

    def _found(self, part: Part) -> "Found | None":
        """The plates in one part; None where its file is no solid or at fault."""
        from fabsched.advise.plates.finding import find_plates  # noqa: PLC0415 - heavy
        from fabsched.advise.plates.stocks import sheets_mm  # noqa: PLC0415 - heavy
        from fabsched.files.parts import read_part  # noqa: PLC0415 - heavy
        from fabsched.model.shapes import Mesh  # noqa: PLC0415 - brings in numpy

        try:
            shape, _ = read_part(self.folder / part.file, part.unit)
        except InputError:
            return None
        return find_plates(shape, sheets_mm(self.shop)) if isinstance(shape, Mesh) else None
