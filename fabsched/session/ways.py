"""Ways to make a part: compared, and taken."""

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING

from fabsched.advise.plates.substituting import PLATES, WHOLE, beside, printed_whole
from fabsched.files.folder_out import write_files
from fabsched.model.estimates import Route
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Part, Project
from fabsched.session.compare_request import CompareRequest, part_named
from fabsched.session.edits import Edit
from fabsched.session.inputs import ComparisonInput
from fabsched.session.project_session import Session
from fabsched.session.requests import next_id
from fabsched.session.way_records import ShownWay, WaysResponse
from fabsched.session.wording import phrase

if TYPE_CHECKING:  # brings in numpy
    pass

TAKE, UNTAKE = "make-plates", "print-whole"
"""Names of the changes, for undoing them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysRequest(ComparisonInput):
    """Compare the ways to make a part; each is told as soon as it is known.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> WaysResponse:
        """Take the part apart in every way, and plan each.

        Raises:
            InputError: the file is at fault or no solid, or the project cannot be carried out.
            Cancelled: the watch said stop.
        """
        from fabsched.session.ways_making import ways_of  # noqa: PLC0415 - heavy

        return ways_of(self, self.id, watch)


def ways_request(asked: CompareRequest, **changes: object) -> WaysRequest:
    """The same comparison, told way by way.

    Args:
        asked: the comparison, see `compare_request`.
        changes: fields of `ComparisonInput` that are otherwise.
    """
    given = {each.name: getattr(asked, each.name) for each in fields(ComparisonInput)}
    return WaysRequest(**{**given, **changes})


def files_of_way(way: ShownWay) -> dict[str, bytes]:
    """All that can be written out of a way, by name: plates, pieces, the list of joints, a picture."""
    from fabsched.files.exploded_svg import PICTURE, Drawn, exploded_svg  # noqa: PLC0415 - brings in numpy

    bodies = tuple(Drawn(body.label, body.mesh, body.colour) for body in way.bodies)
    return {**way.files, PICTURE: exploded_svg(bodies)} if bodies else dict(way.files)


def take(session: Session, ident: str, way: ShownWay, *, decided: bool = True) -> None:
    """Put a way to make a part into the project in one step that can be undone.

    Files of plates and pieces go into the project folder first; undoing leaves them there.

    Args:
        session: the open project.
        ident: of the part.
        way: how; the one without plates takes all others out of the project.
        decided: whether it is settled; else the planner chooses between it and the whole part.

    Raises:
        InputError: the part is gone, the way cannot be made, or a file cannot be written.
    """
    if way.hindered is not None:
        raise way.hindered
    part_named(session.project, ident)
    write_files(session.folder, way.own_files)
    session.change(TAKE if way.pick else UNTAKE, as_taken(ident, way, decided=decided))


def as_taken(ident: str, way: ShownWay, *, decided: bool = True) -> Edit:
    """The edit that puts a way to make a part into the project; see `take`."""
    names = (phrase("way-whole"), phrase("way-plates"))

    def edit(project: Project) -> Project:
        part = part_named(project, ident)
        if not way.pick:
            return printed_whole(project, part)
        return beside(project, part, way, names, PLATES if decided else "")

    return edit


def standing(project: Project, ident: str) -> tuple[str, set[str]]:
    """How a part is made now.

    Returns:
        `WHOLE`, `PLATES`, or empty where that is left to the planner; and the ids of what takes the
        part's place, if anything does.
    """
    for fork in project.forks:
        if fork.id == ident:
            items = {way.id: set(way.items) for way in fork.ways}
            return fork.chosen, items.get(PLATES, set())
    return WHOLE, set()


def printed(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Those that could be compared."""
    return tuple(part for part in parts if part.route is Route.PRINT)
