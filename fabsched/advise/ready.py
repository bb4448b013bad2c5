"""What is not in hand before a weekend begins, and by when it has to be bought."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fabsched.model.deliveries import order_by
from fabsched.model.plan import Answer
from fabsched.model.project import Component, Project
from fabsched.model.weekend import Run, Weekend
from fabsched.schedule.ordering import items_of

NOTHING_TOLD: Mapping[str, int] = {}
"""No component is on order or has arrived."""


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
        by_s: latest moment to order or fetch it; see `order_by`. What takes it is planned for when
            it can come, so that this is past only where it cannot come before the deadline.
        first: id of the item that takes it first; empty for the beginning.
        expected_s: when it comes, of what is told to be on its way; else None.
        is_stock: whether it is filament or a sheet of the shop, and no component.
    """

    id: str
    what: str
    buy: float
    unit: str = ""
    have: float = 0.0
    essential: bool = True
    by_s: int
    first: str = ""
    expected_s: int | None = None
    is_stock: bool = False

    def is_too_late(self, now_s: int) -> bool:
        """Whether it has still to be ordered, and the latest moment has passed."""
        return self.expected_s is None and self.by_s < now_s


def lacks(
    project: Project,
    begin_s: int,
    starts_s: Mapping[str, int],
    expected_s: Mapping[str, int] = NOTHING_TOLD,
    done: frozenset[str] = frozenset(),
) -> tuple[Lack, ...]:
    """Components that are not in hand, spares included; the most pressing first.

    Args:
        project: what is to be made.
        begin_s: when the weekend begins.
        starts_s: when each item is begun, by its id; see `starts_of`. Items that are left out are
            missing.
        expected_s: when components come that were told to be on their way, by id; 0 for what has
            arrived.
        done: ids of items that are done; what they alone take is needed no more.
    """
    found = [
        _lack(each, project, begin_s, starts_s, expected_s.get(each.id))
        for each in project.components
        if each.short and expected_s.get(each.id) != 0 and not _is_used(each, done)
    ]
    return tuple(sorted(found, key=lambda lack: (lack.by_s, not lack.essential, lack.id)))


def _is_used(component: Component, done: frozenset[str]) -> bool:
    """Whether everything that takes it is done."""
    return bool(component.needed_by) and done.issuperset(component.needed_by)


def _lack(
    component: Component,
    project: Project,
    begin_s: int,
    starts_s: Mapping[str, int],
    expected_s: int | None,
) -> Lack:
    taking = {item: starts_s[item] for item in component.needed_by if item in starts_s}
    first = min(taking, key=lambda item: taking[item], default="")
    needed_s = min(taking.get(first, begin_s), int(project.deadline.timestamp()))
    return Lack(
        id=component.id,
        what=component.name,
        buy=component.short,
        have=component.have,
        essential=component.have < component.count,
        by_s=order_by(needed_s, component.delivery_days, project.zone),
        first=first,
        expected_s=expected_s,
    )


def starts_of(weekend: Weekend, answer: Answer) -> dict[str, int]:
    """When each part, work and gate is begun in the nominal course, by its id."""
    items = {activity.id: items_of(activity) for activity in weekend.activities}
    found: dict[str, int] = {}
    for block in answer.course.blocks:
        for item in items.get(block.activity, ()):
            found[item] = min(block.start_s, found.get(item, block.start_s))
    return found


def runs_ahead(weekend: Weekend, answer: Answer) -> Iterator[tuple[Run, int]]:
    """Runs of the nominal course with the moments they are begun, in order of these."""
    first: dict[str, int] = {}
    for block in answer.course.blocks:
        first[block.activity] = min(block.start_s, first.get(block.activity, block.start_s))
    runs = {each.id: each for each in weekend.activities if isinstance(each, Run)}
    for ident, start_s in sorted(first.items(), key=lambda each: each[1]):
        if ident in runs:
            yield runs[ident], start_s
