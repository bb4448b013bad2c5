"""Whether a gate is always carried out, or left to the planner."""

from dataclasses import replace

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Gate, Project
from fabsched.session.edits import Edit
from fabsched.session.project_session import Session

LABEL = "edit-work"
"""Of such steps, a key of the wording table's `[edit]`."""


def with_need(ident: str, *, needed: bool) -> Edit:
    """The edit that has a gate always carried out, or leaves it to the planner."""

    def edit(project: Project) -> Project:
        gates = tuple(replace(g, needed=needed) if g.id == ident else g for g in project.gates)
        return replace(project, gates=gates)

    return edit


def set_need(session: Session, ident: str, *, needed: bool) -> Gate:
    """Have a gate always carried out, or leave it to the planner; undo takes it back.

    Args:
        session: the open project.
        ident: id of the gate.
        needed: whether it is always carried out.

    Returns:
        The gate as it is now.

    Raises:
        InputError: there is no such gate, or the project cannot be saved.
    """
    gates = {gate.id: gate for gate in session.project.gates}
    if ident not in gates:
        raise InputError(Fault.NAME_UNKNOWN, "GATE", name=ident, known=", ".join(gates) or "-")
    session.change(LABEL, with_need(ident, needed=needed))
    return replace(gates[ident], needed=needed)
