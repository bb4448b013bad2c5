"""Long computations as pure functions from a frozen request to a frozen response.

A request holds everything it needs, can be pickled, and gives the same response wherever and
whenever it runs. The floors that do the work are imported when a request runs, not before: they are
heavy, and the process that makes a request is seldom the one that runs it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate, Pose
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.spread import Spread
from fabsched.model.weekend import Weekend
from fabsched.session.inputs import EstimateInput, PlanInput
from fabsched.session.new_parts import Adopted, adopt_all
from fabsched.session.stock_records import Stock

if TYPE_CHECKING:  # brings in numpy, which the command line does not start with
    from fabsched.model.shapes import Drawing, Mesh

_numbers = count(1)

ResponseT_co = TypeVar("ResponseT_co", covariant=True)


def next_id() -> int:
    """A number no other request of this process has."""
    return next(_numbers)


class Request(Protocol[ResponseT_co]):
    """What a pool can run."""

    @property
    def id(self) -> int:
        """Number of the request; its response carries the same."""

    def run(self, watch: Watch = UNWATCHED) -> ResponseT_co:
        """Do the work here and now.

        Raises:
            InputError: the input is at fault.
            Cancelled: the watch said stop.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateResponse:
    """What became of one part.

    Attributes:
        id: of the request.
        part: id of the part.
        key: what the estimates hold for; see `EstimateRequest.key`.
        estimates: by id of the machine; machines that cannot make the part are left out.
        errors: why machines cannot make it, or why the file cannot be read.
    """

    id: int
    part: str
    key: str
    estimates: Mapping[str, Estimate]
    errors: tuple[InputError, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateRequest(EstimateInput):
    """Estimate one part on every machine that could make it.

    Attributes:
        key: digest of the file's content and of everything else an estimate depends on, so that it
            is made again when something of that has changed, and only then.
        id: number of the request.
    """

    key: str
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> EstimateResponse:
        """Read the file and estimate it.

        Faults of the file come back inside the response: one bad part must not hide the others.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.estimating import estimate_part  # noqa: PLC0415 - heavy

        estimates, errors = estimate_part(self, watch)
        return EstimateResponse(
            id=self.id, part=self.part.id, key=self.key, estimates=estimates, errors=errors
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughResponse:
    """A first figure for one part.

    Attributes:
        id: of the request.
        key: what it holds for; see `EstimateRequest.key`.
        seconds: P10, P50 and P90 of one copy; None where there is no telling.
    """

    id: int
    key: str
    seconds: Spread | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughRequest(EstimateInput):
    """Guess how long one part takes, until its estimate is there.

    Attributes:
        key: as for `EstimateRequest`.
        id: number of the request.
    """

    key: str
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> RoughResponse:
        """Read the file and measure its surface.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.rough import rough_of_part  # noqa: PLC0415 - heavy

        return RoughResponse(id=self.id, key=self.key, seconds=rough_of_part(self, watch))


@dataclass(frozen=True, slots=True, kw_only=True)
class AdoptResponse(Adopted):
    """Part files that lie in the project folder now.

    Attributes:
        id: of the request.
        folder: the project folder.
    """

    id: int
    folder: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class AdoptRequest:
    """Copy part files into a project folder.

    Attributes:
        paths: the files.
        folder: the project folder.
        id: number of the request.
    """

    paths: tuple[Path, ...]
    folder: Path
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> AdoptResponse:
        """Copy them; faults of single files come back inside the response.

        Raises:
            Cancelled: the watch said stop.
        """
        found = adopt_all(self.paths, self.folder, watch)
        return AdoptResponse(
            id=self.id, folder=self.folder, files=found.files, refused=found.refused
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PosesResponse:
    """Ways to print a part.

    Attributes:
        id: of the request.
        poses: best first; none of what is no solid.
    """

    id: int
    poses: tuple[Pose, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PosesRequest(EstimateInput):
    """Find the best ways to print one part on the first of its machines.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PosesResponse:
        """Read the file and look at the sides it can rest on.

        Raises:
            InputError: the file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.estimating import poses_of_part  # noqa: PLC0415 - heavy

        return PosesResponse(id=self.id, poses=poses_of_part(self, watch))


@dataclass(frozen=True, slots=True, kw_only=True)
class LookResponse:
    """What a part looks like.

    Attributes:
        id: of the request.
        shape: a solid as it stands on the bed, with fewer triangles where it has many, or outlines;
            None for what has no surface.
    """

    id: int
    shape: "Mesh | Drawing | None"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRequest(EstimateInput):
    """Read a part's file for showing it.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> LookResponse:
        """Read the file.

        Raises:
            InputError: the file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.looks import look_of_part  # noqa: PLC0415 - heavy

        return LookResponse(id=self.id, shape=look_of_part(self, watch))


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmRequest:
    """Have all that is computed with compiled, unless that has been done.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> None:
        """Compile; the first time this takes a minute.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.warming import make_ready  # noqa: PLC0415 - heavy

        make_ready(watch)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanResponse:
    """A plan for the whole project.

    Attributes:
        id: of the request.
        answer: the plan and what follows from it.
        weekend: what was planned: hours, machines and activities.
        stock: what it takes from stock; None if nobody counted.
    """

    id: int
    answer: Answer
    weekend: Weekend
    stock: Stock | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest(PlanInput):
    """Plan a project.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PlanResponse:
        """Expand the hours, lay out runs and order everything.

        Raises:
            InputError: the project cannot be carried out in this shop.
            Cancelled: the watch said stop.
        """
        from fabsched.session.planning import plan_project  # noqa: PLC0415 - heavy
        from fabsched.session.stocktaking import stock_of  # noqa: PLC0415 - likewise

        answer, weekend = plan_project(self, watch)
        stock = stock_of(self.project, self.shop, self.estimates, answer)
        return PlanResponse(id=self.id, answer=answer, weekend=weekend, stock=stock)


Response = EstimateResponse | RoughResponse | AdoptResponse | PlanResponse
"""What an open project takes in."""
