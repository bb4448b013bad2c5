"""Whether something is always made or left to the planner, and whether work may be done early."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Part, Project, Work
from fabsched.session.edits import TAKE_ADVICE, Edit, put_all
from fabsched.session.project_session import Session

ItemT = TypeVar("ItemT", Part | Work, Work)


def with_need(ident: str, *, needed: bool) -> Edit:
    """The edit that has an item always made, or leaves it to the planner."""

    def edit(project: Project) -> Project:
        found = [item for item in project.items if item.id == ident]
        return put_all(replace(item, needed=needed) for item in found)(project)

    return edit


def with_early(ident: str, *, early: bool) -> Edit:
    """The edit that lets a work be done before the weekend begins, or has it wait for that."""

    def edit(project: Project) -> Project:
        found = [work for work in (*project.works, *project.gates) if work.id == ident]
        return put_all(replace(work, early=early) for work in found)(project)

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
    found = _edited(session, session.project.items, ident, with_need(ident, needed=needed))
    return replace(found, needed=needed)


def set_early(session: Session, ident: str, *, early: bool) -> Work:
    """Let a work be done before the weekend begins, or have it wait for that; undo takes it back.

    Args:
        session: the open project.
        ident: id of a work or gate.
        early: whether it may be done before.

    Returns:
        The work as it is now.

    Raises:
        InputError: there is no such work, or the project cannot be saved.
    """
    works = (*session.project.works, *session.project.gates)
    found = _edited(session, works, ident, with_early(ident, early=early))
    return replace(found, early=early)


def _edited(session: Session, among: Iterable[ItemT], ident: str, edit: Edit) -> ItemT:
    """Carry an edit of one of some items out; the item as it was."""
    items = {item.id: item for item in among}
    if ident not in items:
        raise InputError(Fault.NAME_UNKNOWN, "ITEM", name=ident, known=", ".join(items) or "-")
    session.change(TAKE_ADVICE, edit)
    return items[ident]
