"""Long computations about a weekend that is under way; see `session.requests`."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabsched.advise.options import Ground, Option
from fabsched.model.estimates import Estimate
from fabsched.model.log import Remedy
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.state import state_of
from fabsched.session.inputs import FailedInput, PlanInput, PoseInput
from fabsched.session.replanned import Meanings, Rest
from fabsched.session.requests import PlanRequest, PlanResponse, next_id
from fabsched.session.way_records import Pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplanResponse(PlanResponse):
    """The rest of a weekend, planned.

    Attributes:
        rest: everything about it.
        ground: what choices after a failure start from.
        remedies: the choices there are; empty if nothing went wrong that was not decided since.
        first: one of them as the plan has it, to look at until it is planned like the others; None
            if there are none.
    """

    rest: Rest
    ground: Ground
    remedies: tuple[Remedy, ...]
    first: Option | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplanRequest(PlanRequest):
    """Plan the rest of a weekend."""

    def run(self, watch: Watch = UNWATCHED) -> ReplanResponse:
        """Fix what happened, and stay with the plan in hand where leaving it does not pay.

        Raises:
            InputError: the project cannot be carried out in this shop.
            Cancelled: the watch said stop.
        """
        from fabsched.session import replanning  # noqa: PLC0415 - heavy
        from fabsched.session.stock_spent import spent_by  # noqa: PLC0415 - likewise
        from fabsched.session.stocktaking import stock_of  # noqa: PLC0415 - likewise

        rest = replanning.replan_project(self, watch)
        ahead = frozenset(rest.answer.plan.order)
        spent = spent_by(state_of(self.entries), ahead)
        ground = replanning.ground_of(rest, self)
        return ReplanResponse(
            id=self.id,
            answer=rest.answer,
            weekend=rest.weekend,
            stock=stock_of(self.project, self.shop, self.estimates, rest.answer, spent),
            rest=rest,
            ground=ground,
            remedies=replanning.remedies_of(rest),
            first=replanning.first_option(rest, ground),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionResponse:
    """One choice after a failure, planned.

    Attributes:
        id: of the request.
        option: what becomes of it.
    """

    id: int
    option: Option


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionRequest:
    """Plan one choice after a failure, so that each is there as soon as it can be.

    Attributes:
        ground: what all choices start from.
        remedy: the choice.
        id: number of the request.
    """

    ground: Ground
    remedy: Remedy
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> OptionResponse:
        """Plan it and carry it out many times.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.replanning import options_of  # noqa: PLC0415 - heavy

        (option,) = options_of(self.ground, (self.remedy,), watch)
        return OptionResponse(id=self.id, option=option)


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseResponse:
    """Other poses of a part that failed, planned.

    Attributes:
        id: of the request.
        options: what becomes of each; empty if there is none in which less can go wrong.
        estimates: of the part in each, by the key they are kept by, then by machine id.
    """

    id: int
    options: tuple[Option, ...]
    estimates: Mapping[str, Mapping[str, Estimate]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseRequest(PoseInput):
    """Look for other poses of a part that failed, and plan each.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PoseResponse:
        """Estimate the part in the best of them, and lay the rest of the weekend out with it.

        Raises:
            InputError: the part's file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.posing import poses_weighed  # noqa: PLC0415 - heavy

        found = tuple(poses_weighed(self, watch))
        return PoseResponse(
            id=self.id,
            options=tuple(option for option, _, _ in found),
            estimates={key: each for _, key, each in found},
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesResponse:
    """The best way to make a part that failed of plates and pieces.

    Attributes:
        id: of the request.
        part: id of the part.
        pieces: the way; None if there is none that holds and leaves the part as it was drawn.
        more: whether a comparison of all ways would show another.
    """

    id: int
    part: str
    pieces: Pieces | None
    more: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesRequest(FailedInput):
    """Look for plates in a part that failed, and plan the rest of the weekend with them.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PiecesResponse:
        """Take the part apart in each way, and plan what is left to do with it.

        Raises:
            InputError: the part's file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.piecing import pieces_of  # noqa: PLC0415 - heavy

        pieces, more = pieces_of(self, watch)
        return PiecesResponse(id=self.id, part=self.part, pieces=pieces, more=more)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeaningsResponse:
    """What activities mean.

    Attributes:
        id: of the request.
        meant: by id of the activity.
    """

    id: int
    meant: Meanings


@dataclass(frozen=True, slots=True, kw_only=True)
class MeaningsRequest(PlanInput):
    """Lay a project out to see what its activities mean.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> MeaningsResponse:
        """Lay it out.

        Raises:
            InputError: the project cannot be carried out in this shop.
            Cancelled: the watch said stop.
        """
        from fabsched.session.replanning import meanings_of  # noqa: PLC0415 - heavy

        return MeaningsResponse(id=self.id, meant=meanings_of(self, watch))


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoicesResponse:
    """Choices after something went wrong.

    Attributes:
        id: of the request.
        remedies: the choices; empty if nothing went wrong that was not decided since.
    """

    id: int
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoicesRequest(PlanInput):
    """Ask which choices there are, without planning them.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> ChoicesResponse:
        """Lay the rest out and look what went wrong.

        Raises:
            InputError: the project cannot be carried out in this shop.
            Cancelled: the watch said stop.
        """
        from fabsched.session.replanning import choices_of  # noqa: PLC0415 - heavy

        return ChoicesResponse(id=self.id, remedies=choices_of(self, watch))
