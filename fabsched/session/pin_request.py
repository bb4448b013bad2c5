"""What it would cost to start something at a moment, as a request."""

from dataclasses import dataclass, field

from fabsched.model.plan import Course
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.session.inputs import PinInput
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class PinResponse:
    """What would become of the plan.

    Attributes:
        id: of the request.
        course: its nominal course.
        on_time: chance of being done in time.
        before: that chance as things are, in the same weekends.
    """

    id: int
    course: Course
    on_time: float
    before: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PinRequest(PinInput):
    """Carry a plan out with something pinned, without looking for a better one.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PinResponse:
        """Simulate both.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.pinning import tried  # noqa: PLC0415 - heavy

        course, on_time, before = tried(self, watch)
        return PinResponse(id=self.id, course=course, on_time=on_time, before=before)
