"""Work that waits for components that are still to be ordered: ordered now, they come then.

What takes a component that is not in hand cannot start before it could come. Told to be on its way,
it comes when it was told to; see `under_way`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from fabsched.model.deliveries import comes_at
from fabsched.model.project import Component, Project
from fabsched.model.spread import Spread
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Activity, Bound, Task, Weekend

LONGEST_S = 7 * DAY_S
"""What comes later than so long after the deadline is planned to come then: hours are not known for
ever, and the deadline is missed by days either way (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """A component that is still to be ordered.

    Attributes:
        id: of the component.
        comes_s: when it comes if it is ordered now.
        needed_by: ids of the items that take it.
    """

    id: str
    comes_s: int
    needed_by: frozenset[str]


def orders(project: Project, now_s: int, told: Iterable[str] = ()) -> tuple[Order, ...]:
    """Components that the project cannot do without and that are not in hand.

    Args:
        project: what a shop nearby sells, what is in hand but for spares and what no item is said to
            take holds nothing up.
        now_s: the present moment.
        told: ids of components that were told to come, or to have come.
    """
    latest_s = int(project.deadline.timestamp()) + LONGEST_S
    known = frozenset(told)
    return tuple(
        Order(
            id=each.id,
            comes_s=min(latest_s, comes_at(now_s, each.delivery_days, project.zone)),
            needed_by=frozenset(each.needed_by),
        )
        for each in project.components
        if _is_to_order(each) and each.id not in known
    )


def _is_to_order(component: Component) -> bool:
    return component.have < component.count and component.delivery_days > 0


def held_by_orders(
    weekend: Weekend,
    waiting: Iterable[Order],
    late: Spread | None,
    going: Mapping[str, object],
) -> Weekend:
    """A weekend in which nothing that takes what is still to be ordered starts before it comes.

    Args:
        weekend: what is to be done.
        waiting: what is to be ordered. What somebody is at, or has done a part of, shows that its
            components are there.
        late: by how many seconds deliveries are late.
        going: ids of the activities that are worked on.
    """
    begun = {item for a in weekend.activities if a.id in going for item in items_of(a)}
    begun.update(item for a in weekend.settled for item in items_of(a))
    open_ = [order for order in waiting if not order.needed_by & begun]
    activities = tuple(_held(activity, open_, late) for activity in weekend.activities)
    return replace(weekend, activities=activities)


def _held(activity: Activity, waiting: Iterable[Order], late: Spread | None) -> Activity:
    mine = items_of(activity)
    comes_s = max((order.comes_s for order in waiting if order.needed_by & mine), default=0)
    if comes_s <= activity.earliest_s:
        return activity
    return replace(activity, earliest_s=comes_s, bound=Bound.ORDER, late=late, awaited=None)


def items_of(activity: Activity) -> frozenset[str]:
    """Ids of the items an activity is for."""
    if isinstance(activity, Task):
        return frozenset({activity.of or activity.id})
    return frozenset(part for part, _ in activity.cargo)
