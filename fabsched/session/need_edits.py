"""Whether a part, work or gate is always made, or left to the planner."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Gate, Part, Project, Work
from fabsched.session.edits import Edit
from fabsched.session.project_session import Session

LABEL = "take-advice"
"""Of such steps, a key of the wording table's `[edit]`."""

ItemT = TypeVar("ItemT", Part, Work, Gate)


def with_need(ident: str, *, needed: bool) -> Edit:
    """The edit that has an item always made, or leaves it to the planner."""

    def settled(items: Iterable[ItemT]) -> tuple[ItemT, ...]:
        return tuple(replace(i, needed=needed) if i.id == ident else i for i in items)

    def edit(project: Project) -> Project:
        return replace(
            project,
            parts=settled(project.parts),
            works=settled(project.works),
            gates=settled(project.gates),
        )

    return edit


def set_need(session: Session, ident: str, *, needed: bool) -> Part | Work:
    """Have an item always made, or leave it to the planner; undo takes it back.

    Args:
        session: the open project.
        ident: id of a part, work or gate.
        needed: whether it is always made.

    Returns:
        The item as it is now.

    Raises:
        InputError: there is no such item, or the project cannot be saved.
    """
    items = {item.id: item for item in session.project.items}
    if ident not in items:
        raise InputError(Fault.NAME_UNKNOWN, "ITEM", name=ident, known=", ".join(items) or "-")
    session.change(LABEL, with_need(ident, needed=needed))
    return replace(items[ident], needed=needed)
