"""What it would cost to start something at a moment, as a request."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from fabsched.model.plan import Course, Plan
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Pin
from fabsched.model.weekend import Weekend
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
class PinRequest:
    """Carry a plan out with something pinned, without looking for a better one.

    Attributes:
        weekend: what was planned.
        plan: what was decided.
        what: id of what is pinned.
        start_s: the moment.
        scenarios: how many weekends to simulate.
        seed: of their luck.
        id: number of the request.
    """

    weekend: Weekend
    plan: Plan
    what: str
    start_s: int
    scenarios: int = 2000
    seed: int = 0
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> PinResponse:
        """Simulate both.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.pinning import tried  # noqa: PLC0415 - heavy

        course, on_time, before = tried(self, watch)
        return PinResponse(id=self.id, course=course, on_time=on_time, before=before)

    @property
    def pin(self) -> Pin:
        """The wish."""
        return Pin(id=self.what, at=datetime.fromtimestamp(self.start_s, UTC))
