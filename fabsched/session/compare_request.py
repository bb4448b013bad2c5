"""The request that compares the ways to make a part."""

from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.progress import UNWATCHED, Watch, tell
from fabsched.model.project import Part, Project
from fabsched.session.inputs import ComparisonInput
from fabsched.session.project_session import Session
from fabsched.session.requests import next_id

if TYPE_CHECKING:
    from fabsched.advise.plates.comparing import Comparison  # brings in the compiler


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareResponse:
    """All ways to make a part.

    Attributes:
        id: of the request.
        comparison: the ways, side by side; the whole part comes first.
    """

    id: int
    comparison: "Comparison"


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareRequest(ComparisonInput):
    """Find the plates in a part and compare printing it whole with cutting them.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CompareResponse:
        """Read the file, take the part apart in every way, and plan each.

        Plates are told as soon as they are found, and every way as soon as it is known.

        Raises:
            InputError: the file is at fault or no solid, or the project cannot be carried out.
            Cancelled: the watch said stop.
        """
        from fabsched.session.comparing import compare_part  # noqa: PLC0415 - heavy

        found = compare_part(self, watch, partial(tell, watch), partial(tell, watch))
        return CompareResponse(id=self.id, comparison=found)


def compare_request(session: Session, ident: str, now: datetime, seed: int = 0) -> CompareRequest:
    """Ask for a comparison of the ways to make a part.

    Args:
        session: the open project; nothing must be left to estimate.
        ident: id of the part.
        now: nothing is planned before this moment; zone-aware.
        seed: of the random draws.

    Raises:
        InputError: there is no such part, or it is not printed.
    """
    part = part_named(session.project, ident)
    return CompareRequest(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        part=part,
        path=session.folder / part.file,
        now_s=int(now.timestamp()),
        seed=seed,
        seen=session.experiences.light,
    )


def part_named(project: Project, ident: str) -> Part:
    """The printed part of that id.

    Raises:
        InputError: there is none, or it is cut.
    """
    solids = {part.id: part for part in project.parts if part.route is Route.PRINT}
    known = ", ".join(solids) or "-"
    if ident in solids:
        return solids[ident]
    if any(part.id == ident for part in project.parts):
        raise InputError(Fault.PLATES_NEED_SOLID, ident, known=known)
    raise InputError(Fault.NAME_UNKNOWN, "PART", name=ident, known=known)
