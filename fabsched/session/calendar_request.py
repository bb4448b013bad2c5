"""The request that writes a plan's calendar alone, again and again to the same place."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.shop import Shop
from fabsched.model.weekend import Weekend
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarResponse:
    """A calendar that was written.

    Attributes:
        id: of the request.
        path: where it is.
    """

    id: int
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarRequest:
    """Write a calendar; one that is there is carried on, so that other programs update their events.

    Attributes:
        weekend: what was planned.
        answer: its plan.
        shop: where.
        name: of the project.
        path: the file.
        now_s: the present moment.
        turns: how often each activity was done before (`calendar.turns_of`).
        id: number of the request.
    """

    weekend: Weekend
    answer: Answer
    shop: Shop
    name: str
    path: Path
    now_s: int
    turns: Mapping[str, int] = field(default_factory=dict)
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CalendarResponse:
        """Write it.

        Raises:
            InputError: it cannot be read or written.
        """
        from fabsched.files.calendar_out import write_calendar  # noqa: PLC0415 - heavy
        from fabsched.session.calendar import calendar_events  # noqa: PLC0415 - heavy

        del watch
        events = calendar_events(self.weekend, self.answer, self.shop, self.turns)
        write_calendar(self.path, events, name=self.name, project=self.name, now_s=self.now_s)
        return CalendarResponse(id=self.id, path=self.path)
