"""What is not in hand before a weekend begins, and by when it has to be bought."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fabsched.model.plan import Answer
from fabsched.model.project import Component, Project
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Run, Weekend


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """Something that has to be bought.

    Attributes:
        id: of the component or stock.
        what: name shown.
        buy: how many or how much.
        unit: of that; empty for pieces.
        have: what is in hand.
        essential: whether the project cannot be made without; else only spares are missing.
        by_s: latest moment to order or fetch it.
        first: id of the item that takes it first; empty for the beginning.
    """

    id: str
    what: str
    buy: float
    unit: str = ""
    have: float = 0.0
    essential: bool = True
    by_s: int
    first: str = ""

    def is_too_late(self, now_s: int) -> bool:
        """Whether the latest moment has passed."""
        return self.by_s < now_s


def lacks(project: Project, begin_s: int, starts_s: Mapping[str, int]) -> tuple[Lack, ...]:
    """Components that are not in hand, spares included; the most pressing first.

    Args:
        project: what is to be made.
        begin_s: when the weekend begins.
        starts_s: when each item is begun, by its id; see `starts_of`. Items that are left out are
            missing.
    """
    found = (_lack(each, begin_s, starts_s) for each in project.components if each.short)
    return tuple(sorted(found, key=lambda lack: (lack.by_s, not lack.essential, lack.id)))


def _lack(component: Component, begin_s: int, starts_s: Mapping[str, int]) -> Lack:
    taking = {item: starts_s[item] for item in component.needed_by if item in starts_s}
    first = min(taking, key=lambda item: taking[item], default="")
    return Lack(
        id=component.id,
        what=component.name,
        buy=component.short,
        have=component.have,
        essential=component.have < component.count,
        by_s=taking.get(first, begin_s) - component.delivery_days * DAY_S,
        first=first,
    )


def starts_of(weekend: Weekend, answer: Answer) -> dict[str, int]:
    """When each part, work and gate is begun in the nominal course, by its id."""
    items = {activity.id: _items(activity) for activity in weekend.activities}
    found: dict[str, int] = {}
    for block in answer.course.blocks:
        for item in items.get(block.activity, ()):
            found[item] = min(block.start_s, found.get(item, block.start_s))
    return found


def _items(activity: object) -> Iterable[str]:
    """Ids of the parts on a bed, or of the work."""
    if isinstance(activity, Run):
        return tuple(part for part, _ in activity.cargo)
    own = str(getattr(activity, "id", ""))
    return (str(getattr(activity, "of", "")) or own,)
