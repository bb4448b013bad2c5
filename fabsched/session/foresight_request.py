"""The requests behind a picture of the odds: time needed against time left soon, then everything."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.odds.told import Outlook
from fabsched.session.odds_records import OddsInput, OddsTold
from fabsched.session.requests import next_id

if TYPE_CHECKING:  # these bring in numpy
    from fabsched.schedule.chains import Gain
    from fabsched.schedule.isolation import Isolated


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseResponse:
    """Time needed against time left.

    Attributes:
        id: of the request.
        outlooks: over the nominal course, in order.
    """

    id: int
    outlooks: tuple[Outlook, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseRequest(OddsInput):
    """Set time needed against time left.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CourseResponse:
        """Simulate what is left from some moments of the course.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.foresight import course_of  # noqa: PLC0415 - heavy

        return CourseResponse(id=self.id, outlooks=course_of(self, watch))


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingResponse:
    """All that bears on the odds of a plan.

    Attributes:
        id: of the request.
        told: odds, setbacks, dangers, decision hours and outlooks.
        gains: what would move the finish if it were quicker, the most first.
        isolated: what is kept apart, and why.
    """

    id: int
    told: OddsTold
    gains: "tuple[Gain, ...]" = ()
    isolated: "tuple[Isolated, ...]" = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingRequest(OddsInput):
    """Find out all that bears on the odds of a plan.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> BearingResponse:
        """Simulate the weekend many times, with and without what may go wrong.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.foresight import bearing_of  # noqa: PLC0415 - heavy

        told, gains, isolated = bearing_of(self, watch)
        return BearingResponse(id=self.id, told=told, gains=gains, isolated=isolated)
