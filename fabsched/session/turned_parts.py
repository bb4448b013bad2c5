"""Parts that are printed in another pose than the project says, since that was chosen after a failure."""

from collections.abc import Mapping
from dataclasses import replace

from fabsched.model.log import Remedy
from fabsched.model.project import Part, Project

Turned = Mapping[str, Remedy]
"""The last choice of another pose of each part, by the part's id; see `model.state.State`."""

UNTURNED: Turned = {}
"""None is turned."""


def as_turned(project: Project, turned: Turned) -> Project:
    """The project with its parts as they are printed by now.

    A choice holds while the project still has the part turned as it was when it was made.
    """
    if not turned:
        return project
    return replace(
        project, parts=tuple(_turned(part, turned.get(part.id)) for part in project.parts)
    )


def as_filed(project: Project, turned: Turned, filed: Project) -> Project:
    """The project as it belongs into its file: what only the log has turned stays as it was there.

    Args:
        project: one that came from `as_turned`, changed since.
        turned: what the log has turned.
        filed: the project as it stands in its file.
    """
    if not turned:
        return project
    before = {part.id: part for part in filed.parts}
    parts = (_filed(part, turned.get(part.id), before.get(part.id)) for part in project.parts)
    return replace(project, parts=tuple(parts))


def _turned(part: Part, remedy: Remedy | None) -> Part:
    if remedy is None or remedy.turn_deg is None or part.turn_deg != remedy.was_deg:
        return part
    return replace(part, turn_deg=remedy.turn_deg)


def _filed(part: Part, remedy: Remedy | None, before: Part | None) -> Part:
    if remedy is None or before is None or before.turn_deg != remedy.was_deg:
        return part
    if part.turn_deg != remedy.turn_deg:
        return part
    return replace(part, turn_deg=before.turn_deg)
