"""Following a search for a plan from another process: better plans as they are found, and enough."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fabsched.model.progress import Watch, enough, tell

if TYPE_CHECKING:  # brings in numpy
    from fabsched.schedule.live import Sofar


@dataclass(frozen=True, slots=True, kw_only=True)
class Better:
    """A plan better than all before.

    Attributes:
        on_time: its chance of being done in time on the weekends it was chosen on, so a little more
            than what it will be worth on others.
    """

    on_time: float


@dataclass(frozen=True, slots=True)
class Followed:
    """Tells a watch of better plans, and asks it whether the best so far will do.

    Attributes:
        watch: somebody's; one that takes nothing hears nothing and never has enough.
    """

    watch: Watch

    def better(self, sofar: "Sofar") -> None:
        """Pass on how good it is; the plan itself comes when it is finished."""
        tell(self.watch, Better(on_time=sofar.on_time))

    def enough(self) -> bool:
        """Pass the question on."""
        return enough(self.watch)
