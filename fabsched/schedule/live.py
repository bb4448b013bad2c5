"""Following a search while it goes on: the best plan so far, and when that is good enough."""

from dataclasses import dataclass
from typing import Protocol

from fabsched.model.plan import Plan
from fabsched.schedule.rules import Method


@dataclass(frozen=True, slots=True, kw_only=True)
class Sofar:
    """The best plan so far.

    Attributes:
        plan: an order of urgency, and what is left out.
        on_time: its chance of being done in time on the weekends it was chosen on, so a little more
            than what it will be worth on others.
        method: where it comes from.
    """

    plan: Plan
    on_time: float
    method: Method


class Live(Protocol):
    """Handed to a search by somebody who follows it."""

    def better(self, sofar: Sofar) -> None:
        """Hear of a plan better than all before; the first one comes within a second."""

    def enough(self) -> bool:
        """Whether the search should end here and go on with the best plan so far."""


class Unheard:
    """Hears nothing and lets every search come to its end: the default."""

    def better(self, sofar: Sofar) -> None:
        """Ignore it."""

    def enough(self) -> bool:
        """Never."""
        return False


UNHEARD = Unheard()
