"""The request for what can be measured on a part."""

from dataclasses import dataclass, field

from fabsched.model.features import Found
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.session.inputs import EstimateInput
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class FeaturesResponse:
    """What can be measured on a part.

    Attributes:
        id: of the request.
        found: in the coordinates of the part's file; its owners go with the triangles of the part as
            it is shown. None for what is no solid.
    """

    id: int
    found: Found | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeaturesRequest(EstimateInput):
    """Look for holes, pegs and faces on one part.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> FeaturesResponse:
        """Read the file and search its surface.

        Raises:
            InputError: the file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.looks import features_of_part  # noqa: PLC0415 - heavy

        return FeaturesResponse(id=self.id, found=features_of_part(self, watch))
