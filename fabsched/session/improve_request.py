"""Laying the sheets of a plan out better, as a request."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fabsched.model.estimates import Estimate
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.session.requests import next_id

if TYPE_CHECKING:  # brings in numpy, which the command line does not start with
    from fabsched.schedule.layouts import RunLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class ImproveResponse:
    """Better layouts.

    Attributes:
        id: of the request.
        layouts: of all runs of the plan; `ExportInput.layouts` takes them.
    """

    id: int
    layouts: "tuple[RunLayout, ...]"


@dataclass(frozen=True, slots=True, kw_only=True)
class ImproveRequest:
    """Push the parts on the sheets of a plan closer together.

    The result depends on how fast the computer is.

    Attributes:
        project: what was planned.
        shop: what it was planned for.
        estimates: what it was planned with, by part id and machine id.
        answer: the plan.
        seconds: how long, in all.
        threads: how many the packing uses.
        seed: of its chance.
        id: number of the request.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    answer: Answer
    seconds: int = 60
    threads: int = 1
    seed: int = 0
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> ImproveResponse:
        """Pack until the time is over; when the watch says stop, what was found so far is returned.

        Raises:
            InputError: the project cannot be carried out in this shop.
        """
        from fabsched.nest.worth import Effort  # noqa: PLC0415 - heavy
        from fabsched.session.improving import improved_layouts  # noqa: PLC0415 - likewise

        effort = Effort(seconds=self.seconds, threads=self.threads, seed=self.seed)
        layouts = improved_layouts(
            self.project, self.shop, self.estimates, self.answer, effort, watch
        )
        return ImproveResponse(id=self.id, layouts=layouts)
