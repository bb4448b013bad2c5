"""Whether a part, work or gate is always made, or left to the planner."""

from dataclasses import replace

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part, Project, Work
from fabsched.session.edits import TAKE_ADVICE, Edit, put_all
from fabsched.session.project_session import Session


def with_need(ident: str, *, needed: bool) -> Edit:
    """The edit that has an item always made, or leaves it to the planner."""

    def edit(project: Project) -> Project:
        found = [item for item in project.items if item.id == ident]
        return put_all(replace(item, needed=needed) for item in found)(project)

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
    session.change(TAKE_ADVICE, with_need(ident, needed=needed))
    return replace(items[ident], needed=needed)
